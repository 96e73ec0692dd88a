#include "sky/clock_fit.h"

#include "sky/diffuse.h"
#include "sky/sun.h"

#include <math.h>

#define RAD_PER_DEG (M_PI / 180.0)
#define BIN_MIN 5.0
#define LENGTH(array) (sizeof(array) / sizeof((array)[0]))

/* The family of skies: k by 1 for p 1; fading by a power it takes more to fade as much. */
static const double hazes[] = {0.06, 0.09, 0.12, 0.16, 0.21, 0.27, 0.34, 0.43, 0.55};
static const double powers[] = {1.0, 0.7};
enum { HAZES = LENGTH(hazes), SKIES = HAZES * LENGTH(powers) };
#define POWER_FADES 1.25
enum { STRAYS_STEP = 4 }; /* of them are enough to find strays */

/* Our own figures: what counts as a fit, as a turn, and by how much a real sky strays from all of
 * the family (part of the mean sunshine). */
#define MISFIT_MOST 0.03
#define TURN_MIN 30.0
#define TURN_LEAST 1.5
#define STRAYS 0.004

#define LAG_MOST_MIN 710.0
#define LAG_STEP_MIN 10.0
#define NEAR_MIN 50.0
#define NEAR_STEP_MIN 5.0
#define AZIMUTH_MOST_RAD (60.0 * RAD_PER_DEG)
#define DIFFUSE_FLOOR 0.02

/* Kasten and Young 1989. */
static double air_mass(double sin_height)
{
    if (!(sin_height > 0.01))
        return INFINITY;
    double height_deg = asin(fmin(sin_height, 1)) / RAD_PER_DEG;
    return 1 / (sin_height + 0.50572 * pow(height_deg + 6.07995, -1.6364));
}

static void look_up_sun(const struct clock_question *question, int64_t start_us,
                        struct clock_table *table)
{
    struct sun sun;
    double pressure = sun_pressure_hPa(question->altitude_m);
    sun_init(&sun, question->latitude_rad, question->longitude_rad, question->altitude_m);
    table->above_air_W_m2 = diffuse_above_air(sun_distance_au(&sun, start_us));
    for (size_t i = 0; i < CLOCK_TABLE; i++) {
        int64_t bin = (int64_t)i - CLOCK_MARGIN;
        int64_t time_us = start_us + bin * CLOCK_BIN_US + CLOCK_BIN_US / 2;
        table->sun[i] = sun_lifted(sun_geometric(&sun, time_us), pressure, 10.0);
        table->air_mass[i] = air_mass(table->sun[i].z);
    }
}

/* One sky of the family; its diffuse by Liu and Jordan 1960 (sky/clear.h). */
static struct clear_sky sky_at(const struct clock_table *table, size_t i, size_t sky)
{
    double power = powers[sky / HAZES];
    double k = hazes[sky % HAZES] * (power < 1 ? POWER_FADES : 1);
    if (isinf(table->air_mass[i]))
        return (struct clear_sky){0, 0};
    double mass = power < 1 ? pow(table->air_mass[i], power) : table->air_mass[i];
    double through = exp(-k * mass);
    return (struct clear_sky){table->above_air_W_m2 * through,
                              table->above_air_W_m2 * table->sun[i].z *
                                  fmax(0.271 - 0.294 * through, DIFFUSE_FLOOR)};
}

static void put_on_plane(const struct clock_question *question, size_t sky, double turned_rad,
                         struct clock_table *table)
{
    struct plane plane = plane_of(question->tilt_rad, question->azimuth_rad + turned_rad);
    for (size_t i = 0; i < CLOCK_TABLE; i++) {
        struct clear_sky at = sky_at(table, i, sky);
        table->plane[i] = clear_on_plane(&at, table->sun[i], &plane, question->ground);
    }
}

/* The shape at a bin and a lag, on the straight line between table entries. */
static struct clear_plane shape_at(const struct clock_table *table, size_t bin, double lag_min)
{
    double place = (double)(bin + CLOCK_MARGIN) + lag_min / BIN_MIN;
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

static struct sums sums_of(const struct clock_table *table, const struct clock_day *day,
                           double lag_min)
{
    struct sums sums = {0};
    for (size_t i = 0; i < CLOCK_BINS; i++)
        if (day->clear[i])
            add(&sums, shape_at(table, i, lag_min), (double)day->mean[i]);
    return sums;
}

/* Part of the mean sunshine that is left when a day is laid over the shape. */
static double misfit(const struct clock_table *table, const struct clock_day *day, double lag_min)
{
    struct sums sums = sums_of(table, day, lag_min);
    double x, y;
    return sqrt(left_over(&sums, &x, &y) / sums.n) / (sums.g / sums.n);
}

/* Clear bins that stray from the day's own best shape were not clear. */
static void drop_strays(const struct clock_table *table, struct clock_day *day, double lag_min)
{
    struct sums sums = sums_of(table, day, lag_min);
    double x, y;
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

struct best {
    double lag_min, misfit;
};

/* Where the misfit is least over a range, to the step and then by a parabola. */
static struct best best_lag(const struct clock_table *table, const struct clock_day *day,
                            double from, double to, double step)
{
    struct best best = {from, INFINITY};
    for (double lag = from; lag <= to; lag += step) {
        double found = misfit(table, day, lag);
        if (found < best.misfit)
            best = (struct best){lag, found};
    }
    if (best.lag_min - step < from || best.lag_min + step > to)
        return best;
    double before = misfit(table, day, best.lag_min - step);
    double after = misfit(table, day, best.lag_min + step);
    double bend = before * before - 2 * best.misfit * best.misfit + after * after;
    if (!(bend > 0))
        return best;
    best.lag_min += 0.5 * step * (before * before - after * after) / bend;
    best.misfit = misfit(table, day, best.lag_min);
    return best;
}

/* The day under every step-th sky of the family. Out: fit's lag, its u and misfit. Returns: the
 * best. */
static size_t over_family(const struct clock_question *question, const struct clock_day *day,
                          double coarse_min, size_t steps, struct clock_table *table,
                          struct clock_fit *fit)
{
    struct best under[SKIES];
    size_t best = 0;
    double from = fmax(coarse_min - NEAR_MIN, -LAG_MOST_MIN);
    double to = fmin(coarse_min + NEAR_MIN, LAG_MOST_MIN);
    for (size_t sky = 0; sky < SKIES; sky += steps) {
        put_on_plane(question, sky, 0, table);
        under[sky] = best_lag(table, day, from, to, NEAR_STEP_MIN);
        best = under[sky].misfit < under[best].misfit ? sky : best;
    }
    double weights = 0, mean = 0, squares = 0;
    fit->misfit = under[best].misfit;
    for (size_t sky = 0; sky < SKIES; sky += steps) {
        double worse = under[sky].misfit * under[sky].misfit - fit->misfit * fit->misfit;
        double weight = exp(-worse / (2 * STRAYS * STRAYS));
        weights += weight;
        mean += weight * under[sky].lag_min;
        squares += weight * under[sky].lag_min * under[sky].lag_min;
    }
    fit->lag_min = mean / weights;
    fit->u_sky_min = sqrt(fmax(squares / weights - fit->lag_min * fit->lag_min, 0));
    put_on_plane(question, best, 0, table);
    return best;
}

/* The turn of the plane that would do the same, at the clock as it is. */
static double best_turn(const struct clock_question *question, size_t sky,
                        const struct clock_day *day, struct clock_table *table)
{
    enum { STEPS = 60 };
    double best = NAN, least = INFINITY;
    for (int step = -STEPS; step <= STEPS; step++) {
        double turned = (double)step / STEPS * AZIMUTH_MOST_RAD;
        put_on_plane(question, sky, turned, table);
        double found = misfit(table, day, 0);
        if (found < least) {
            least = found;
            best = turned;
        }
    }
    return least < MISFIT_MOST && fabs(best) < 0.99 * AZIMUTH_MOST_RAD ? best : NAN;
}

/* Days are short tables; the strays are looked for once, from a copy. */
struct clock_fit clock_fit_day(const struct clock_question *question, const struct clock_day *given,
                               bool turn, struct clock_table *table)
{
    struct clock_day day = *given;
    struct clock_fit fit = {0};
    look_up_sun(question, day.start_us, table);
    put_on_plane(question, HAZES / 2, 0, table);
    double coarse =
        best_lag(table, &day, -LAG_MOST_MIN, LAG_MOST_MIN, LAG_STEP_MIN).lag_min;
    over_family(question, &day, coarse, STRAYS_STEP, table, &fit);
    drop_strays(table, &day, fit.lag_min);
    if (day.n_clear < CLOCK_LEAST_BINS)
        return (struct clock_fit){0};
    size_t sky = over_family(question, &day, coarse, 1, table, &fit);
    double away = fmin(misfit(table, &day, fmax(fit.lag_min - TURN_MIN, -LAG_MOST_MIN)),
                       misfit(table, &day, fmin(fit.lag_min + TURN_MIN, LAG_MOST_MIN)));
    fit.shaped = fit.misfit < MISFIT_MOST && away > TURN_LEAST * fit.misfit && away > 0.01;
    fit.unlike = fit.misfit >= MISFIT_MOST && day.n_clear >= CLOCK_LONG_BINS;
    fit.turned_rad = fit.shaped && turn ? best_turn(question, sky, &day, table) : NAN;
    return fit;
}
