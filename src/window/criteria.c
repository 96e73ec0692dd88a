#include "window/criteria.h"

#include "description/value.h"
#include "window/criteria_table.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>

/* Part of a figure by which arithmetic may miss it. */
#define CRITERION_ROUNDING 1e-9

const struct criterion_row *criterion_row(enum criterion_id id)
{
    return &criterion_rows[id];
}

const struct criterion_row *criterion_find(const char *key)
{
    for (int id = 0; id < CRITERION_COUNT; id++)
        if (text_same_nocase(key, criterion_rows[id].key))
            return &criterion_rows[id];
    return NULL;
}

void criteria_init(struct criteria *criteria, const char *set)
{
    size_t n;
    const struct criteria_set *sets = criteria_sets(&n);
    size_t k = 0;
    while (k < n && !text_same(sets[k].name, set))
        k++;
    assert(k < n);
    for (int id = 0; id < CRITERION_COUNT; id++) {
        const struct criterion_figure *figure = &sets[k].figure[id];
        bool on = !isnan(figure->figure);
        double si = figure->figure * criterion_rows[id].unit_si;
        criteria->criterion[id] =
            (struct criterion){on, si, on, si, figure->source, figure->mark, false};
    }
}

static bool refuse_fraction(const struct criterion_row *row, const char *value, struct place at,
                            struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "%s: '%s' is not a whole number", row->key, value);
    fault_expected(fault, "a whole number of points or temperatures, or off");
    return false;
}

bool criteria_override(struct criteria *criteria, const struct criterion_row *row,
                       const char *value, struct place at, struct faults *faults)
{
    struct criterion *criterion = &criteria->criterion[row->id];
    const struct value_limits limits = {row->least, row->most, false};
    double figure = NAN;
    bool on = !text_same_nocase(value, "off");
    if (on && row->count && !value_number(value, &limits, at, &figure, faults))
        return false;
    if (on && row->count && floor(figure) < figure)
        return refuse_fraction(row, value, at, faults);
    if (on && !row->count &&
        !value_quantity(value, row->dimension, row->difference, &limits, at, &figure, faults))
        return false;
    criterion->on = on;
    criterion->figure = figure;
    criterion->overridden = true;
    return true;
}

bool criterion_meets(enum criterion_id id, double figure, double found)
{
    double allowance = CRITERION_ROUNDING * fabs(figure);
    return criterion_rows[id].at_most ? found <= figure + allowance : found >= figure - allowance;
}

const char *criterion_text(enum criterion_id id, double figure, char *out, size_t size)
{
    const struct criterion_row *row = &criterion_rows[id];
    if (isnan(figure))
        snprintf(out, size, "off");
    else
        snprintf(out, size, "%.10g%s%s", figure / row->unit_si + 0.0,
                 row->unit[0] == '\0' ? "" : " ", row->unit);
    return out;
}

const char *criterion_found_text(enum criterion_id id, double found, char *out, size_t size)
{
    const struct criterion_row *row = &criterion_rows[id];
    if (isnan(found))
        snprintf(out, size, "%s", "");
    else
        snprintf(out, size, "%.*f%s%s", row->decimals, found / row->unit_si + 0.0,
                 row->unit[0] == '\0' ? "" : " ", row->unit);
    return out;
}

void criteria_table(const struct criteria *criteria, const struct rules *rules, struct text *out)
{
    text_add(out, "\nAsked of the whole test:\n\n");
    for (int id = 0; id < CRITERION_COUNT; id++) {
        const struct criterion_row *row = &criterion_rows[id];
        const struct criterion *criterion = &criteria->criterion[id];
        char figure[RULE_TEXT_SIZE], used[RULE_TEXT_SIZE + 16], of_set[RULE_TEXT_SIZE];
        criterion_text(row->id, criterion->figure, figure, sizeof figure);
        criterion_text(row->id, criterion->set_figure, of_set, sizeof of_set);
        snprintf(used, sizeof used, "%s%s",
                 !criterion->on ? ""
                 : row->at_most ? "at most "
                                : "at least ",
                 figure);
        text_addf(out, "  %-22s %-18s %s\n", row->key, used, row->label);
        if (criterion->overridden)
            text_addf(out, "  %-22s overridden by the description; the set says %s\n", "", of_set);
        text_addf(out, "  %-22s %s: %s\n", "", rule_known(rules, criterion->mark, false),
                  rule_source(rules, criterion->mark, criterion->source));
    }
}
