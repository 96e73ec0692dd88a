#include "run/efficiency_trends.h"

#include <math.h>
#include <stdlib.h>

#define DEGREES_A_RADIAN (180.0 / 3.14159265358979323846)

static double channel_of(const struct point *point, enum channel channel)
{
    return point->means->has[channel] ? point->means->mean[channel] : NAN;
}

static double wind(const struct efficiency_view *view, const struct point *point, size_t order)
{
    (void)view;
    (void)order;
    return point->value.wind_m_s;
}

static double diffuse_share(const struct efficiency_view *view, const struct point *point,
                            size_t order)
{
    (void)view;
    (void)order;
    return 100 * channel_of(point, CH_DIFFUSE) / point->value.g_W_m2;
}

static double angle(const struct efficiency_view *view, const struct point *point, size_t order)
{
    (void)view;
    (void)order;
    return DEGREES_A_RADIAN * channel_of(point, CH_INCIDENCE);
}

static double hour(const struct efficiency_view *view, const struct point *point, size_t order)
{
    (void)order;
    return view_local_hour(view, point->means);
}

static double in_order(const struct efficiency_view *view, const struct point *point, size_t order)
{
    (void)view;
    (void)point;
    return (double)order + 1;
}

/* What a condition must vary by between the points before it is asked about: less is the noise of
 * its own reading, or of arithmetic (a rack that follows the sun). Our figures. */
#define LEAST_WIND_M_S 0.2
#define LEAST_SHARE_PERCENT 1.0
#define LEAST_ANGLE_DEGREES 1.0
#define LEAST_HOURS 0.25

/* Sunshine and flow are not asked about: their own reading errors are part of the efficiency, and
 * would show as a trend that no collector has. */
static const struct {
    struct trend head;
    double (*of)(const struct efficiency_view *view, const struct point *point, size_t order);
    double least; /* range */
} conditions[TRENDS] = {
    {{.word = "wind",
      .unit = "m/s",
      .places = 1,
      .likely = "something else that came with the wind: sky, hour, a sensor that it cools"},
     wind,
     LEAST_WIND_M_S},
    {{.word = "diffuse share",
      .unit = "%",
      .places = 0,
      .likely = "sunshine from aside, which the glass lets through less well"},
     diffuse_share,
     LEAST_SHARE_PERCENT},
    {{.word = "angle of incidence",
      .unit = "°",
      .places = 0,
      .likely = "glass that lets slanting sunshine through less well"},
     angle,
     LEAST_ANGLE_DEGREES},
    {{.word = "time of day",
      .unit = "h",
      .places = 1,
      .likely = "shade, a sensor that the sun reaches, a collector that is still warming up"},
     hour,
     LEAST_HOURS},
    {{.word = "order",
      .unit = "",
      .places = 0,
      .daily = true,
      .likely = "something that drifted: dust, a leak, a sensor, air in the loop"},
     in_order,
     0},
};

/* With so few points on top of what the curve and the trend take, a condition that is nearly the
 * curve's own terms over again (the order of points that were measured by their temperature) takes
 * up whatever the form does not hold, and the little that scatters about it by luck makes it look
 * sure. Our figures. */
#define FEW_DOF 2
#define TOO_MUCH_ALIKE 0.9

/* What fit_trend takes, in one piece of memory. */
struct trend_input {
    struct fit_condition *at;
    int64_t *group;
    double *residual, *w, *z;
};

static bool input_init(struct trend_input *in, size_t n)
{
    in->at = calloc(n + 1, sizeof *in->at);
    in->group = calloc(n + 1, sizeof *in->group);
    in->residual = calloc(n + 1, 3 * sizeof *in->residual);
    in->w = in->residual != NULL ? in->residual + n : NULL;
    in->z = in->residual != NULL ? in->w + n : NULL;
    return in->at != NULL && in->group != NULL && in->residual != NULL;
}

static void input_free(struct trend_input *in)
{
    free(in->at);
    free(in->group);
    free(in->residual);
}

static void input_fill(const struct efficiency_view *view, struct trend_input *in)
{
    const struct efficiency *e = view->e;
    for (size_t k = 0; k < e->n; k++) {
        in->at[k] = e->used[k].at;
        in->group[k] = view->points[e->index[k]].means->session;
        in->residual[k] = e->cases[k].residual - (e->swapped != NULL ? e->swapped[k] : 0);
        in->w[k] = e->curve.equal_weights
                       ? 1
                       : 1 / fit_curve_variance(e->form, e->curve.coef, &e->used[k]);
    }
}

/* More wind cools: only an efficiency that falls with it may be a loss by it. */
static const char *likely_of(const struct efficiency *e, size_t c, const struct trend *trend)
{
    if (conditions[c].of != wind || !(trend->found.slope < 0))
        return trend->likely;
    return e->form->with_wind ? "a loss by wind that warmer water makes no larger, as without a "
                                "pane: the form has no term for it"
                              : "a loss that grows with the wind: a form 'with wind' would hold it";
}

static enum fit_status find_one(const struct efficiency_view *view, struct trend_input *in,
                                size_t c, struct trend *out)
{
    const struct efficiency *e = view->e;
    double low = INFINITY, high = -INFINITY;
    *out = conditions[c].head;
    for (size_t k = 0; k < e->n; k++) {
        in->z[k] = conditions[c].of(view, &view->points[e->index[k]], e->index[k]);
        out->known = out->known || !isnan(in->z[k]);
        low = fmin(low, in->z[k]);
        high = fmax(high, in->z[k]);
    }
    out->of_mean = e->form->n_coef < 2;
    if (out->of_mean || high - low < conditions[c].least)
        return FIT_OK;
    enum fit_status status =
        fit_trend(e->form, in->at, in->residual, in->w, in->group, in->z, e->n, &out->found);
    out->told =
        status == FIT_OK && !(out->found.dof <= FEW_DOF && out->found.alike > TOO_MUCH_ALIKE);
    out->likely = likely_of(e, c, out);
    return status;
}

bool trends_find(const struct efficiency_view *view, struct trends *out, struct faults *faults)
{
    struct trend_input in;
    bool good = input_init(&in, view->e->n);
    *out = (struct trends){0};
    if (good)
        input_fill(view, &in);
    for (size_t c = 0; c < TRENDS && good; c++) {
        good = find_one(view, &in, c, &out->of[c]) != FIT_NO_MEMORY;
        out->told += out->of[c].told;
    }
    input_free(&in);
    return good || fault_memory(faults);
}

double trends_chance(const struct trends *trends, const struct trend *trend)
{
    return fmin(1, (double)trends->told * trend->found.p_value);
}
