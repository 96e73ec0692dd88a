#include "draft/points_seen.h"

#include "base/files.h"
#include "draft/describe.h"
#include "draft/describe_line.h"
#include "draft/people.h"
#include "point/points_heads.h"

#include <stdio.h>
#include <string.h>

enum { MEANS_ENOUGH = 4, REDUCED_ENOUGH = 3 };

static const enum channel means[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET,
                                     CH_OUTLET,     CH_FLOW,    CH_WIND};
enum { MEANS = sizeof means / sizeof means[0] };

const struct points_column *points_seen_column(const char *head)
{
    struct points_head read;
    return points_head_read(head, &read) ? read.column : NULL;
}

/* Whether a head says more than a log's might: its unit, beside it or below, or that of a table. */
static bool is_named(const struct sample *sample, size_t i, const struct points_column *column)
{
    struct points_head read;
    bool unit = points_head_read(sample->head.name[i], &read) && read.unit_text[0] != '\0';
    bool below = sample->head.unit != NULL && sample->head.unit[i][0] != '\0';
    return unit || below || column->field == POINTS_NAME || column->field == POINTS_ETA;
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
        named += is_named(sample, i, column);
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
    text_addf(out, ": a table of points, %zu row%s; heads on line %ld.\n", sample->n_rows,
              sample->n_rows == 1 ? "" : "s", sample->head.line);
    text_addf(out, "Between the fields: %s. Decimal sign: %s.\n\nColumns\n",
              dialect_separator_word(sample->dialect.separator),
              dialect_decimal_word(sample->dialect.decimal));
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
