#include "run/check_document.h"

#include "run/words.h"

#include <math.h>
#include <stdio.h>

/* An offset further out than this many standard uncertainties is more than was stated. A change
 * over the check counts as one beyond three times its own, and only where it is to be seen at all.
 */
#define BEYOND 3.0
#define TREND_SEEN_K 0.03

const struct check_result *check_result_of(const struct reduction *r, const struct run_section *run)
{
    for (size_t i = 0; i < r->n_checks; i++)
        if (r->checks[i].run == run)
            return &r->checks[i];
    return NULL;
}

double check_half_95(double u, double dof, double u_left)
{
    struct fit_part parts[] = {{u * u, dof}, {u_left * u_left, INFINITY}};
    return fit_coverage_95(fit_freedom(parts, 2)) * hypot(u, u_left);
}

bool check_not_found(const struct check_result *result, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_DATA, fault_at(NULL, 0, 0));
    fault_found(fault, "%s", result->why);
    fault_expected(fault, "%s", result->needed);
    fault_hint(fault, "%s; until then what is stated of the instruments counts", result->hint);
    return false;
}

struct table *check_table(const struct check_result *result, const char *note, struct document *doc,
                          struct faults *faults)
{
    struct column columns[] = {
        {.id = "instrument", .label = "instrument", .unit = "", .kind = CELL_TEXT},
        {.id = "what", .label = "what", .unit = "", .kind = CELL_TEXT},
        {.id = "found", .label = "found", .unit = "", .kind = CELL_NUMBER, .digits = 4},
        {.id = "unit", .label = "unit", .unit = "", .kind = CELL_TEXT},
        {.id = "u", .label = "u of scatter", .unit = "", .kind = CELL_NUMBER, .digits = 4},
        {.id = "dof", .label = "degrees of freedom", .unit = "", .kind = CELL_NUMBER},
        {.id = "u_left", .label = "u left", .unit = "", .kind = CELL_NUMBER, .digits = 4},
        {.id = "u_before", .label = "u before", .unit = "", .kind = CELL_NUMBER, .digits = 4},
    };
    char id[NAME_SIZE + 16], title[NAME_SIZE + 64], name[NAME_SIZE];
    snprintf(id, sizeof id, "check_%s", words_id(result->run->name, name, sizeof name));
    snprintf(title, sizeof title, "Found by the %s '%s'", run_kind_word(result->run->kind),
             result->run->name);
    struct table *table =
        document_table(doc, id, title, note, columns, sizeof columns / sizeof columns[0], faults);
    if (table != NULL)
        table->file = table->report = true;
    return table;
}

static bool add_number(const struct check_result *result, const struct check_line *line,
                       struct document *doc, struct faults *faults)
{
    char id[2 * NAME_SIZE + 40], label[2 * NAME_SIZE + 40], run[NAME_SIZE], what[NAME_SIZE];
    struct part parts[] = {
        {.id = (char *)"scatter", .label = (char *)"scatter of the check", .u = line->u},
        {.id = (char *)"left", .label = (char *)"what the check cannot tell", .u = line->u_left}};
    struct fit_part sum[] = {{line->u * line->u, line->dof},
                             {line->u_left * line->u_left, INFINITY}};
    struct number number = {.id = id,
                            .label = label,
                            .symbol = (char *)line->symbol,
                            .unit = (char *)line->unit,
                            .value = line->value,
                            .u = hypot(line->u, line->u_left),
                            .dof = fit_freedom(sum, 2),
                            .parts = parts,
                            .n_parts = 2};
    double half = check_half_95(line->u, line->dof, line->u_left);
    number.low = line->value - half;
    number.high = line->value + half;
    snprintf(id, sizeof id, "%s.%s.%s", words_id(result->run->name, run, sizeof run),
             words_id(line->what, what, sizeof what), line->symbol);
    snprintf(label, sizeof label, "%s of '%s' (%s)", line->symbol, line->what, result->run->name);
    return document_number(doc, &number, faults);
}

bool check_line_add(const struct check_result *result, const struct check_line *line,
                    struct table *table, struct document *doc, struct faults *faults)
{
    struct cell cells[] = {
        cell_text(line->what),     cell_text(line->symbol),
        cell_number(line->value),  cell_text(line->unit),
        cell_number(line->u),      cell_number(isfinite(line->dof) ? line->dof : NAN),
        cell_number(line->u_left), cell_number(line->u_before)};
    return table_row(table, cells, faults) && add_number(result, line, doc, faults);
}

static const char *reference_words(const struct check_result *result, char *out, size_t size)
{
    if (result->reference == CHECK_NO_PROBE)
        snprintf(out, size, "the mean of all");
    else
        snprintf(out, size, "'%s'", result->probes[result->reference].name);
    return out;
}

static bool say_offset(const struct check_result *result, const struct check_probe *probe,
                       struct document *doc, struct faults *faults)
{
    char reference[NAME_SIZE + 8], value[WORDS_SIZE], before[WORDS_SIZE];
    double half = check_half_95(probe->u_K, probe->dof, probe->u_left_K);
    words_pm(fabs(probe->offset_K), half, "K", value, sizeof value);
    bool outside = probe->instrument == CHECK_NO_PROBE;
    const char *done = outside                      ? ""
                       : result->run->check.applied ? ", which is taken off"
                                                    : ", which is not taken off ('apply = no')";
    if (probe->u_before_K > 0)
        snprintf(before, sizeof before, "; ± %.2g K before", 1.96 * probe->u_before_K);
    else
        snprintf(before, sizeof before, "; not known before");
    return document_finding(
        doc, FINDING_CHECKS, false, faults, "'%s' reads %s %s than %s%s%s (%s '%s').", probe->name,
        value, probe->offset_K < 0 ? "less" : "more",
        reference_words(result, reference, sizeof reference), done, outside ? "" : before,
        run_kind_word(result->run->kind), result->run->name);
}

static bool say_doubts(const struct check_result *result, const struct check_probe *probe,
                       struct document *doc, struct faults *faults)
{
    double change = fabs(probe->trend_K);
    if (change > BEYOND * probe->u_trend_K && change > TREND_SEEN_K &&
        !document_finding(
            doc, FINDING_CHECKS, true, faults,
            "In '%s' the offset of '%s' still changed by %.2f K from start to end: let it "
            "settle, and check again.",
            result->run->name, probe->name, change))
        return false;
    if (!(probe->u_before_K > 0) || fabs(probe->offset_K) < BEYOND * probe->u_before_K)
        return true;
    return document_finding(
        doc, FINDING_CHECKS, true, faults,
        "An offset of %.2f K is more than what is stated of '%s' permits: look at "
        "how it sits, and whether the right column is named.",
        fabs(probe->offset_K), probe->name);
}

bool check_probes_say(const struct check_result *result, struct table *table, struct document *doc,
                      struct faults *faults)
{
    for (size_t i = 0; i < result->n_probes; i++) {
        const struct check_probe *probe = &result->probes[i];
        struct check_line line = {probe->name,     "offset",         "K",
                                  probe->offset_K, probe->u_K,       probe->dof,
                                  probe->u_left_K, probe->u_before_K};
        if (i == result->reference)
            continue;
        if (!check_line_add(result, &line, table, doc, faults) ||
            !say_offset(result, probe, doc, faults) || !say_doubts(result, probe, doc, faults))
            return false;
    }
    return true;
}
