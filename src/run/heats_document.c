/* What a heat meter shows, beside flow and rise where there are both. */
#include "run/heats.h"
#include "run/reduction_document.h"
#include "run/setup_heat.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

enum { CAUSE_SIZE = 420 };

/* Twice the standard uncertainty stands for the half width of a 95 % interval. */
static const double coverage = 2.0;

static bool heats_table(const struct reduction *r, const struct heats *heats, struct document *doc,
                        struct faults *faults)
{
    static const struct column columns[] = {
        {.id = "window", .label = "window", .unit = "", .kind = CELL_TEXT},
        {.id = "metered heat [W]", .label = "heat meter", .unit = "W", .kind = CELL_NUMBER},
        {.id = "u metered heat [W]", .label = "u", .unit = "W", .kind = CELL_NUMBER, .digits = 1},
        {.id = "flow heat [W]", .label = "flow and rise", .unit = "W", .kind = CELL_NUMBER},
        {.id = "u flow heat [W]", .label = "u", .unit = "W", .kind = CELL_NUMBER, .digits = 1},
        {.id = "difference [W]",
         .label = "difference",
         .unit = "W",
         .kind = CELL_NUMBER,
         .digits = 1},
        {.id = "u difference [W]", .label = "u", .unit = "W", .kind = CELL_NUMBER, .digits = 1},
    };
    struct table *table = document_table(
        doc, "heats",
        heats->both > 0 ? "The heat meter beside flow and rise" : "The heat of the heat meter",
        "What the fluid carries away at the thermometers, by either way; u is a standard "
        "uncertainty, with the calibrations that all windows share",
        columns, sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->file = table->report = true;
    table->place = TABLE_POINTS;
    for (size_t i = 0; i < heats->n; i++) {
        const struct heats_pair *pair = &heats->pairs[i];
        struct cell cells[] = {
            cell_text(r->means.items[i].name), cell_number(pair->meter_W),
            cell_number(pair->u_meter_W),      cell_number(pair->flow_W),
            cell_number(pair->u_flow_W),       cell_number(pair->meter_W - pair->flow_W),
            cell_number(pair->u_difference_W)};
        if (!table_row(table, cells, faults))
            return false;
    }
    return true;
}

static bool ratio_number(const struct heats *heats, struct document *doc, struct faults *faults)
{
    const struct number number = {.id = "heats.ratio",
                                  .label = "heat of the heat meter by that of flow and rise",
                                  .symbol = "Q_m/Q",
                                  .unit = "",
                                  .value = heats->ratio,
                                  .u = heats->u_ratio,
                                  .low = heats->ratio - coverage * heats->u_ratio,
                                  .high = heats->ratio + coverage * heats->u_ratio,
                                  .dof = INFINITY};
    return document_number(doc, &number, faults);
}

/* What would explain the difference, and what to do. */
static void write_cause(const struct heats *heats, char out[CAUSE_SIZE])
{
    struct heats_guess guess = heats_guess(heats);
    double rise = heats->rise_K * (1 - heats->ratio);
    char flow[32];
    switch (guess.cause) {
    case HEATS_UNIT:
    case HEATS_FLOW_UNIT:
        snprintf(out, CAUSE_SIZE,
                 "That is %.3g times as much, as if %s: look at the 'unit' of both.", heats->ratio,
                 guess.what);
        break;
    case HEATS_EXCHANGED:
        snprintf(out, CAUSE_SIZE,
                 "They are equal but for the sign, as if %s, in the log or in the description.",
                 guess.what);
        break;
    case HEATS_FOR_WATER:
        snprintf(
            out, CAUSE_SIZE,
            "A heat meter that is set for water shows %.1f %% too %s with this fluid, which is "
            "what is seen: its label says for which fluid it is made.",
            100 * fabs(heats->water - 1), heats->water > 1 ? "much" : "little");
        break;
    case HEATS_FOR_GLYCOL:
        snprintf(
            out, CAUSE_SIZE,
            "So much less is what a meter set for antifreeze shows with water. Other causes of "
            "that size: its sensors (as if the rise were %.2g K smaller), or the flow meter.",
            fabs(rise));
        break;
    case HEATS_NONE:
        snprintf(
            out, CAUSE_SIZE,
            "It is as if the rise, which is %.1f K on the whole, were read %.2g K too %s, or the "
            "flow %s %% too %s: which of the two meters is right a bucket and a stopwatch "
            "tell.",
            heats->rise_K, fabs(rise), rise > 0 ? "large" : "small",
            words_rough_percent(fabs(1 / heats->ratio - 1), flow, sizeof flow),
            heats->ratio < 1 ? "high" : "low");
    }
}

static bool say_compared(const struct heats *heats, bool by_meter, struct document *doc,
                         struct faults *faults)
{
    char off[WORDS_SIZE], windows[WORDS_SIZE], beyond[WORDS_SIZE], cause[CAUSE_SIZE];
    bool differ = heats_differ(heats);
    words_percent(fabs(heats->ratio - 1), coverage * heats->u_ratio, off, sizeof off);
    words_count(heats->both, "window", windows, sizeof windows);
    words_count(differ ? heats->beyond : heats->both - heats->beyond, "window", beyond,
                sizeof beyond);
    write_cause(heats, cause);
    return document_finding(doc, FINDING_CHECKS, differ, faults,
                            "Over %s the heat meter shows %s %s than flow and rise, %s both "
                            "uncertainties together; one "
                            "by one they are so in %s. The efficiency is from %s.%s%s",
                            windows, off, heats->ratio < 1 ? "less" : "more",
                            differ ? "which is beyond" : "within", beyond,
                            by_meter ? "the heat meter" : "flow and rise", differ ? " " : "",
                            differ ? cause : "");
}

static bool has_flow(const struct reduction *r)
{
    return instrument_of_channel(r->setup.instruments, r->setup.n_instruments, CH_FLOW) != NULL ||
           instrument_of_channel(r->setup.instruments, r->setup.n_instruments, CH_MASS_FLOW) !=
               NULL;
}

static bool say_alone(const struct reduction *r, struct document *doc, struct faults *faults)
{
    return has_flow(r) ||
           document_finding(
               doc, FINDING_NOT_STATED, false, faults,
               "No flow is measured: the heat is that of the heat meter alone. Whether "
               "the flow was steady, what it was per area and the capacity rate were "
               "not checked, nor the heat against flow and rise.");
}

/* Common practice, no source: a calculator multiplies by the heat of water, and what its flow
 * sensor does with a thicker fluid is its maker's to say. */
static bool warn_of_fluid(const struct reduction *r, const struct heats *heats,
                          struct document *doc, struct faults *faults)
{
    if (!isfinite(heats->water) || fabs(heats->water - 1) < 0.005)
        return true;
    return document_finding(
        doc, FINDING_NOT_STATED, setup_heat_by_meter(&r->setup), faults,
        "Most heat meters are made for water. Set for water, one shows %.1f %% too %s with this "
        "fluid at these temperatures, and its flow sensor may err beside that with a thicker "
        "fluid: "
        "its label says what it is made for. Where it is water, 'gain = %.4f' puts the first right "
        "('resolution' then by as much).",
        100 * fabs(heats->water - 1), heats->water > 1 ? "much" : "little", 1 / heats->water);
}

bool reduction_heats(const struct reduction *r, struct document *doc, struct faults *faults)
{
    struct heats heats = {0};
    if (!r->from_log || r->means.n == 0 ||
        instrument_of_channel(r->setup.instruments, r->setup.n_instruments, CH_METERED) == NULL)
        return true;
    bool by_meter = setup_heat_by_meter(&r->setup);
    bool good = heats_find(r, &heats, faults) && heats_table(r, &heats, doc, faults) &&
                say_alone(r, doc, faults) && warn_of_fluid(r, &heats, doc, faults);
    if (good && heats.both > 0)
        good = ratio_number(&heats, doc, faults) && say_compared(&heats, by_meter, doc, faults);
    else if (good && has_flow(r))
        good =
            document_finding(doc, FINDING_CHECKS, true, faults,
                             "The heat meter could not be held against flow and rise: in no "
                             "window does its total make two steps with a reading in every row.");
    heats_free(&heats);
    return good;
}
