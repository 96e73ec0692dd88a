#include "sky/clock.h"

#include "sky/clock_fit.h"

#include <math.h>

#define RAD_PER_DEG (M_PI / 180.0)

/* Our own figures. A clear bin: bright enough, its readings and its bend against its neighbours
 * small. */
#define CLEAR_LEAST_W_M2 150.0
#define CLEAR_SWING 0.10
#define CLEAR_SWING_W_M2 15.0
#define CLEAR_BEND_W_M2 6.0

/* What counts as a multiple of 15 min, and as the same. */
#define ZONE_STEP_MIN 15.0
#define ZONE_NEAR_MIN 5.0
#define AGREES_MIN 5.0
#define SURE 3.0 /* standard uncertainties */
#define SET_WRONG_MIN 20.0 /* a clock may have been set that wrong */
#define AZIMUTH_POSSIBLE_RAD (10.0 * RAD_PER_DEG)

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

/* By how much a zone's fault may seem to lie beside its multiple of 15 min: the lag is uncertain,
 * and a stated azimuth that is off a little adds its own. */
static double apart_min(const struct clock_question *question, const struct clock_answer *answer)
{
    double by_azimuth = question->u_azimuth_rad * answer->lag_min / answer->azimuth_rad;
    return isfinite(by_azimuth) ? hypot(answer->u_min, by_azimuth) : answer->u_min;
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
    double reach = lag > 1.5 * ZONE_STEP_MIN ? fmax(ZONE_NEAR_MIN, apart_min(question, answer))
                                             : ZONE_NEAR_MIN;
    bool near = multiple > 0 && fabs(lag - multiple) <= reach;
    bool sure = lag > SURE * answer->u_min && (near || lag > SET_WRONG_MIN);
    if (azimuth || !sure)
        return CLOCK_EITHER;
    return near ? CLOCK_ZONE : CLOCK_ELSEWHERE;
}

/* The days that were asked, added up. */
struct days_sum {
    double lags, squares, turns, misfits, unlike, skies;
};

static void add_day(const struct clock_fit *day, struct clock_answer *answer,
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
    sum->skies += day->u_sky_min;
}

static struct clock_answer ask_days(const struct clock_question *question,
                                    const struct clock_day *days, size_t n, bool turn)
{
    struct clock_table table;
    struct clock_answer answer = {.verdict = CLOCK_NO_DAY};
    struct days_sum sum = {0};
    for (size_t i = 0; i < n && i < CLOCK_DAYS; i++) {
        if (days[i].n_clear < CLOCK_LEAST_BINS)
            continue;
        struct clock_fit day = clock_fit_day(question, &days[i], turn, &table);
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
    /* The days' haze may be one and the same: what it leaves open does not average down. */
    answer.u_min = hypot(fmax(CLOCK_U_LEAST_MIN, u_min), sum.skies / count);
    answer.azimuth_rad = sum.turns / count;
    answer.misfit = sum.misfits / count;
    answer.verdict = judge(question, &answer);
    return answer;
}

struct clock_answer clock_ask(const struct clock_question *question, const struct clock_day *days,
                              size_t n)
{
    struct clock_answer answer = ask_days(question, days, n, false);
    bool off = answer.days > 0 && answer.verdict != CLOCK_FITS;
    return off ? ask_days(question, days, n, true) : answer;
}
