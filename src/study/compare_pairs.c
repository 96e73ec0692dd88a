/* What a comparison says of windows at the same times, and their table. */
#include "study/compare_view.h"

#include "base/calendar.h"
#include "run/words.h"

#include <math.h>
#include <stdio.h>

#define TEXT(ID, LABEL) {.id = (ID), .label = (LABEL), .unit = "", .kind = CELL_TEXT}
#define NUMBER(ID, LABEL, UNIT, DIGITS) \
    {.id = (ID), .label = (LABEL), .unit = (UNIT), .kind = CELL_NUMBER, .digits = (DIGITS)}

enum { COLUMNS = 15 };

/* What the two curves by themselves would give, in the middle. */
static bool say_taken(const struct compare_view *view, const struct difference *difference,
                      struct document *doc, struct faults *faults)
{
    struct difference_at by_pairs, by_curves;
    double x = 0.5 * (difference->x_low + difference->x_high), g = view->g_W_m2;
    char pairs[WORDS_SIZE], curves[WORDS_SIZE];
    difference_look(difference, x, g, &by_pairs);
    difference_look_curves(difference, x, g, &by_curves);
    words_pm(100 * by_pairs.value, 100 * by_pairs.half_95, "", pairs, sizeof pairs);
    words_pm(100 * by_curves.value, 100 * by_curves.half_95, "", curves, sizeof curves);
    return document_finding(
        doc, FINDING_UNCERTAINTY, false, faults,
        "%zu windows of '%s' and '%s' are of the same times: the difference is read "
        "from these pairs, which share sun, sky and wind (%s percentage points %.0f "
        "K above the air; by the two curves it would be %s).",
        difference->paired.n, difference->a->name, difference->b->name, pairs, x * g, curves);
}

static bool say_days(const struct difference *difference, struct document *doc,
                     struct faults *faults)
{
    double extra = difference->paired.extra_days;
    char points[WORDS_SIZE];
    if (!(extra > 0))
        return true;
    return document_finding(
        doc, FINDING_UNCERTAINTY, true, faults,
        "The difference of '%s' and '%s' is not the same on each day: days differ by "
        "%s percentage points (one standard deviation) more than what is stated "
        "makes of it, and that counts. Find what differed between the days.",
        difference->a->name, difference->b->name,
        words_fixed(100 * sqrt(extra), 1, points, sizeof points));
}

static bool say(const struct compare_view *view, const struct difference *difference,
                struct document *doc, struct faults *faults)
{
    char why[2 * WORDS_SIZE];
    if (difference->is_paired)
        return say_taken(view, difference, doc, faults) && say_days(difference, doc, faults);
    if (difference->pairs.path == PAIRS_STATED)
        return true;
    return document_finding(
        doc, FINDING_DETAIL, false, faults,
        "The difference of '%s' and '%s' is that of their two curves and not read "
        "from windows at the same times: %s.",
        difference->a->name, difference->b->name,
        pairs_path_words(&difference->pairs, why, sizeof why));
}

/* Where the pair was used; NULL where it was not. */
static const struct paired_point *used_as(const struct difference *difference,
                                          const struct pair *pair)
{
    for (size_t i = 0; difference->is_paired && i < difference->paired.n; i++)
        if (difference->paired.points[i].pair == pair)
            return &difference->paired.points[i];
    return NULL;
}

static bool row(const struct difference *difference, const struct pair *pair, struct table *table,
                struct faults *faults)
{
    const struct paired_point *used = used_as(difference, pair);
    char start[40], end[40];
    calendar_iso(pair->start_us, 0, start, sizeof start);
    calendar_iso(pair->end_us, 0, end, sizeof end);
    struct cell cells[COLUMNS] = {
        cell_text(difference->a->name),
        cell_text(difference->b->name),
        cell_text(start),
        cell_text(end),
        cell_number(100 * pair->overlap),
        cell_number(pair->at.g),
        cell_number(pair->at.x * pair->at.g),
        cell_number(pair->apart_K),
        cell_number(pair->at.x),
        cell_number(used != NULL ? used->of_a : NAN),
        cell_number(used != NULL ? used->of_b : NAN),
        cell_number(used != NULL ? 100 * (used->of_a - used->of_b) : NAN),
        cell_number(used != NULL ? 100 * used->u : NAN),
        cell_number(used != NULL ? 100 * used->residual : NAN),
        cell_text(used != NULL ? "yes" : pair->alike ? "no" : "no: temperatures apart")};
    return table_row(table, cells, faults);
}

static bool table_of(const struct compare_view *view, struct document *doc, struct faults *faults)
{
    struct column columns[COLUMNS] = {TEXT("first", "first"),
                                      TEXT("other", "other"),
                                      TEXT("start", "from"),
                                      TEXT("end", "to"),
                                      NUMBER("overlap [%]", "in common", "%", 0),
                                      NUMBER("irradiance [W/m2]", "sunshine", "W/m2", 0),
                                      NUMBER("above air [K]", "fluid − air", "K", 1),
                                      NUMBER("apart [K]", "apart", "K", 2),
                                      NUMBER("T*", "T*", "m2 K/W", 5),
                                      NUMBER("efficiency first", "first", "", 4),
                                      NUMBER("efficiency other", "other", "", 4),
                                      NUMBER("difference [%]", "difference", "% points", 2),
                                      NUMBER("u difference [%]", "standard u", "% points", 2),
                                      NUMBER("residual [%]", "residual", "% points", 2),
                                      TEXT("used", "used")};
    struct table *table =
        document_table(doc, "compare_pairs", "Windows at the same times",
                       "Times in UTC; both efficiencies brought to one T* and one sunshine along "
                       "their own curves; "
                       "standard u: from readings that the two windows do not share",
                       columns, COLUMNS, faults);
    if (table == NULL)
        return false;
    table->report = table->file = true;
    table->place = TABLE_POINTS;
    for (size_t i = 0; i + 1 < view->n; i++)
        for (size_t k = 0; k < view->differences[i].pairs.n; k++)
            if (!row(&view->differences[i], &view->differences[i].pairs.items[k], table, faults))
                return false;
    return true;
}

bool compare_pairs(const struct compare_view *view, struct document *doc, struct faults *faults)
{
    size_t n = 0;
    for (size_t i = 0; i + 1 < view->n; i++) {
        n += view->differences[i].pairs.n;
        if (!say(view, &view->differences[i], doc, faults))
            return false;
    }
    return n == 0 || table_of(view, doc, faults);
}
