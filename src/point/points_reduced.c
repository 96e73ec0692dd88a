#include "point/points_reduced.h"

#include "base/numbers.h"
#include "base/text.h"

#include <math.h>

/* An idle vacuum tube in full sun is some 0.25 m2 K/W above the air; a collector that gives heat
 * stays far below. */
#define X_MOST 0.3

/* What is written under 'T*' instead, by the largest number of the column, in m2 K/W. */
static const struct {
    double least, most;
    const char *words;
} slips[] = {
    {X_MOST, 1.0, "are they in h ft2 degF/BTU (1 of them is 0.176 m2 K/W)? then the head says so"},
    {1.0, 12.0, "are they written times 100?"},
    {8.0, 200.0, "are they differences in K? divide each by its irradiance; or are they written "
                 "times 1000?"},
};

/* A share of 1 is no more than this; a collector of fewer percent has no use. */
#define SHARE_MOST 1.5
#define SHARE_USUAL 0.05

/* Shares whose efficiency would have to fall so far from one point to the next are none. */
#define FALL_PERCENT 10.0

static double largest_x(const struct points_rows *rows)
{
    double most = 0;
    for (size_t i = 0; i < rows->n; i++)
        if (rows->means->items[i].reduced && fabs(rows->means->items[i].x) > most)
            most = fabs(rows->means->items[i].x);
    return most;
}

static bool judge_x(struct points_rows *rows, size_t row, double most, struct faults *faults)
{
    const struct points_origin *origin = &rows->origins[row];
    char text[32];
    struct text hint = {0};
    if (origin->x_unit == NULL || !(fabs(rows->means->items[row].x) > X_MOST))
        return true;
    struct fault *fault = points_rows_blame(rows, row, false, faults);
    if (fault == NULL)
        return false;
    for (size_t i = 0; i < sizeof slips / sizeof slips[0]; i++)
        if (most > slips[i].least && most <= slips[i].most)
            text_addf(&hint, "%s%s", hint.length > 0 ? " or " : "", slips[i].words);
    fault_found(fault, "a T* of %s %s is beyond any collector",
                number_exact(origin->x_typed, text, sizeof text), origin->x_unit->name);
    fault_expected(fault, "at most %.2g m2 K/W: %.0f K above the air in 1000 W/m2", X_MOST,
                   1000 * X_MOST);
    fault_hint(fault, "%s", hint.length > 0 ? text_string(&hint) : "correct the number");
    bool good = text_ok(&hint, faults);
    text_free(&hint);
    return good;
}

/* A straight line by least squares: means, and sums of products about them. */
struct line {
    double n, x_mean, eta_mean, xx, x_eta;
};

static void line_add(struct line *line, double x, double eta)
{
    double dx = x - line->x_mean;
    line->n++;
    line->x_mean += dx / line->n;
    line->eta_mean += (eta - line->eta_mean) / line->n;
    line->xx += dx * (x - line->x_mean);
    line->x_eta += dx * (eta - line->eta_mean);
}

/* The efficiencies that are typed in percent. */
struct percents {
    size_t n;
    size_t shares;      /* of them that may be shares of 1 */
    double least, most; /* of the others */
    double most_share;
    struct line line;   /* of the others over T* */
};

static bool is_percent(const struct points_origin *origin)
{
    return origin->eta_unit != NULL && origin->eta_unit->scale < 1 && !isnan(origin->eta_typed);
}

static bool may_be_share(const struct points_origin *origin)
{
    return origin->eta_typed > 0 && origin->eta_typed <= SHARE_MOST;
}

static struct percents look_at_percents(const struct points_rows *rows)
{
    struct percents percents = {.least = INFINITY, .most = -INFINITY};
    for (size_t i = 0; i < rows->n; i++) {
        const struct points_origin *origin = &rows->origins[i];
        if (!is_percent(origin))
            continue;
        percents.n++;
        if (may_be_share(origin)) {
            percents.shares++;
            percents.most_share = fmax(percents.most_share, origin->eta_typed);
        } else {
            percents.least = fmin(percents.least, origin->eta_typed);
            percents.most = fmax(percents.most, origin->eta_typed);
            if (!isnan(origin->x_typed))
                line_add(&percents.line, rows->means->items[i].x, origin->eta_typed);
        }
    }
    return percents;
}

/* A row of at least as large a T* is no poor one: so this one is no last point of the curve. */
static bool is_followed(const struct points_rows *rows, size_t row)
{
    for (size_t i = 0; i < rows->n; i++)
        if (i != row && is_percent(&rows->origins[i]) &&
            rows->origins[i].eta_typed > FALL_PERCENT &&
            rows->means->items[i].x >= rows->means->items[row].x)
            return true;
    return false;
}

/* Near the end of its curve a collector has an efficiency of a few tenths of a percent: the others'
 * line tells it from a share, if they have two T* and the row has one. */
static bool is_nearer_as_percent(const struct points_rows *rows, size_t row,
                                 const struct percents *percents)
{
    const struct points_origin *origin = &rows->origins[row];
    const struct line *line = &percents->line;
    if (isnan(origin->x_typed) || !(line->xx > 0))
        return true;
    double dx = rows->means->items[row].x - line->x_mean;
    double eta = line->eta_mean + line->x_eta / line->xx * dx;
    return fabs(100 * origin->eta_typed - eta) < fabs(origin->eta_typed - eta);
}

static bool judge_share(struct points_rows *rows, size_t row, const struct percents *percents,
                        struct faults *faults)
{
    const struct points_origin *origin = &rows->origins[row];
    double as_percent = 100 * origin->eta_typed;
    bool all = percents->shares == percents->n && percents->most_share > SHARE_USUAL;
    char text[32];
    if (!is_percent(origin) || !may_be_share(origin))
        return true;
    bool among = as_percent <= 1.25 * percents->most &&
                 (percents->least > FALL_PERCENT || is_followed(rows, row)) &&
                 is_nearer_as_percent(rows, row, percents);
    if (!all && !among)
        return true;
    struct fault *fault = points_rows_blame(rows, row, true, faults);
    if (fault == NULL)
        return false;
    number_exact(origin->eta_typed, text, sizeof text);
    if (all)
        fault_found(fault, "%s under '%%': no efficiency of the table is above %.1f %%", text,
                    SHARE_MOST);
    else
        fault_found(fault, "%s under '%%', where others are %.4g to %.4g %%", text,
                    percents->least, percents->most);
    fault_expected(fault, "%.6g, if %s is a share of 1%s", as_percent, text,
                   all ? "; or the head 'efficiency' for shares" : "");
    return true;
}

bool points_reduced_find(struct points_rows *rows, struct faults *faults)
{
    double most = largest_x(rows);
    struct percents percents = look_at_percents(rows);
    for (size_t row = 0; row < rows->n; row++)
        if (!judge_x(rows, row, most, faults) || !judge_share(rows, row, &percents, faults))
            return false;
    return true;
}
