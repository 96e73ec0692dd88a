/* Prediction: everything that a build should do, with the spread of what is stated about it.
 *
 * All answers stand in one array, so that each row of the registry moves all of them in one pair of
 * solves (central differences), and a difference of two builds can be taken row by row.
 */
#ifndef STUDY_PREDICT_H
#define STUDY_PREDICT_H

#include "fit/form.h"
#include "physics/predict.h"
#include "study/build.h"

#include <stdbool.h>
#include <stddef.h>

/* Where the sunshine of a state goes, W per m2 of the reference area; they add up to the sunshine.
 */
enum loss { LOSS_USEFUL, LOSS_TOP, LOSS_BACK, LOSS_EDGE, LOSS_KEPT, LOSS_REFLECTED, LOSSES };
extern const char *const loss_words[LOSSES];

enum { PREDICT_STATES = 3 };

enum answer {
    ANSWER_COEF = 0,                              /* of the form */
    ANSWER_ETA = ANSWER_COEF + FIT_FORM_MAX_COEF, /* efficiency at each compared state */
    ANSWER_LOSS = ANSWER_ETA + PREDICT_STATES,    /* LOSSES of each of them */
    ANSWER_POINT_LOSS = ANSWER_LOSS + PREDICT_STATES * LOSSES, /* at the operating point, W */
    ANSWER_OUTLET = ANSWER_POINT_LOSS + LOSSES,                /* degC */
    ANSWER_PLATE,
    ANSWER_COVER, /* outermost; NaN without one */
    ANSWER_IDLE_PLATE,
    ANSWER_IDLE_COVER, /* the hottest of them */
    ANSWERS
};

struct predict_wish {
    const struct fit_form *form;
    struct predict_range range;
    size_t n_states; /* 1 where the form knows one temperature, else PREDICT_STATES */
    double x_m2K_W[PREDICT_STATES]; /* compared states: reduced temperatures on the form's basis;
                                       those beyond n_states repeat the first */
    /* The operating point; its sky is as far below the air as in the test. */
    double point_g_W_m2, point_ambient_degC, point_wind_m_s, point_inlet_degC, point_flow_W_K;
};

struct prediction {
    struct build build;
    struct error_registry rows; /* of the build's properties */
    double value[ANSWERS];
    double d[PROPERTIES][ANSWERS]; /* shift for + one standard uncertainty of each row */
    struct plate_state point;      /* at the operating point */
    struct plate_state idle;
};

/* Solves a build for all answers. Out: value  ANSWERS of them; point, idle may be NULL.
 * Returns: false with a data fault where a balance does not close */
bool predict_answers(const struct build *build, const struct predict_wish *wish, double *value,
                     struct plate_state *point, struct plate_state *idle, struct faults *faults);

/* Answers and what every row does to them. The caller frees, also on failure. */
bool prediction_make(struct prediction *prediction, const struct build *build,
                     const struct predict_wish *wish, struct faults *faults);
void prediction_init(struct prediction *prediction);
void prediction_free(struct prediction *prediction);

/* Combined standard uncertainty of an answer. */
double prediction_u(const struct prediction *prediction, size_t answer);

/* Covariance of the form's coefficients, without one row (rows.n: with all). n*n, row-major. */
void prediction_covariance(const struct prediction *prediction, size_t n, size_t without,
                           double *covariance);

/* Standard uncertainty of the difference other - one. A row that has the same id and origin in both
 * is one unknown, unless it is a property of a part and its value differs: then the parts are two,
 * each with an error of its own. */
double prediction_u_difference(const struct prediction *one, const struct prediction *other,
                               size_t answer);

/* Weather in which an idle plate is judged (physics/stagnation.h), light as in the build's. */
struct plate_weather predict_idle_weather(const struct build *build);

#endif
