#include "domain/fluid_mixture.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

bool mixture_find(const char *name, enum glycol *glycol)
{
    for (int i = 0; i < GLYCOL_COUNT; i++)
        if (text_same_nocase(name, glycol_name((enum glycol)i))) {
            *glycol = (enum glycol)i;
            return true;
        }
    return false;
}

static bool refuse_basis(const struct stated_text *stated, const char *amount, const char *file,
                         struct faults *faults)
{
    struct place at = fault_at(file, stated->at.line, stated->at.column);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' does not say by what the fraction is counted", stated->text);
    fault_expected(fault,
                   "'%s by volume' (litres in a litre of the mixture) or '%s by mass' (kg in a kg)",
                   amount, amount);
    fault_hint(fault, "mixed by canisters and buckets it is by volume; a refractometer's or a "
                      "certificate's scale says which it means");
    return false;
}

/* "30 % by volume": the amount is left in `amount`, VALUE_SIZE, which ends before " by".
 * Returns: false with a fault if the basis is absent or unknown. */
static bool split_basis(const struct stated_text *stated, char *amount, bool *by_mass,
                        const char *file, struct faults *faults)
{
    snprintf(amount, VALUE_SIZE, "%s", stated->text);
    char *by = strstr(amount, " by ");
    if (by == NULL)
        return refuse_basis(stated, amount, file, faults);
    *by = '\0';
    const char *basis = text_trim(by + 4);
    *by_mass = text_same_nocase(basis, "mass");
    return *by_mass || text_same_nocase(basis, "volume") ||
           refuse_basis(stated, amount, file, faults);
}

static bool refuse_range(const struct stated_text *stated, enum glycol glycol, const char *file,
                         struct faults *faults)
{
    struct place at = fault_at(file, stated->at.line, stated->at.column);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "the table of %s does not reach '%s'", glycol_name(glycol), stated->text);
    fault_expected(fault, "%.0f to %.0f %% by volume (%.1f to %.1f %% by mass)",
                   100.0 * glycol_least_volume, 100.0 * glycol_most_volume,
                   100.0 * glycol_mass_of(glycol, glycol_least_volume),
                   100.0 * glycol_mass_of(glycol, glycol_most_volume));
    fault_hint(fault, "for another mixture give the maker's own figures with 'table = FILE.csv'");
    return false;
}

/* Rounding may not refuse the very ends when they are stated by mass. */
static bool within(enum glycol glycol, bool by_mass, double fraction)
{
    const double rounding = 1e-4;
    if (!by_mass)
        return fraction >= glycol_least_volume && fraction <= glycol_most_volume;
    return fraction >= glycol_mass_of(glycol, glycol_least_volume) - rounding &&
           fraction <= glycol_mass_of(glycol, glycol_most_volume) + rounding;
}

static bool refuse_absent(const struct fluid_choice *choice, enum glycol glycol, const char *file,
                          struct faults *faults)
{
    struct place at = fault_at(file, choice->name.at.line, choice->name.at.column);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "how much %s is in is not stated", glycol_name(glycol));
    fault_expected(fault, "'fraction = 30 %% by volume' or 'fraction = 30 %% by mass'");
    return false;
}

bool mixture_choose(const struct fluid_choice *choice, enum glycol glycol, const char *file,
                    struct fluid *fluid, struct faults *faults)
{
    const struct stated_text *stated = &choice->fraction;
    char amount[VALUE_SIZE];
    bool by_mass = false;
    double fraction;
    if (!stated->at.given)
        return refuse_absent(choice, glycol, file, faults);
    struct place at = fault_at(file, stated->at.line, stated->at.column);
    if (!split_basis(stated, amount, &by_mass, file, faults) ||
        !value_quantity(amount, DIM_NONE, false, NULL, at, &fraction, faults))
        return false;
    if (!within(glycol, by_mass, fraction))
        return refuse_range(stated, glycol, file, faults);
    fluid_glycol(fluid, glycol, by_mass, fraction);
    if (choice->fraction_error.at.given)
        fluid->u_fraction = choice->fraction_error.u;
    return true;
}

static bool refuse_key(const struct stated *at, const char *key, const char *what, const char *file,
                       struct faults *faults)
{
    if (!at->given)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, at->line, at->column));
    fault_found(fault, "'%s' belongs to a glycol that is built in, and the fluid is %s", key, what);
    fault_expected(fault, "'name = propylene glycol' or 'name = ethylene glycol', without a table");
    fault_hint(fault, "remove '%s', or name the glycol", key);
    return false;
}

bool mixture_refuse_keys(const struct fluid_choice *choice, const char *what, const char *file,
                         struct faults *faults)
{
    bool good = refuse_key(&choice->fraction.at, "fraction", what, file, faults);
    return refuse_key(&choice->fraction_error.at, "fraction error", what, file, faults) && good;
}
