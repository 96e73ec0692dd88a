/* Values: the text right of a '=' becomes a number with a meaning. One function a kind of value;
 * each adds the fault itself, so that a wrong value reads the same in whatever key it stands.
 *
 * Every value keeps where it stood, for the checks between keys. A struct of zeros is "not given".
 */
#ifndef DESCRIPTION_VALUE_H
#define DESCRIPTION_VALUE_H

#include "base/faults.h"
#include "base/units.h"
#include "description/reader.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Common head of all values. */
struct stated {
    bool given;
    long line;
    long column;
};

struct stated_text {
    struct stated at;
    char text[VALUE_SIZE];
};

/* quantity, difference or plain number */
struct stated_number {
    struct stated at;
    double value; /* SI; degC for temperatures, K for differences */
};

enum error_per { PER_NOTHING, PER_SAMPLE, PER_WINDOW };

/* An error that says what it means, already as a standard uncertainty. */
struct stated_error {
    struct stated at;
    double u;      /* relative (0.006) or in the SI unit of the dimension (K for temperatures) */
    bool relative; /* stated in % or as a plain ratio */
    bool limit;    /* stated as a limit: rectangular, u = limit / sqrt 3 */
    enum error_per per;
    char text[VALUE_SIZE]; /* as written: "1.2 % k=2" */
};

struct stated_range {
    struct stated at;
    double low; /* SI */
    double high;
};

struct stated_choice {
    struct stated at;
    size_t index; /* into the choices */
};

struct stated_date {
    struct stated at;
    int64_t day; /* since 1970-01-01 */
    char text[VALUE_SIZE];
};

/* List with commas, or a key that may be repeated. */
struct stated_list {
    struct stated_text *items; /* owned */
    size_t n;
};
void stated_list_free(struct stated_list *list);
bool stated_list_add(struct stated_list *list, const struct stated_text *item,
                     struct faults *faults);

/* What a number may be: ends are inclusive unless `open_least`; NAN is no end. */
struct value_limits {
    double least; /* SI */
    double most;
    bool open_least; /* greater than least */
};

/* `2.05 m2`: number, blanks, unit of the dimension. A bare number is refused unless the dimension
 * is none ("%" is 0.01 there). `difference` reads 10 degF as 5.56 K. */
bool value_quantity(const char *text, enum dimension dimension, bool difference,
                    const struct value_limits *limits, struct place at, double *si,
                    struct faults *faults);

/* A plain number without unit. */
bool value_number(const char *text, const struct value_limits *limits, struct place at,
                  double *value, struct faults *faults);

/* `1.2 % k=2`, `0.6 % standard`, `0.5 K limit`, each with an optional `per sample` or `per window`.
 * u = value / k, value, value / sqrt 3 (rectangular; JCGM 100:2008, 4.3.7).
 * In:  dimension  of errors that are not relative; DIM_NONE: only relative ones are accepted
 *      relative   whether % is accepted (never for temperatures: 1 % of 20 degC means nothing)
 *      per        whether `per ...` is accepted; where it is, it is required */
bool value_error(const char *text, enum dimension dimension, bool relative, bool per,
                 struct place at, struct stated_error *error, struct faults *faults);

/* `1 to 5 m/s`: low <= high, one unit for both. */
bool value_range(const char *text, enum dimension dimension, struct place at, double *low,
                 double *high, struct faults *faults);

/* `2026-03-01`, a day that exists. Out: days since 1970-01-01. */
bool value_date(const char *text, struct place at, int64_t *day, struct faults *faults);

/* Letter case is ignored. */
bool value_choice(const char *text, const char *const *choices, size_t n, struct place at,
                  size_t *index, struct faults *faults);

/* A unit alone: `W/m2`. */
bool value_unit(const char *text, enum dimension dimension, struct place at,
                const struct unit **unit, struct faults *faults);

#endif
