/* What a [run NAME] section of a check holds: the stretch of the log, or what was typed.
 *
 *   zero check              from, to                          of the log
 *   thermometers together   from, to of the log; or 'compared', one a reading of all of them
 *   bucket and stopwatch    'fill', one for each filling of the bucket
 */
#ifndef RUN_CHECK_SECTION_H
#define RUN_CHECK_SECTION_H

#include "description/schema.h"

#include <stdint.h>

enum { CHECK_PROBES = 6, CHECK_READINGS = 60, CHECK_FILLS = 20 };

/* One filling of the bucket. NaN: not given. */
struct bucket_fill {
    double bucket; /* m3, or kg where by_mass */
    bool by_mass;
    double time_s;
    double pulses;   /* one of these three is given */
    double shown;    /* m3, or kg of a meter of mass */
    double flow;     /* m3/s, or kg/s */
    bool shown_mass; /* the meter's is a mass */
    struct place at; /* file borrowed */
};

struct check_keys {
    struct stated_text from;
    struct stated_text to;
    struct stated_list thermometers;
    struct stated_text reference;
    struct stated_error reference_error; /* K */
    struct stated_list compared;
    struct stated_list fill;
    struct stated_error bucket_error;    /* relative */
    struct stated_error stopwatch_error; /* s */
    struct stated_number water_degC;
    struct stated_error left;      /* K, or relative for the bucket */
    struct stated_error zero_left; /* W/m2 */
    struct stated_choice apply;

    const struct zone *zone; /* of the log's clock, for check_settle alone; NULL: there is none */

    /* Settled by check_settle. */
    bool stretch; /* start_us and end_us hold */
    int64_t start_us;
    int64_t end_us;
    bool applied;                     /* corrects the readings and replaces the data sheet */
    double (*readings)[CHECK_PROBES]; /* owned; degC, in the order of `thermometers` */
    size_t n_readings;
    struct bucket_fill *fills; /* owned */
    size_t n_fills;
};

enum check_kind { CHECK_NONE, CHECK_ZERO, CHECK_TOGETHER, CHECK_BUCKET };

void check_keys_free(struct check_keys *keys);

/* Checks that only keys of the kind stand there, and reads what is in them.
 * In:      kind  CHECK_NONE for a run that is no check: every key is refused
 * Returns: false with all faults */
bool check_settle(struct check_keys *keys, enum check_kind kind, const char *name,
                  struct place head, struct faults *faults);

#endif
