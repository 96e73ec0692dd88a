#include "study/predict.h"

#include "fit/combine.h"
#include "physics/stagnation.h"

#include <math.h>
#include <string.h>

const char *const loss_words[LOSSES] = {
    "useful heat",           "lost through the front", "lost through the back",
    "lost through the edge", "kept by the cover",      "not caught (reflected)",
};

static void split(const struct plate_state *state, double per, double *loss)
{
    loss[LOSS_USEFUL] = state->useful_W / per;
    loss[LOSS_TOP] = state->top_W / per;
    loss[LOSS_BACK] = state->back_W / per;
    loss[LOSS_EDGE] = state->edge_W / per;
    loss[LOSS_KEPT] = state->cover_sun_W / per;
    loss[LOSS_REFLECTED] = (state->sun_W - state->absorbed_W - state->cover_sun_W) / per;
}

static bool compared(const struct build *b, const struct predict_wish *wish,
                     const struct cover_absorbed *optics, double *value, struct faults *faults)
{
    for (size_t k = 0; k < PREDICT_STATES; k++) {
        struct plate_flow flow = b->flow;
        struct plate_state state;
        flow.t_degC = b->weather.ambient_degC + wish->x_m2K_W[k] * b->weather.g_W_m2;
        if (!plate_solve(&b->plate, &b->weather, optics, &flow, 0, &state, faults))
            return false;
        value[ANSWER_ETA + k] = state.useful_W / (b->reference_m2 * b->weather.g_W_m2);
        split(&state, b->reference_m2, &value[ANSWER_LOSS + k * LOSSES]);
    }
    return true;
}

static bool at_point(const struct build *b, const struct predict_wish *wish,
                     const struct cover_absorbed *optics, double *value, struct plate_state *state,
                     struct faults *faults)
{
    struct plate_weather weather = b->weather;
    weather.g_W_m2 = wish->point_g_W_m2;
    weather.sky_degC = wish->point_ambient_degC + b->weather.sky_degC - b->weather.ambient_degC;
    weather.ambient_degC = wish->point_ambient_degC;
    weather.wind_m_s = wish->point_wind_m_s;
    struct plate_flow flow = {PLATE_INLET, wish->point_inlet_degC, wish->point_flow_W_K};
    if (!plate_solve(&b->plate, &weather, optics, &flow, 0, state, faults))
        return false;
    split(state, 1.0, &value[ANSWER_POINT_LOSS]);
    value[ANSWER_OUTLET] = state->t_out_degC;
    value[ANSWER_PLATE] = state->plate_degC;
    value[ANSWER_COVER] = b->plate.n_covers > 0 ? state->cover_degC[0] : NAN;
    return true;
}

struct plate_weather predict_idle_weather(const struct build *b)
{
    struct plate_weather weather = b->weather;
    weather.g_W_m2 = STAGNATION_G_W_M2;
    weather.ambient_degC = weather.sky_degC = STAGNATION_AMBIENT_DEGC;
    weather.wind_m_s = 0.0;
    weather.incidence_rad = 0.0;
    return weather;
}

static bool idle_plate(const struct build *b, double *value, struct plate_state *state,
                       struct faults *faults)
{
    struct plate_weather weather = predict_idle_weather(b);
    struct plate_flow none = {PLATE_MEAN, 0.0, 0.0};
    struct cover_absorbed optics;
    plate_optics(&b->plate, &weather, &optics);
    if (!plate_solve(&b->plate, &weather, &optics, &none, 0, state, faults))
        return false;
    value[ANSWER_IDLE_PLATE] = state->plate_degC;
    value[ANSWER_IDLE_COVER] = b->plate.n_covers > 0 ? state->cover_degC[0] : NAN;
    for (size_t i = 1; i < b->plate.n_covers; i++)
        value[ANSWER_IDLE_COVER] = fmax(value[ANSWER_IDLE_COVER], state->cover_degC[i]);
    return true;
}

bool predict_answers(const struct build *b, const struct predict_wish *wish, double *value,
                     struct plate_state *point, struct plate_state *idle, struct faults *faults)
{
    struct plate_state own_point, own_idle;
    struct cover_absorbed optics;
    plate_optics(&b->plate, &b->weather, &optics);
    memset(value, 0, ANSWERS * sizeof *value);
    return predict_curve(&b->plate, &b->weather, &b->flow, b->reference_m2, wish->form,
                         &wish->range, &value[ANSWER_COEF], faults) &&
           compared(b, wish, &optics, value, faults) &&
           at_point(b, wish, &optics, value, point != NULL ? point : &own_point, faults) &&
           idle_plate(b, value, idle != NULL ? idle : &own_idle, faults);
}

void prediction_init(struct prediction *p)
{
    memset(p, 0, sizeof *p);
    registry_init(&p->rows);
}

void prediction_free(struct prediction *p)
{
    registry_free(&p->rows);
    prediction_init(p);
}

bool prediction_make(struct prediction *p, const struct build *build,
                     const struct predict_wish *wish, struct faults *faults)
{
    p->build = *build;
    if (!build_registry(build, &p->rows, faults) ||
        !predict_answers(build, wish, p->value, &p->point, &p->idle, faults))
        return false;
    for (size_t i = 0; i < p->rows.n; i++) {
        double up[ANSWERS], down[ANSWERS];
        struct build more = *build, less = *build;
        build_move_row(&more, &p->rows.rows[i], p->rows.rows[i].u);
        build_move_row(&less, &p->rows.rows[i], -p->rows.rows[i].u);
        if (!predict_answers(&more, wish, up, NULL, NULL, faults) ||
            !predict_answers(&less, wish, down, NULL, NULL, faults))
            return false;
        for (size_t k = 0; k < ANSWERS; k++)
            p->d[i][k] = 0.5 * (up[k] - down[k]);
    }
    return true;
}

double prediction_u(const struct prediction *p, size_t answer)
{
    double sum = 0.0;
    for (size_t i = 0; i < p->rows.n; i++)
        sum += p->d[i][answer] * p->d[i][answer];
    return sqrt(sum);
}

void prediction_covariance(const struct prediction *p, size_t n, size_t without, double *covariance)
{
    memset(covariance, 0, n * n * sizeof *covariance);
    for (size_t i = 0; i < p->rows.n; i++)
        if (i != without)
            fit_cov_add_outer(covariance, n, &p->d[i][ANSWER_COEF]);
}

/* The row of the other build that is the same unknown as this one's; rows.n if there is none. */
static size_t same_row(const struct prediction *other, const struct prediction *one,
                       const struct error_source *row)
{
    enum property property = (enum property)row->property;
    double value = build_value(&one->build, property);
    bool same_part =
        property_row(property)->common || build_value(&other->build, property) == value;
    for (size_t i = 0; i < other->rows.n && same_part; i++)
        if (text_same(other->rows.rows[i].id, row->id) &&
            text_same(other->rows.rows[i].origin, row->origin))
            return i;
    return other->rows.n;
}

double prediction_u_difference(const struct prediction *one, const struct prediction *other,
                               size_t answer)
{
    double sum = 0.0;
    for (size_t i = 0; i < other->rows.n; i++) {
        size_t j = same_row(one, other, &other->rows.rows[i]);
        double shared = j < one->rows.n ? one->d[j][answer] : 0.0;
        sum += pow(other->d[i][answer] - shared, 2.0);
    }
    for (size_t j = 0; j < one->rows.n; j++)
        if (same_row(other, one, &one->rows.rows[j]) == other->rows.n)
            sum += pow(one->d[j][answer], 2.0);
    return sqrt(sum);
}
