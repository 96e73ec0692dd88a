/* Thermometers together: all hang in one stirred bucket and feel the same. */
#include "run/check.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { PARTS_LEAST = 5 };

static void name_probes(const struct test_setup *setup, const struct check_keys *keys,
                        struct check_result *result)
{
    result->n_probes = keys->thermometers.n;
    result->reference = CHECK_NO_PROBE;
    for (size_t i = 0; i < result->n_probes; i++) {
        struct check_probe *probe = &result->probes[i];
        const char *name = keys->thermometers.items[i].text;
        const struct instrument *found =
            instrument_find(setup->instruments, setup->n_instruments, name);
        probe->instrument = found == NULL ? CHECK_NO_PROBE : (size_t)(found - setup->instruments);
        snprintf(probe->name, sizeof probe->name, "%.*s", NAME_SIZE - 1,
                 found == NULL ? name : found->name);
        if (keys->reference.at.given && text_same_nocase(keys->reference.text, name))
            result->reference = i;
    }
    if (!keys->reference.at.given)
        result->reference = check_best_known(setup, result);
}

static void from_log(const struct test_setup *setup, const struct check_parts *parts,
                     struct check_result *result)
{
    double readings[CHECK_PARTS][CHECK_PROBES] = {{0}};
    if (parts->n < PARTS_LEAST) {
        check_fails(result, "readings of all thermometers all through the stretch",
                    "look at date, time and zone of 'from' and 'to'",
                    "only %zu of the %d parts of the stretch hold good readings", parts->n,
                    CHECK_PARTS);
        return;
    }
    for (size_t k = 0; k < parts->n; k++)
        for (size_t i = 0; i < result->n_probes; i++)
            readings[k][i] =
                parts->mean[k][setup->instruments[result->probes[i].instrument].channel];
    check_compare(setup, parts->time_s, (const double(*)[CHECK_PROBES])readings, parts->n, result);
}

void together_find(const struct test_setup *setup, const struct run_section *run,
                   const struct check_parts *parts, struct check_result *result)
{
    const struct check_keys *keys = &run->check;
    memset(result, 0, sizeof *result);
    result->run = run;
    result->length_s = keys->stretch ? (double)(keys->end_us - keys->start_us) / 1e6 : NAN;
    name_probes(setup, keys, result);
    if (keys->stretch) {
        from_log(setup, parts, result);
        return;
    }
    double order[CHECK_READINGS];
    for (size_t k = 0; k < keys->n_readings; k++)
        order[k] = (double)k;
    check_compare(setup, order, (const double(*)[CHECK_PROBES])keys->readings, keys->n_readings,
                  result);
}
