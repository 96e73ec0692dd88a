/* Units in the heads of logs against those of the description. What each name says is how people
 * write it; no source. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/head_units.h"
#include "ingest/rows.h"

#include <stdio.h>
#include <string.h>

enum outcome { PASSES, DOUBTED, REFUSED };

struct head {
    const char *name; /* of the column */
    enum channel channel;
    const char *unit; /* of the description */
    enum outcome outcome;
    const char *beside; /* another name of the log, or NULL */
};

static const struct head heads[] = {
    {"Tin", CH_INLET, "degC", PASSES, NULL},
    {"Tin F", CH_INLET, "degC", REFUSED, NULL},
    {"Tin F", CH_INLET, "degF", PASSES, NULL},
    {"Tin_F", CH_INLET, "degC", REFUSED, NULL},
    {"t_in_c", CH_INLET, "degF", REFUSED, NULL},
    {"Tin °F", CH_INLET, "degC", REFUSED, NULL},
    {"Tin°F", CH_INLET, "degC", REFUSED, NULL},
    {"Tin ℉", CH_INLET, "degC", REFUSED, NULL},
    {"Tin/°F", CH_INLET, "degC", REFUSED, NULL},
    {"Air °F", CH_AMBIENT, "degC", REFUSED, NULL},
    {"T in (degF)", CH_INLET, "degC", REFUSED, NULL},
    {"T (degF) in", CH_INLET, "degC", REFUSED, NULL},
    {"TinF", CH_INLET, "degC", DOUBTED, NULL},
    {"Temp F", CH_INLET, "degC", DOUBTED, NULL},
    {"Sensor F", CH_INLET, "degC", DOUBTED, NULL},
    {"T C", CH_INLET, "degF", DOUBTED, NULL},
    {"T C", CH_INLET, "degC", PASSES, NULL},
    {"Tin K", CH_INLET, "degC", DOUBTED, NULL},
    {"Inlet F", CH_INLET, "degC", DOUBTED, "Inlet B"},
    {"Inlet F", CH_INLET, "degC", REFUSED, "Outlet B"},
    {"UA W/K", CH_INLET, "degC", PASSES, NULL},
    {"Flow", CH_FLOW, "L/min", PASSES, NULL},
    {"Flow 2", CH_FLOW, "L/min", PASSES, NULL},
    {"Flow lpm", CH_FLOW, "L/min", PASSES, NULL},
    {"Flow gpm", CH_FLOW, "L/min", REFUSED, NULL},
    {"Flow / gpm", CH_FLOW, "L/min", REFUSED, NULL},
    {"Flow/gpm", CH_FLOW, "L/min", REFUSED, NULL},
    {"Flow l/h", CH_FLOW, "L/min", REFUSED, NULL},
    {"FlowGPM", CH_FLOW, "L/min", REFUSED, NULL},
    {"Flow pulses/L", CH_FLOW, "L/min", PASSES, NULL},
    {"G kW/m2", CH_IRRADIANCE, "W/m2", REFUSED, NULL},
    {"G W/m²", CH_IRRADIANCE, "W/m2", PASSES, NULL},
    {"G W m-2", CH_IRRADIANCE, "W/m2", PASSES, NULL},
    {"Wind-kmh", CH_WIND, "m/s", REFUSED, NULL},
    {"SolarRad", CH_IRRADIANCE, "W/m2", PASSES, NULL},
};

static enum outcome outcome_of(const struct head *head, struct faults *faults)
{
    char log[200];
    struct log_plan plan;
    struct row_form form;
    struct rows rows;
    log_plan_init(&plan);
    const struct unit *unit = unit_find(head->unit, channel_row(head->channel)->dimension);
    assert_non_null(unit);
    assert_true(log_plan_set_time(&plan, "Time", NULL, "ISO 8601", faults));
    assert_true(log_plan_add_column(&plan, head->channel, head->name, unit, 1.0, 0.0, faults));
    snprintf(log, sizeof log, "Time,%s,%s\n2026-06-21T10:15:58,23.85,17.4\n", head->name,
             head->beside == NULL ? "Remark" : head->beside);
    assert_true(row_form_init(&form, &plan, faults));
    assert_true(rows_open_memory(&rows, &form, "log.csv", log, strlen(log), faults));
    bool good = head_units_check(&rows, faults);
    assert_int_equal(good, faults_errors(faults) == 0);
    rows_close(&rows);
    log_plan_free(&plan);
    return !good ? REFUSED : faults->n > 0 ? DOUBTED : PASSES;
}

static void heads_are_compared(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof heads / sizeof heads[0]; i++) {
        struct faults faults;
        faults_init(&faults);
        enum outcome outcome = outcome_of(&heads[i], &faults);
        if (outcome != heads[i].outcome)
            fail_msg("'%s' under %s: %d, expected %d", heads[i].name, heads[i].unit, (int)outcome,
                     (int)heads[i].outcome);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(heads_are_compared)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
