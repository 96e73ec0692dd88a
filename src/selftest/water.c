/* Water as the program has it, against published formulations. */
#include "selftest/fields.h"

#include "domain/fluid.h"

#include <math.h>
#include <stdio.h>

/* Digits asked: the tolerances of tests/unit/test_domain_fluid.c, with their reasons. */
static const struct {
    const char *name, *head;
    double to_SI;
    double least_degC, most_degC;
    double asked; /* digits */
    size_t wanted;
    double (*ours)(const struct fluid *fluid, double t_degC);
} rows[] = {
    {"density, IAPWS-95", "rho_iapws95", 1, 1, 120, 3.7, 24, fluid_density},
    {"c_p, IAPWS-95", "cp_iapws95", 1e3, 1, 120, 3, 24, fluid_cp},
    {"density, IAPWS-IF97", "rho_if97", 1, 0, 130, 7, 27, fluid_density},
    {"c_p, IAPWS-IF97", "cp_if97", 1e3, 0, 130, 5.7, 27, fluid_cp},
};

bool checks_water(struct checks *checks, const struct published *published, struct faults *faults)
{
    struct published_table table;
    struct fluid water;
    fluid_water(&water);
    checks_group(checks, "Water, 0 to 130 °C",
                 "IAPWS-95 and IAPWS-IF97 as another implementation computes them; the two differ "
                 "by up to 0.08 % in c_p, and the program follows IAPWS-IF97",
                 false);
    bool good = published_open(&table, published, "water-properties", faults);
    for (size_t k = 0; k < sizeof rows / sizeof rows[0] && good; k++) {
        checks_begin(checks, rows[k].name, rows[k].asked, rows[k].wanted);
        for (size_t i = 0; i < table.n_rows; i++) {
            double t_degC = published_number(&table, i, "t_degC");
            double expected = rows[k].to_SI * published_number(&table, i, rows[k].head);
            char what[32];
            if (t_degC < rows[k].least_degC || t_degC > rows[k].most_degC)
                continue;
            snprintf(what, sizeof what, "%.4g °C", t_degC);
            checks_see(checks, what, expected, rows[k].ours(&water, t_degC), expected);
        }
    }
    published_close(&table);
    return good;
}
