/* A flow or a sunshine whose decimals were cut off: its few readings are far apart, and as it stays
 * on one of them for long, no mean finds what lies between. */
#include "ingest/complaint.h"
#include "run/reduction_document.h"
#include "run/words.h"

#include <math.h>

/* Half a step is more than this part of the reading: as much as all else in a homemade rig. Fewer
 * rows tell nothing. A meter that counts pulses is coarse as well, but goes to and fro between its
 * steps, and its mean is right: so often, of its rows. Our own figures. */
#define COARSE_PART 0.05
#define COARSE_ROWS 60
#define COARSE_CHANGES 0.05

/* The last digit that a number shows, at most the unit's. */
static double last_digit(double value)
{
    double step = 1;
    while (step > 1e-9 && fabs(value / step - round(value / step)) > 1e-6)
        step /= 10;
    return step;
}

/* In the column's own unit. */
static double as_written(const struct log_column *column, double si)
{
    return ((si - column->unit->offset) / column->unit->scale - column->add) / column->gain;
}

/* The last digit that any reading shows, in the column's own unit; NaN with more readings than are
 * kept. Nought is a pump that stood or a night, and shows no digit. How far the readings lie apart
 * tells nothing: a test may have been run at two flows.
 * Out:     least  of the readings */
static double digit_shown(const struct log_column *column, const struct log_channel *channel,
                          double *least)
{
    double step = INFINITY;
    *least = INFINITY;
    for (size_t k = 0; k < channel->levels.n && k < LOG_LEVELS_KEPT; k++) {
        double value = fabs(as_written(column, channel->levels.si[k]));
        if (!(value > 1e-9))
            continue;
        step = fmin(step, last_digit(value));
        *least = fmin(*least, value);
    }
    return channel->levels.n > LOG_LEVELS_KEPT ? NAN : step;
}

/* Half of it, as a part of the least reading. */
static double half_step(const struct log_column *column, const struct log_channel *channel)
{
    double least, step = digit_shown(column, channel, &least);
    return 0.5 * step / least;
}

/* A step that is stated stands among the errors. */
static bool is_stated(const struct log_column *column)
{
    return column->screening.resolution_si > 0;
}

double reduction_step_si(const struct log_column *column, const struct log_channel *channel)
{
    double least;
    if (is_stated(column))
        return column->screening.resolution_si;
    return column->signal != NULL ? NAN
                                  : digit_shown(column, channel, &least) *
                                        fabs(column->gain * column->unit->scale);
}

bool reduction_is_coarse(const struct log_column *column, const struct log_channel *channel)
{
    enum channel ch = column->channel;
    uint64_t good = channel->count[FLAG_GOOD];
    bool counts = column->unit->dimension != channel_row(ch)->dimension;
    return (ch == CH_FLOW || ch == CH_MASS_FLOW || ch == CH_IRRADIANCE) && column->signal == NULL &&
           !counts && !is_stated(column) && good >= COARSE_ROWS &&
           (double)channel->levels.changes < COARSE_CHANGES * (double)good &&
           half_step(column, channel) > COARSE_PART;
}

static bool tell(const struct log_column *column, const struct log_channel *channel,
                 struct document *doc, struct faults *faults)
{
    char least[QUOTED_SIZE], most[QUOTED_SIZE], rows[32];
    bool one = channel->levels.n == 1; /* else with nought, or a few */
    value_text(column, channel->least_si, least);
    value_text(column, channel->most_si, most);
    words_number(channel->count[FLAG_GOOD], rows, sizeof rows);
    return document_finding(doc, FINDING_ANSWER, true, faults,
                            "Column '%s' (%s) reads %s%s%s%s in all of its %s good rows: were its "
                            "decimals cut off, or is "
                            "the sensor dead? Half a step is %.0f %% of it, and by so much every "
                            "efficiency may be off; no "
                            "interval holds that. What to do: have it written with more digits, or "
                            "measure it by bucket "
                            "and stopwatch or the like.",
                            column->name, channel_row(column->channel)->word,
                            one ? "" : "nothing but a few round numbers between ", least,
                            one ? "" : " and ", one ? "" : most, rows,
                            100 * half_step(column, channel));
}

bool reduction_coarse(const struct log_set *logs, size_t i, struct document *doc,
                      struct faults *faults)
{
    for (size_t k = 0; k < logs->plan[i].n_columns; k++) {
        const struct log_column *column = &logs->plan[i].columns[k];
        const struct log_channel *channel = &logs->account[i].channels[column->channel];
        if (reduction_is_coarse(column, channel) && !tell(column, channel, doc, faults))
            return false;
    }
    return true;
}
