/* The [run NAME] sections: what is to be found from the points.
 */
#ifndef RUN_RUN_SECTION_H
#define RUN_RUN_SECTION_H

#include "description/schema.h"
#include "fit/modifier.h"
#include "run/check_section.h"

enum run_kind { RUN_EFFICIENCY, RUN_ZERO_CHECK, RUN_TOGETHER, RUN_BUCKET, RUN_MODIFIER };
enum run_form {
    FORM_AUTOMATIC,
    FORM_MEAN,
    FORM_LINE,
    FORM_SECOND_ORDER,
    FORM_LINE_WIND,
    FORM_SECOND_ORDER_WIND
};
enum run_temperature { TEMPERATURE_MEAN, TEMPERATURE_INLET };
enum run_curve { CURVE_NEAR_NORMAL, CURVE_TOGETHER };

/* What a reduced temperature may be, m2 K/W: from water colder than the air to an idle absorber. */
#define RUN_BUDGET_LEAST_X (-0.1)
#define RUN_BUDGET_MOST_X 0.5

/* Beyond it no point is used. */
#define RUN_BUDGET_MOST_RAD (85 * 0.017453292519943295)

enum run_scale { SCALE_AT_LEAST_STATED, SCALE_STATED, SCALE_ESTIMATED };

struct left_out {
    char point[VALUE_SIZE];
    char reason[VALUE_SIZE];
    struct place at; /* file borrowed from the setup */
};

struct run_section {
    char name[NAME_SIZE];
    struct place head;
    struct stated_choice kind_choice;
    struct stated_choice form_choice;
    struct stated_choice temperature_choice;
    struct stated_choice scale_choice;
    struct stated_choice shape_choice;
    struct stated_choice curve_choice;
    struct stated_choice tubes_choice;
    struct stated_number near_rad;
    struct stated_number drop_below_t;
    struct stated_number draw_at;
    struct stated_number budget_at; /* m2 K/W */
    struct stated_number budget_angle; /* rad */
    struct stated_number wind_origin;
    struct stated_number draws_number;
    struct stated_number seed_number;
    struct stated_list leave_out;
    struct check_keys check;

    /* Settled by run_section_settle. */
    enum run_kind kind;
    enum run_form form;
    enum run_temperature temperature;
    enum run_scale scale;
    enum fit_modifier_form shape; /* of a modifier */
    bool tubes_level;             /* of two planes */
    enum run_curve curve;         /* of a modifier: from which points its curve is */
    double near_normal_rad; /* points nearer to the normal make the curve */
    double drop_below;    /* t-ratio under which the curvature is dropped; 2 by default */
    double draw_at_W_m2;  /* only the drawing; 1000 by default */
    double wind_origin_m_s; /* 3 by default */
    bool draws_asked;
    double draws; /* whole; 0: no Monte Carlo */
    double seed;  /* whole */
    struct left_out *left_out; /* owned */
    size_t n_left_out;
};

extern const struct schema run_schema; /* [run NAME] */

void run_section_free(struct run_section *run);
/* zone: of the log's clock; NULL: the stamps of a check must carry theirs */
bool run_section_settle(struct run_section *run, const char *file, const struct zone *zone,
                        struct faults *faults);

const char *run_form_word(enum run_form form); /* "second order" */
const char *run_kind_word(enum run_kind kind); /* "zero check" */

/* Windows this near to the normal count as at it, unless a modifier's run says otherwise: the angle
 * below which the modifier of one glass is within 2 % of 1, as ISO 9806 asks (from memory). */
#define RUN_NEAR_NORMAL_RAD (20 * 0.017453292519943295)
#define RUN_NEAR_NORMAL_MOST_RAD (45 * 0.017453292519943295)

/* Whether it gives a curve: of kind efficiency, or of a modifier fitted together with it. */
bool run_gives_curve(const struct run_section *run);

/* Whether it finds errors of instruments instead of a property of the collector. */
bool run_is_check(const struct run_section *run);

#endif
