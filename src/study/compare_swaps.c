/* What a comparison says of instruments that changed places between two collectors. */
#include "study/compare_view.h"

#include "fit/combine.h"
#include "run/swaps.h"
#include "run/words.h"
#include "study/swapped.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define TEXT(ID, LABEL) {.id = (ID), .label = (LABEL), .unit = "", .kind = CELL_TEXT}
#define NUMBER(ID, LABEL, UNIT, DIGITS) \
    {.id = (ID), .label = (LABEL), .unit = (UNIT), .kind = CELL_NUMBER, .digits = (DIGITS)}

enum { COLUMNS = 10 };

/* A swap as both tests saw it. */
struct seen {
    const struct difference *difference;
    const struct instrument *in, *partner; /* of the first test, of the other */
    size_t before, after; /* pairs, or windows of the one that has fewer on that side */
};

static void count(struct seen *seen)
{
    const struct difference *d = seen->difference;
    size_t n_a = swaps_before(&d->a->reduction->means, seen->in);
    size_t n_b = swaps_before(&d->b->reduction->means, seen->partner);
    size_t m_a = d->a->reduction->means.n - n_a, m_b = d->b->reduction->means.n - n_b;
    seen->before = n_a < n_b ? n_a : n_b;
    seen->after = m_a < m_b ? m_a : m_b;
    if (!d->is_paired)
        return;
    seen->before = seen->after = 0;
    for (size_t i = 0; i < d->paired.n; i++)
        *(d->paired.points[i].pair->start_us < seen->in->swap_us ? &seen->before : &seen->after) += 1;
}

static const char *slot_of(const struct error_source *row)
{
    return strrchr(row->id, '.') + 1;
}

/* What the first test's instrument reads more than the other's, of one error.
 * Out: value, half   in the unit of the row
 * Returns: the row; NULL past the last that was solved for both */
static const struct error_source *solved(const struct seen *seen, size_t index, double *value,
                                         double *half)
{
    const struct difference_solved s = difference_solved(seen->difference);
    for (size_t j = 0; j < s.n; j++) {
        const struct error_source *one = s.items[j].row->a;
        if (one == NULL || !text_same(one->instrument_id, seen->in->id.text))
            continue;
        for (size_t k = 0; k < s.n; k++) {
            const struct error_source *other = s.items[k].row->a;
            if (other == NULL || !text_same(other->instrument_id, seen->partner->id.text) ||
                !text_same(slot_of(one), slot_of(other)) || index-- > 0)
                continue;
            double variance = one->u * one->u * s.cov[j * s.n + j] +
                              other->u * other->u * s.cov[k * s.n + k] -
                              2 * one->u * other->u * s.cov[j * s.n + k];
            *value = one->u * s.items[j].value - other->u * s.items[k].value;
            *half = fit_coverage_95(s.dof) * sqrt(variance);
            return one;
        }
    }
    return NULL;
}

/* "1.2 ± 0.4 %" of a gain; "0.12 ± 0.04 K" of a thermometer; "" of what has no such unit */
static const char *amount(const struct error_source *row, double value, double half, char *out,
                          size_t size)
{
    out[0] = '\0';
    if (row->targets[0].what == SHIFT_GAIN)
        words_percent(value, half, out, size);
    else if (channel_row(row->targets[0].channel)->dimension == DIM_TEMPERATURE)
        words_pm(value, half, "K", out, size);
    return out;
}

static bool say(const struct seen *seen, struct document *doc, struct faults *faults)
{
    const struct instrument *in = seen->in;
    const char *noun = seen->difference->is_paired ? "pairs" : "windows of each";
    char when[40], more[WORDS_SIZE] = "", what[4 * WORDS_SIZE] = "";
    double value, half;
    bool one_sided = seen->before == 0 || seen->after == 0;
    const struct error_source *row = solved(seen, 0, &value, &half);
    zone_iso(log_zone(&seen->difference->a->reduction->setup.log), in->swap_us, when, sizeof when);
    if (row != NULL)
        amount(row, value, half, more, sizeof more);
    if (one_sided)
        snprintf(what, sizeof what, "with none on one side it takes nothing out");
    else if (more[0] != '\0')
        snprintf(what, sizeof what, "what '%.40s' reads more is solved with the difference, %s",
                 in->id.text, more);
    else
        snprintf(what, sizeof what,
                 "what they differ by cancels as far as both sides hold the same "
                 "temperatures (no errors of readings are stated by which to "
                 "solve for it)");
    return document_finding(doc, FINDING_UNCERTAINTY, one_sided, faults,
                            "'%s' and '%s' (%s) changed places between '%s' and '%s' at %s, %zu %s "
                            "before and %zu after: %s.",
                            in->id.text, seen->partner->id.text, channel_row(in->channel)->label,
                            seen->difference->a->name, seen->difference->b->name, when,
                            seen->before, noun, seen->after, what);
}

static bool add_row(const struct seen *seen, const struct error_source *row, double value,
                    double half, struct table *table, struct faults *faults)
{
    char when[40];
    bool relative = row != NULL && row->targets[0].what == SHIFT_GAIN;
    zone_iso(log_zone(&seen->difference->a->reduction->setup.log), seen->in->swap_us, when,
             sizeof when);
    struct cell cells[COLUMNS] = {
        cell_text(seen->difference->a->name),
        cell_text(seen->difference->b->name),
        cell_text(seen->in->id.text),
        cell_text(seen->partner->id.text),
        cell_text(when),
        cell_number((double)seen->before),
        cell_number((double)seen->after),
        cell_text(row != NULL ? slot_of(row) : ""),
        cell_number(row != NULL ? (relative ? 100 : 1) * value : NAN),
        cell_number(row != NULL ? (relative ? 100 : 1) * half : NAN)};
    return table_row(table, cells, faults);
}

static bool add_rows(const struct seen *seen, struct table *table, struct faults *faults)
{
    double value, half;
    const struct error_source *row = solved(seen, 0, &value, &half);
    if (row == NULL)
        return add_row(seen, NULL, NAN, NAN, table, faults);
    for (size_t k = 0; (row = solved(seen, k, &value, &half)) != NULL; k++)
        if (!add_row(seen, row, value, half, table, faults))
            return false;
    return true;
}

static struct table *make_table(struct document *doc, struct faults *faults)
{
    struct column columns[COLUMNS] = {TEXT("first", "first"),
                                      TEXT("other", "other"),
                                      TEXT("instrument", "instrument"),
                                      TEXT("changed with", "changed with"),
                                      TEXT("at", "at"),
                                      NUMBER("before", "before", "", 0),
                                      NUMBER("after", "after", "", 0),
                                      TEXT("error", "error"),
                                      NUMBER("reads more", "reads more", "", 3),
                                      NUMBER("pm reads more", "+-", "", 3)};
    struct table *table = document_table(
        doc, "compare_swaps", "Instruments that changed places",
        "Before, after: pairs of windows, or windows of the test with fewer; reads more: the "
        "instrument less the one that it changed with, solved with the difference, % of a gain, "
        "otherwise "
        "the unit of the channel in SI; half of the 95 % interval",
        columns, COLUMNS, faults);
    if (table != NULL) {
        table->report = table->file = true;
        table->place = TABLE_RESULT;
    }
    return table;
}

/* Calls for every swap between the first test and another. Without a table it is said in words. */
static bool each(const struct compare_view *view, struct document *doc, struct table *table,
                 size_t *n, struct faults *faults)
{
    *n = 0;
    for (size_t i = 0; i + 1 < view->n; i++) {
        const struct difference *d = &view->differences[i];
        const struct test_setup *setup = &d->a->reduction->setup;
        for (size_t k = 0; k < setup->n_instruments; k++) {
            struct seen seen = {.difference = d, .in = &setup->instruments[k]};
            seen.partner = d->b->is_stated ? NULL : swapped_partner(seen.in, d->b);
            if (seen.partner == NULL)
                continue;
            ++*n;
            count(&seen);
            if (!(table != NULL ? add_rows(&seen, table, faults) : say(&seen, doc, faults)))
                return false;
        }
    }
    return true;
}

bool compare_swaps(const struct compare_view *view, struct document *doc, struct faults *faults)
{
    size_t n;
    if (view->tests[0].is_stated)
        return true;
    if (!each(view, doc, NULL, &n, faults))
        return false;
    if (n == 0)
        return true;
    struct table *table = make_table(doc, faults);
    return table != NULL && each(view, doc, table, &n, faults);
}
