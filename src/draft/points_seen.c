#include "draft/points_seen.h"

#include "base/files.h"
#include "draft/describe.h"

#include <stdio.h>
#include <string.h>

enum { HEAD_SIZE = 80, MEANS_ENOUGH = 4, REDUCED_ENOUGH = 3 };

static const enum channel means[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET,
                                     CH_OUTLET,     CH_FLOW,    CH_WIND};
enum { MEANS = sizeof means / sizeof means[0] };

const struct points_column *points_seen_column(const char *head)
{
    char word[HEAD_SIZE];
    size_t n;
    const struct points_column *columns = points_columns(&n);
    snprintf(word, sizeof word, "%.*s", (int)strcspn(head, "["), head);
    for (size_t i = 0; i < n; i++)
        if (text_same_nocase(columns[i].head, text_trim(word)))
            return &columns[i];
    return NULL;
}

bool points_seen(const struct draft_log *log)
{
    const struct sample *sample = &log->sample;
    if (log->clock.found && points_seen_column(sample->head.name[log->clock.column[0]]) == NULL)
        return false;
    size_t needed = 0, reduced = 0, named = 0;
    for (size_t i = 0; i < sample->head.n; i++) {
        const struct points_column *column = points_seen_column(sample->head.name[i]);
        if (column == NULL)
            continue;
        bool mean = column->field == POINTS_MEAN;
        needed += mean && (channel_row(column->channel)->needed || column->channel == CH_MASS_FLOW);
        reduced += column->field == POINTS_ETA || column->field == POINTS_X ||
                   (mean && column->channel == CH_IRRADIANCE);
        named += strchr(sample->head.name[i], '[') != NULL || column->field == POINTS_NAME ||
                 column->field == POINTS_ETA;
    }
    return named > 1 && (needed >= MEANS_ENOUGH || reduced >= REDUCED_ENOUGH);
}

static const char *label_of(const struct points_column *column)
{
    if (column == NULL)
        return "your own: passed over";
    return column->field == POINTS_MEAN ? channel_row(column->channel)->label : column->label;
}

void points_seen_understood(const struct draft_log *log, struct text *out)
{
    const struct sample *sample = &log->sample;
    char least[32], most[32];
    for (size_t i = 0; i < log->n_logs; i++) {
        text_add(out, i > 0 ? ", " : "");
        draft_add_clean(out, path_base(log->logs[i]));
    }
    text_addf(out, ": a table of points, %zu row%s; heads on line %ld.\n\nColumns\n",
              sample->n_rows, sample->n_rows == 1 ? "" : "s", sample->head.line);
    for (size_t i = 0; i < sample->head.n; i++) {
        const struct points_column *column = points_seen_column(sample->head.name[i]);
        const struct measure *m = &log->columns[i].measure;
        text_addf(out, "%2zu  ", i + 1);
        draft_add_clean(out, sample->head.name[i]);
        text_addf(out, "\n    %s; ", label_of(column));
        if (m->n > 0)
            text_addf(out, "smallest %s, largest %s; ", draft_number(m->least, least),
                      draft_number(m->most, most));
        text_addf(out, "%zu number%s, %zu text%s, %zu empty\n", m->n, m->n == 1 ? "" : "s",
                  m->odd + m->marked, m->odd + m->marked == 1 ? "" : "s", m->missing);
    }
}

/* Points are read with commas and decimal points alone. */
bool points_seen_check(const struct draft_log *log, struct faults *faults)
{
    const struct dialect *dialect = &log->sample.dialect;
    if (dialect->separator == ',' && (dialect->decimal == '.' || dialect->n_decimals == 0))
        return true;
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(log->logs[0], log->sample.head.line, 0));
    fault_found(fault, "a table of points with %ss between fields and decimal %ss",
                dialect_separator_word(dialect->separator), dialect_decimal_word(dialect->decimal));
    fault_expected(fault, "commas between the fields and decimal points");
    fault_hint(fault, "save it again as CSV of that kind");
    return false;
}

static bool has_mean(const struct draft_log *log, enum channel channel)
{
    for (size_t i = 0; i < log->sample.head.n; i++) {
        const struct points_column *column = points_seen_column(log->sample.head.name[i]);
        if (column != NULL && column->field == POINTS_MEAN && column->channel == channel)
            return true;
    }
    return false;
}

bool points_seen_describe(const struct draft_log *log, struct text *out, struct faults *faults)
{
    bool thermometers_listed = false;
    describe_top(out, "table of points");
    text_add(out, "\n[points]\n");
    if (!describe_files(log, out, faults))
        return false;
    text_add(out, "\n# The instruments have no columns here; only their errors matter.\n");
    for (size_t i = 0; i < MEANS; i++) {
        if (!has_mean(log, means[i]))
            continue;
        text_addf(out, "\n[instrument %s]\n", draft_instrument_name(means[i]));
        describe_line(out, "measures", channel_row(means[i])->word, "# ",
                      channel_row(means[i])->label);
        describe_errors(means[i], &thermometers_listed, out);
    }
    text_add(out, "\n[run curve]\n");
    describe_line(out, "kind", "efficiency", "", NULL);
    return text_ok(out, faults);
}
