#include "run/draws_document.h"

#include "base/threads.h"

#include <stdio.h>
#include <string.h>

#define TEXT(ID, LABEL) {.id = (ID), .label = (LABEL), .unit = "", .kind = CELL_TEXT}
#define NUMBER(ID, LABEL, DIGITS) \
    {.id = (ID), .label = (LABEL), .unit = "", .kind = CELL_NUMBER, .digits = (DIGITS)}

bool draws_wanted(const struct run_section *run)
{
    return !run->draws_asked || run->draws > 0;
}

struct draws_request draws_asked(const struct reduction *reduction, const struct run_section *run)
{
    unsigned threads = reduction->threads;
    return (struct draws_request){.draws = run->draws_asked ? (size_t)run->draws : 0,
                                  .seed = (uint64_t)run->seed,
                                  .threads = threads > 0 ? threads : thread_cores(),
                                  .progress = reduction->progress};
}

static bool row(struct table *table, const struct draws_interval *i, struct faults *faults)
{
    struct cell cells[] = {
        cell_text(i->what),          cell_number(i->low_linear),
        cell_number(i->high_linear), cell_number(i->low),
        cell_number(i->high),        cell_number(i->doubt),
        cell_text(i->unit),          cell_text(i->differs ? "differs" : "agrees")};
    return table_row(table, cells, faults);
}

static bool table_of(const struct draws *draws, const char *id, const struct run_section *run,
                     struct document *doc, struct faults *faults)
{
    struct column columns[] = {TEXT("of", "of"),
                               NUMBER("low_linear", "linear, from", 4),
                               NUMBER("high_linear", "to", 4),
                               NUMBER("low", "drawn, from", 4),
                               NUMBER("high", "to", 4),
                               NUMBER("doubt", "ends to", 4),
                               TEXT("unit", "unit"),
                               TEXT("verdict", "both")};
    char name[128], note[240], refused[64] = "";
    snprintf(name, sizeof name, "%s_draws", id);
    if (draws->refused > 0)
        snprintf(refused, sizeof refused, ", %zu of which could not be fitted", draws->refused);
    snprintf(note, sizeof note,
             "95 %% intervals: by linear propagation, and from %zu draws of every error%s (seed "
             "%.0f); 'ends to': twice the standard deviation of a drawn end",
             draws->n, refused, run->seed);
    struct table *table = document_table(doc, name, "Intervals found a second way", note, columns,
                                         sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->report = table->file = true;
    table->place = TABLE_FIT;
    for (size_t q = 0; q < draws->n_of; q++)
        if (!row(table, &draws->of[q], faults))
            return false;
    return true;
}

/* Names of those reported as drawn; numbers without a name for people are in the table alone. */
static void name_differing(const struct draws *draws, char *names, size_t size, size_t *n)
{
    names[0] = '\0';
    *n = 0;
    for (size_t q = 0; q < draws->n_of; q++) {
        const struct draws_interval *i = &draws->of[q];
        *n += i->differs;
        if (i->differs && i->people[0] != '\0')
            snprintf(names + strlen(names), size - strlen(names), "%s%s",
                     names[0] == '\0' ? "" : ", ", i->people);
    }
}

static bool say_differing(const struct draws *draws, const char *names, const char *band,
                          struct document *doc, struct faults *faults)
{
    bool curve = draws->n_coef > 0;
    if (names[0] == '\0')
        return document_finding(
            doc, FINDING_DETAIL, true, faults,
            "Monte Carlo: the band of the curve differs from what drawing every "
            "error gives, though no coefficient does: the table of intervals "
            "has both.");
    return document_finding(
        doc, FINDING_DETAIL, true, faults,
        "Monte Carlo: drawing every error gives other 95 %% ends of %s than linear propagation. "
        "The "
        "%s intervals are the drawn ones, since they also hold what is not straight or "
        "not normal: errors that are limits, errors of %s, few readings. %s, and "
        "what is read from it, is linear.",
        names, curve ? "coefficients'" : "modifier's", curve ? "T*" : "the angle", band);
}

/* A table of draws that were few enough refused says how many; here it is said where they count. */
bool draws_tell(const struct draws *draws, const char *id, const struct run_section *run,
                size_t points, const char *band, struct document *doc, struct faults *faults)
{
    char names[400];
    size_t differing;
    if (draws == NULL)
        return true;
    if (draws->n == 0)
        return document_finding(
            doc, FINDING_DETAIL, false, faults,
            "Monte Carlo: left out with %zu points, where it takes long; 'draws "
            "= 100000' in the run asks for it.",
            points);
    if (!draws->usable)
        return document_finding(doc, FINDING_DETAIL, true, faults,
                                "Monte Carlo: %zu of %zu draws gave no %s, too many to go by the "
                                "others. An error is stated so large that some points cannot be "
                                "formed or the form not be held.",
                                draws->refused, draws->n, draws->n_coef > 0 ? "curve" : "modifier");
    if (!table_of(draws, id, run, doc, faults))
        return false;
    name_differing(draws, names, sizeof names, &differing);
    if (differing > 0)
        return say_differing(draws, names, band, doc, faults);
    return document_finding(doc, FINDING_DETAIL, false, faults,
                            "Monte Carlo: %zu draws of every error agree with the linear intervals "
                            "within %s.",
                            draws->n,
                            draws->settled ? "the first digit of each standard uncertainty"
                                           : "what so few draws can tell");
}
