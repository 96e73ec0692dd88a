#include "sky/clock.h"

#include "sky/clear.h"
#include "sky/diffuse.h"
#include "sky/sun.h"

#include <math.h>
#include <string.h>

#define RAD_PER_DEG (M_PI / 180.0)
#define BIN_MIN 5.0

/* Our own figures. A clear bin: bright enough, its readings and its bend against its neighbours
 * small. */
#define CLEAR_LEAST_W_M2 150.0
#define CLEAR_SWING 0.10
#define CLEAR_SWING_W_M2 15.0
#define CLEAR_BEND_W_M2 6.0
enum { CLEAR_LEAST_BINS = 36, LONG_BINS = 60 }; /* three hours; five */

/* What counts as a fit, as flat, as a multiple of 15 min, and as the same. */
#define MISFIT_MOST 0.03
#define TURN_MIN 30.0
#define TURN_LEAST 1.5
#define ZONE_STEP_MIN 15.0
#define ZONE_NEAR_MIN 5.0
#define AGREES_MIN 5.0
#define AZIMUTH_POSSIBLE_RAD (10.0 * RAD_PER_DEG)

/* The table of a day reaches half a day beyond it on either side. */
enum { MARGIN = CLOCK_BINS / 2, TABLE = 2 * CLOCK_BINS };
#define LAG_MOST_MIN 710.0
#define AZIMUTH_MOST_RAD (60.0 * RAD_PER_DEG)

struct table {
    struct vector sun[TABLE];
    struct clear_sky sky[TABLE];
    struct clear_plane plane[TABLE];
};

void clock_mark_clear(struct clock_day *day, const float swing[CLOCK_BINS])
{
    day->n_clear = 0;
    day->clear[0] = day->clear[CLOCK_BINS - 1] = false;
    for (size_t i = 1; i + 1 < CLOCK_BINS; i++) {
        double g = (double)day->mean[i];
        double bend = (double)day->mean[i - 1] - 2 * g + (double)day->mean[i + 1];
        day->clear[i] = g > CLEAR_LEAST_W_M2 && fabs(bend) < CLEAR_BEND_W_M2 &&
                        (double)swing[i] < CLEAR_SWING * g + CLEAR_SWING_W_M2;
        day->n_clear += day->clear[i];
    }
}

static void look_up_sun(const struct clock_question *question, int64_t start_us,
                        struct table *table)
{
    struct sun sun;
    double pressure = sun_pressure_hPa(question->altitude_m);
    sun_init(&sun, question->latitude_rad, question->longitude_rad, question->altitude_m);
    double above = diffuse_above_air(sun_distance_au(&sun, start_us));
    for (size_t i = 0; i < TABLE; i++) {
        int64_t bin = (int64_t)i - MARGIN;
        int64_t time_us = start_us + bin * CLOCK_BIN_US + CLOCK_BIN_US / 2;
        table->sun[i] = sun_lifted(sun_geometric(&sun, time_us), pressure, 10.0);
        table->sky[i] = clear_sky_at(table->sun[i].z, question->altitude_m, above);
    }
}

static void put_on_plane(const struct clock_question *question, double turned_rad,
                         struct table *table)
{
    struct plane plane = plane_of(question->tilt_rad, question->azimuth_rad + turned_rad);
    for (size_t i = 0; i < TABLE; i++)
        table->plane[i] =
            clear_on_plane(&table->sky[i], table->sun[i], &plane, question->ground);
}

/* The shape at a bin and a lag, on the straight line between table entries. */
static struct clear_plane shape_at(const struct table *table, size_t bin, double lag_min)
{
    double place = (double)(bin + MARGIN) + lag_min / BIN_MIN;
    size_t i = (size_t)place;
    double part = place - (double)i;
    const struct clear_plane *a = &table->plane[i], *b = &table->plane[i + 1];
    return (struct clear_plane){a->beam + part * (b->beam - a->beam),
                                a->diffuse + part * (b->diffuse - a->diffuse)};
}

/* Sums of a day's least squares for G = x beam + y diffuse. */
struct sums {
    double bb, bd, dd, bg, dg, gg, g, n;
};

static void add(struct sums *s, struct clear_plane shape, double g)
{
    s->bb += shape.beam * shape.beam;
    s->bd += shape.beam * shape.diffuse;
    s->dd += shape.diffuse * shape.diffuse;
    s->bg += shape.beam * g;
    s->dg += shape.diffuse * g;
    s->gg += g * g;
    s->g += g;
    s->n++;
}

/* Sum of squares left; both scales at least 0. */
static double left_over(const struct sums *s, double *x, double *y)
{
    double det = s->bb * s->dd - s->bd * s->bd;
    *x = *y = 0;
    if (det > 1e-12 * s->bb * s->dd) {
        *x = (s->bg * s->dd - s->dg * s->bd) / det;
        *y = (s->dg * s->bb - s->bg * s->bd) / det;
    }
    if (!(*x > 0)) {
        *x = 0;
        *y = s->dd > 0 ? s->dg / s->dd : 0;
    } else if (!(*y > 0)) {
        *y = 0;
        *x = s->bb > 0 ? s->bg / s->bb : 0;
    }
    double squares = s->gg - 2 * (*x * s->bg + *y * s->dg) + *x * *x * s->bb +
                     2 * *x * *y * s->bd + *y * *y * s->dd;
    return fmax(squares, 0);
}

/* Part of the mean sunshine that is left when a day is laid over the shape. */
static double misfit(const struct table *table, const struct clock_day *day, double lag_min)
{
    struct sums sums = {0};
    double x, y;
    for (size_t i = 0; i < CLOCK_BINS; i++)
        if (day->clear[i])
            add(&sums, shape_at(table, i, lag_min), (double)day->mean[i]);
    return sqrt(left_over(&sums, &x, &y) / sums.n) / (sums.g / sums.n);
}

/* Clear bins that stray from the day's own best shape were not clear. */
static void drop_strays(const struct table *table, struct clock_day *day, double lag_min)
{
    struct sums sums = {0};
    double x, y;
    for (size_t i = 0; i < CLOCK_BINS; i++)
        if (day->clear[i])
            add(&sums, shape_at(table, i, lag_min), (double)day->mean[i]);
    double spread = sqrt(left_over(&sums, &x, &y) / sums.n);
    for (size_t i = 0; i < CLOCK_BINS; i++) {
        if (!day->clear[i])
            continue;
        struct clear_plane shape = shape_at(table, i, lag_min);
        double off = (double)day->mean[i] - x * shape.beam - y * shape.diffuse;
        if (fabs(off) > 2.5 * spread) {
            day->clear[i] = false;
            day->n_clear--;
        }
    }
}

/* Where the misfit is least over a range, to the step and then by a parabola. */
static double best_lag(const struct table *table, const struct clock_day *day, double from,
                       double to, double step)
{
    double best = from, least = INFINITY;
    for (double lag = from; lag <= to; lag += step) {
        double found = misfit(table, day, lag);
        if (found < least) {
            least = found;
            best = lag;
        }
    }
    double before = misfit(table, day, best - step), after = misfit(table, day, best + step);
    double bend = before * before - 2 * least * least + after * after;
    if (best - step < from || best + step > to || !(bend > 0))
        return best;
    return best + 0.5 * step * (before * before - after * after) / bend;
}

/* The turn of the plane that would do the same, at the clock as it is. */
static double best_turn(const struct clock_question *question, struct table *table,
                        const struct clock_day *day)
{
    double best = NAN, least = INFINITY;
    for (int step = -120; step <= 120; step++) {
        double turned = step / 120.0 * AZIMUTH_MOST_RAD;
        put_on_plane(question, turned, table);
        double found = misfit(table, day, 0);
        if (found < least) {
            least = found;
            best = turned;
        }
    }
    return least < MISFIT_MOST && fabs(best) < 0.99 * AZIMUTH_MOST_RAD ? best : NAN;
}

struct day_answer {
    double lag_min, turned_rad, misfit;
    bool shaped;
    bool unlike;
};

/* Days are short tables; the strays are looked for once, from a copy. */
static struct day_answer ask_day(const struct clock_question *question,
                                 const struct clock_day *given, struct table *table)
{
    struct clock_day day = *given;
    struct day_answer answer = {0};
    look_up_sun(question, day.start_us, table);
    put_on_plane(question, 0, table);
    double coarse = best_lag(table, &day, -LAG_MOST_MIN, LAG_MOST_MIN, 10.0);
    drop_strays(table, &day, coarse);
    if (day.n_clear < CLEAR_LEAST_BINS)
        return answer;
    double from = fmax(coarse - 40, -LAG_MOST_MIN), to = fmin(coarse + 40, LAG_MOST_MIN);
    answer.lag_min = best_lag(table, &day, from, to, 1.0);
    answer.misfit = misfit(table, &day, answer.lag_min);
    double turn = fmin(misfit(table, &day, fmax(answer.lag_min - TURN_MIN, -LAG_MOST_MIN)),
                       misfit(table, &day, fmin(answer.lag_min + TURN_MIN, LAG_MOST_MIN)));
    answer.shaped = answer.misfit < MISFIT_MOST && turn > TURN_LEAST * answer.misfit &&
                    turn > 0.01;
    answer.unlike = answer.misfit >= MISFIT_MOST && day.n_clear >= LONG_BINS;
    if (answer.shaped)
        answer.turned_rad = best_turn(question, table, &day);
    return answer;
}

static enum clock_verdict judge(const struct clock_question *question,
                                const struct clock_answer *answer)
{
    double lag = fabs(answer->lag_min);
    if (lag <= fmax(AGREES_MIN, 2 * answer->u_min))
        return CLOCK_FITS;
    double multiple = ZONE_STEP_MIN * round(lag / ZONE_STEP_MIN);
    double possible = isnan(question->u_azimuth_rad) ? AZIMUTH_POSSIBLE_RAD
                                                     : 3 * question->u_azimuth_rad;
    bool azimuth = fabs(answer->azimuth_rad) <= possible; /* NaN: no */
    bool near = multiple > 0 && fabs(lag - multiple) <= ZONE_NEAR_MIN;
    return azimuth ? CLOCK_EITHER : near ? CLOCK_ZONE : CLOCK_ELSEWHERE;
}

/* The days that were asked, added up. */
struct days_sum {
    double lags, squares, turns, misfits, unlike;
};

static void add_day(const struct day_answer *day, struct clock_answer *answer,
                    struct days_sum *sum)
{
    answer->unlike += day->unlike;
    sum->unlike += day->unlike ? day->misfit : 0;
    if (!day->shaped)
        return;
    answer->days++;
    sum->lags += day->lag_min;
    sum->squares += day->lag_min * day->lag_min;
    sum->turns += day->turned_rad;
    sum->misfits += day->misfit;
}

struct clock_answer clock_ask(const struct clock_question *question, const struct clock_day *days,
                              size_t n)
{
    struct table table;
    struct clock_answer answer = {.verdict = CLOCK_NO_DAY};
    struct days_sum sum = {0};
    for (size_t i = 0; i < n && i < CLOCK_DAYS; i++) {
        if (days[i].n_clear < CLEAR_LEAST_BINS)
            continue;
        struct day_answer day = ask_day(question, &days[i], &table);
        answer.verdict = CLOCK_NO_SHAPE;
        add_day(&day, &answer, &sum);
    }
    answer.misfit = answer.unlike > 0 ? sum.unlike / (double)answer.unlike : 0;
    if (answer.days == 0)
        return answer;
    double count = (double)answer.days;
    answer.lag_min = sum.lags / count;
    double scatter = fmax(sum.squares / count - answer.lag_min * answer.lag_min, 0);
    double u_min = fmax(CLOCK_U_DAY_MIN / sqrt(count), sqrt(scatter / fmax(count - 1, 1)));
    answer.u_min = fmax(CLOCK_U_LEAST_MIN, u_min);
    answer.azimuth_rad = sum.turns / count;
    answer.misfit = sum.misfits / count;
    answer.verdict = judge(question, &answer);
    return answer;
}
