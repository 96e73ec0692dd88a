/* What a zero check says. */
#include "run/check_document.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

/* Shorter checks and warmer water are said; 20 min and water as warm as the air are what it asks
 * for. */
#define LONG_S 900.0
#define NEAR_AIR_K 3.0
#define ZERO_BEYOND 3.0

static bool say_loop(const struct check_result *result, struct document *doc, struct faults *faults)
{
    const struct check_loop *loop = &result->loop;
    char length[32], above[WORDS_SIZE], rise[WORDS_SIZE];
    words_duration(result->length_s, length, sizeof length);
    words_fixed(loop->above_air_K, 1, above, sizeof above);
    words_pm(loop->rise_K, 1.96 * loop->u_rise_K, "K", rise, sizeof rise);
    if (!document_finding(
            doc, FINDING_DETAIL, false, faults,
            "Zero check '%s': %s in %zu parts, the water %s K above the air and changing by %.2f K "
            "an "
            "hour, %.2f kg/s. With a loss of 6 ± 6 W/(m² K), our figure, the collector itself "
            "moved the outlet by %s, which is taken off the offset.",
            result->run->name, length, result->n, above, 3600 * loop->drift_K_s, loop->flow_kg_s,
            rise))
        return false;
    if (result->length_s < LONG_S &&
        !document_finding(doc, FINDING_CHECKS, true, faults,
                          "The zero check '%s' took only %s: 20 min are asked for.",
                          result->run->name, length))
        return false;
    return fabs(loop->above_air_K) <= NEAR_AIR_K ||
           document_finding(
               doc, FINDING_CHECKS, true, faults,
               "In the zero check '%s' the water was %s K off the air: what the collector "
               "lost is known badly. Within 3 K it does not matter.",
               result->run->name, above);
}

static bool say_zero(const struct reduction *r, const struct check_result *result,
                     struct table *table, struct document *doc, struct faults *faults)
{
    const struct check_zero *zero = &result->zero;
    if (!zero->found)
        return true;
    const char *name = r->setup.instruments[zero->instrument].name;
    struct check_line line = {name,
                              "zero",
                              "W/m2",
                              zero->value_W_m2,
                              zero->u_W_m2,
                              zero->dof,
                              zero->u_left_W_m2,
                              zero->u_before_W_m2};
    char value[WORDS_SIZE], before[WORDS_SIZE];
    words_pm(zero->value_W_m2, check_half_95(zero->u_W_m2, zero->dof, zero->u_left_W_m2), "W/m²",
             value, sizeof value);
    if (zero->u_before_W_m2 > 0)
        snprintf(before, sizeof before, "± %.2g W/m² before", 1.96 * zero->u_before_W_m2);
    else
        snprintf(before, sizeof before, "not known before");
    if (!check_line_add(result, &line, table, doc, faults) ||
        !document_finding(doc, FINDING_CHECKS, false, faults,
                          "In the dark '%s' shows %s%s; %s (zero check '%s').", name, value,
                          result->run->check.applied ? ", which is taken off"
                                                     : ", which is not taken off ('apply = no')",
                          before, result->run->name))
        return false;
    return !(zero->u_before_W_m2 > 0) ||
           fabs(zero->value_W_m2) < ZERO_BEYOND * zero->u_before_W_m2 ||
           document_finding(
               doc, FINDING_CHECKS, true, faults,
               "A zero of %.1f W/m² is more than what is stated of '%s' permits: was it "
               "dark?",
               zero->value_W_m2, name);
}

bool run_zero_check(const struct reduction *r, const struct run_section *run, struct document *doc,
                    struct faults *faults)
{
    const struct check_result *result = check_result_of(r, run);
    if (!result->found)
        return check_not_found(result, faults);
    struct table *table = check_table(
        result,
        "Water circulates at the temperature of the air, in the dark: what the instruments "
        "show is their own. u: standard uncertainty.",
        doc, faults);
    return table != NULL && check_probes_say(result, table, doc, faults) &&
           say_zero(r, result, table, doc, faults) && say_loop(result, doc, faults) &&
           document_caution(
               doc,
               "Zero check: work beside the collector in daylight first, so that you find "
               "pump and valve in the dark. Never put a cover on hot glass, and let a "
               "collector that stood in the sun cool down before water comes in.",
               faults);
}
