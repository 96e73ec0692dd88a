/* Water against IAPWS-95, tables as typed by users, and the heat that the properties give. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "domain/fluid_choice.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "tests/unit/aid_near.h"
#include "tests/unit/aid_table.h"

static struct faults faults;

/* Densities and specific heats of IAPWS-95 (Wagner and Pruss, J. Phys. Chem. Ref. Data 31 (2002)
 * 387) as computed by an independent implementation; the file's head says which. */
static void water_agrees_with_iapws95(void **state)
{
    (void)state;
    struct aid_table table;
    struct fluid water;
    aid_table_read(&table, "testdata/published/water-properties.csv");
    fluid_water(&water);
    size_t compared = 0;
    for (size_t i = 0; i < table.n_rows; i++) {
        double t_degC = aid_table_number(&table, i, "t_degC");
        if (t_degC < 1.0 || t_degC > 120.0)
            continue;
        char name[40];
        snprintf(name, sizeof name, "water at %g degC", t_degC);
        aid_near_relative(name, fluid_density(&water, t_degC),
                          aid_table_number(&table, i, "rho_iapws95"), 2e-4);
        aid_near_relative(name, fluid_cp(&water, t_degC),
                          1e3 * aid_table_number(&table, i, "cp_iapws95"), 1e-3);
        compared++;
    }
    assert_int_equal(compared, 24);
    aid_table_free(&table);
}

/* The same formulation, to the digits of the file: no coefficient is mistyped. Five decimals of the
 * file and the cubic between whole degrees: 1e-6 relative. */
static void water_is_the_industrial_formulation(void **state)
{
    (void)state;
    struct aid_table table;
    struct fluid water;
    aid_table_read(&table, "testdata/published/water-properties.csv");
    fluid_water(&water);
    for (size_t i = 0; i < table.n_rows; i++) {
        double t_degC = aid_table_number(&table, i, "t_degC");
        if (t_degC > 130.0)
            continue;
        aid_near_relative("density", fluid_density(&water, t_degC),
                          aid_table_number(&table, i, "rho_if97"), 1e-7);
        aid_near_relative("cp", fluid_cp(&water, t_degC),
                          1e3 * aid_table_number(&table, i, "cp_if97"), 2e-6);
    }
    aid_table_free(&table);
}

/* Saturated liquid: 83.91 kJ/kg at 20 degC, 335.01 kJ/kg at 80 degC, as steam tables print them
 * (from memory); the pressure differs by less than 1 bar, worth 0.1 kJ/kg. */
static void enthalpy_agrees_with_steam_tables(void **state)
{
    (void)state;
    struct fluid water;
    fluid_water(&water);
    aid_near("20 to 80 degC", fluid_enthalpy_rise(&water, 20.0, 80.0), 335010.0 - 83910.0, 150.0);
    aid_near("backwards", fluid_enthalpy_rise(&water, 80.0, 20.0), 83910.0 - 335010.0, 150.0);
    aid_near("nothing", fluid_enthalpy_rise(&water, 33.3, 33.3), 0.0, 0.0);
}

/* Rise = integral of the very cp that fluid_cp gives: Simpson over many small steps. */
static void enthalpy_is_the_integral_of_cp(void **state)
{
    (void)state;
    static const double t_degC[] = {-12.5, 3.7, 41.9, 88.3};
    static const double density[] = {1050.5, 1043.2, 1021.7, 989.3};
    static const double cp[] = {3511.0, 3602.0, 3744.0, 3901.0};
    struct fluid fluids[2];
    fluid_water(&fluids[0]);
    faults_init(&faults);
    assert_true(fluid_table(&fluids[1], "x", t_degC, density, cp, 4, "x.csv", &faults));
    for (size_t k = 0; k < 2; k++) {
        double from = 4.31;
        double to = 77.77;
        int n = 200000;
        double h = (to - from) / n;
        double sum = fluid_cp(&fluids[k], from) + fluid_cp(&fluids[k], to);
        for (int i = 1; i < n; i++)
            sum += (i % 2 == 1 ? 4.0 : 2.0) * fluid_cp(&fluids[k], from + i * h);
        aid_near_relative(fluids[k].name, fluid_enthalpy_rise(&fluids[k], from, to), sum * h / 3.0,
                          1e-9);
    }
}

static void outside_its_range_a_fluid_gives_nan(void **state)
{
    (void)state;
    struct fluid water;
    fluid_water(&water);
    static const double outside[] = {-0.001, 130.001, NAN, INFINITY, -INFINITY};
    for (size_t i = 0; i < 5; i++) {
        assert_false(fluid_covers(&water, outside[i]));
        assert_true(isnan(fluid_density(&water, outside[i])));
        assert_true(isnan(fluid_cp(&water, outside[i])));
        assert_true(isnan(fluid_enthalpy_rise(&water, 20.0, outside[i])));
        assert_true(isnan(fluid_enthalpy_rise(&water, outside[i], 20.0)));
    }
    assert_true(isfinite(fluid_cp(&water, 0.0)));
    assert_true(isfinite(fluid_enthalpy_rise(&water, 0.0, 130.0)));
}

static void a_table_is_joined_by_straight_lines(void **state)
{
    (void)state;
    static const double t_degC[] = {-10.0, 20.0, 90.0};
    static const double density[] = {1047.5, 1035.5, 990.25};
    static const double cp[] = {3580.0, 3670.5, 3905.0};
    struct fluid fluid;
    faults_init(&faults);
    assert_true(fluid_table(&fluid, "antifreeze", t_degC, density, cp, 3, "x.csv", &faults));
    static const struct {
        double t_degC;
        double density;
        double cp;
    } rows[] = {
        {-10.0, 1047.5, 3580.0},
        {5.0, 1041.5, 3625.25},
        {55.0, 1012.875, 3787.75},
        {90.0, 990.25, 3905.0},
    };
    for (size_t i = 0; i < 4; i++) {
        aid_near_relative("density", fluid_density(&fluid, rows[i].t_degC), rows[i].density, 1e-12);
        aid_near_relative("cp", fluid_cp(&fluid, rows[i].t_degC), rows[i].cp, 1e-12);
    }
    /* At the kink the cubic may leave the line, by less than a tenth of a grid step's change. */
    aid_near_relative("cp at the kink", fluid_cp(&fluid, 20.0), 3670.5, 1e-5);
}

static void wrong_tables_are_refused(void **state)
{
    (void)state;
    static const struct {
        double t_degC[2];
        double density[2];
        double cp[2];
        size_t n;
    } rows[] = {
        {{20.0, 20.0}, {1000.0, 999.0}, {4180.0, 4180.0}, 2},
        {{30.0, 20.0}, {1000.0, 999.0}, {4180.0, 4180.0}, 2},
        {{20.0, NAN}, {1000.0, 999.0}, {4180.0, 4180.0}, 2},
        {{20.0, 30.0}, {1.0, 999.0}, {4180.0, 4180.0}, 2},
        {{20.0, 30.0}, {1000.0, 999.0}, {4180.0, 4.18}, 2},
        {{20.0, 30.0}, {1000.0, 999.0}, {4180.0, 4180.0}, 1},
        {{20.0, 30.0}, {1000.0, 999.0}, {4180.0, 4180.0}, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct fluid fluid;
        faults_init(&faults);
        if (fluid_table(&fluid, "x", rows[i].t_degC, rows[i].density, rows[i].cp, rows[i].n, "x",
                        &faults) ||
            faults_status(&faults) != 3)
            fail_msg("row %zu was accepted", i);
    }
}

/* The hash is that of sha256sum. */
static void a_table_file_names_itself_and_its_hash(void **state)
{
    (void)state;
    struct fluid fluid;
    faults_init(&faults);
    assert_true(fluid_read_table("testdata/good/description/glycol.csv", "mix", &fluid, &faults));
    assert_string_equal(fluid.name, "mix");
    assert_string_equal(fluid.source,
                        "table glycol.csv, SHA-256 "
                        "7b20491b52e9e96b46dc0853d2eb466ed1747eceb3a76cb07ea05a00f738a0ee");
    aid_near("cp", fluid_cp(&fluid, 55.0), 3787.75, 1e-9);
    aid_near("stated range", fluid.most_degC, 90.0, 0.0);
}

/* Many instants at once are the same to the bit as each by itself: within a cell, across borders of
 * cells, at both ends, outside and with readings absent. */
static void heats_at_once_are_those_one_by_one(void **state)
{
    (void)state;
    enum { N = 67 };
    static struct fluid fluids[2];
    double flow_m3_s[N], in_degC[N], out_degC[N], heat_W[N], alone_W;
    size_t whole = 0, absent = 0;
    fluid_water(&fluids[0]);
    fluid_glycol(&fluids[1], GLYCOL_PROPYLENE, false, 0.4);
    for (size_t k = 0; k < 2; k++) {
        const struct fluid *fluid = &fluids[k];
        double least = fluid->least_degC, most = fluid->most_degC;
        for (int step = 0; step < 3000; step++) {
            double from = least - 2.0 + (most - least + 4.0) * (step * 7919 % 3000) / 3000.0;
            for (int i = 0; i < N; i++) {
                flow_m3_s[i] = 4e-5;
                in_degC[i] = from + 0.2 * sin(i * 1.7 + step);
                out_degC[i] = in_degC[i] + 3.0 * (step % 7) / 7.0;
            }
            if (step % 5 == 0)
                in_degC[step % N] = step % 3 == 0 ? least : most;
            if (step % 11 == 0)
                out_degC[step % N] = NAN;
            fluid_heat(fluid, step % 2 == 1, flow_m3_s, in_degC, out_degC, N, heat_W);
            for (int i = 0; i < N; i++) {
                fluid_heat(fluid, step % 2 == 1, flow_m3_s + i, in_degC + i, out_degC + i, 1,
                           &alone_W);
                absent += isnan(alone_W) != 0;
                whole += isnan(alone_W) == 0;
                if (isnan(alone_W) ? !isnan(heat_W[i])
                                   : memcmp(&alone_W, &heat_W[i], sizeof alone_W) != 0)
                    fail_msg("%s: %.17g to %.17g degC: %.17g W, alone %.17g W", fluid->name,
                             in_degC[i], out_degC[i], heat_W[i], alone_W);
            }
        }
    }
    assert_true(whole > 300000 && absent > 1000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(water_agrees_with_iapws95),
        cmocka_unit_test(heats_at_once_are_those_one_by_one),
        cmocka_unit_test(water_is_the_industrial_formulation),
        cmocka_unit_test(enthalpy_agrees_with_steam_tables),
        cmocka_unit_test(enthalpy_is_the_integral_of_cp),
        cmocka_unit_test(outside_its_range_a_fluid_gives_nan),
        cmocka_unit_test(a_table_is_joined_by_straight_lines),
        cmocka_unit_test(wrong_tables_are_refused),
        cmocka_unit_test(a_table_file_names_itself_and_its_hash),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
