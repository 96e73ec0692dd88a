/* Log plan: what is known about a log before it is opened. Others fill it from the description;
 * this folder only reads it. All pointers are owned by the plan and freed by log_plan_free, units,
 * the zone and the arrays of the timing apart.
 */
#ifndef INGEST_LOG_PLAN_H
#define INGEST_LOG_PLAN_H

#include "base/faults.h"
#include "base/zone.h"
#include "domain/channel.h"
#include "domain/signal.h"
#include "ingest/encoding.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* How several rows of a column become one where its log is joined to a slower one:
 * ingest/partner.h. */
enum log_joined { JOINED_MEAN, JOINED_DIRECTION, JOINED_LAST, JOINED_SUM };

/* One column that carries a channel.
 * Value in `unit` = gain * number + add; then unit_absolute() takes it to SI. */
struct log_column {
    enum channel channel;    /* below CH_LOGGED; each at most once in a plan */
    char *name;              /* as in the header row, letter for letter (outer blanks cut) */
    const struct unit *unit; /* borrowed from units.h's table; of the channel's dimension, of
                                pulses, or of what a total adds up to: the channel then carries
                                counts until window/derived.h */
    double gain;             /* 1 unless stated */
    double add;              /* 0 unless stated */
    const struct signal *signal; /* borrowed; NULL: the line alone. Else SI = signal_value(gain *
                                    number + add), and `unit` is what values are told in */
    bool head_unit_wrong;    /* a unit in the log's head that contradicts is stated to be wrong */
    struct log_screening {   /* all zero: by the tables of ingest/screen_limits.h */
        int64_t stuck_us;    /* the same number for this long is stuck; below 0: never */
        double spike_si;     /* further than this from both neighbours is a spike; below 0: never */
        double resolution_si; /* one step; 0: not known */
    } screening;
    enum log_joined joined;
};

/* What a stamp means where the logger averages. */
enum stamp_side { STAMPS_INSTANT, STAMPS_START, STAMPS_MIDDLE, STAMPS_END };

/* The clock showed shown_us (as the zone has it) when it was put forward (or back: by_us < 0). */
struct clock_set {
    int64_t shown_us;
    int64_t by_us;
    struct place at; /* in the description; its file is borrowed */
};

/* What is known of the clock beyond form and zone, see ingest/timing.h. Arrays are borrowed. */
struct log_timing {
    const int64_t *starts_us; /* rising: each power-up of a logger that counts since its start */
    size_t n_starts;
    struct place starts_at; /* of the first one in the description */
    const struct clock_set *sets; /* shown_us rising */
    size_t n_sets;
    enum stamp_side side;
    int64_t interval_us;    /* over which the logger averages; 0: the step between rows */
    unsigned rows_per_stamp; /* 0 or 1: each row has its own */
};

/* Year, month, day, hour, minute and second. */
enum { TIME_COLUMNS_MAX = 6 };

struct log_plan {
    char **files; /* in any order: they are read in the order of their first stamps */
    size_t n_files;

    /* Stamp: the field of one column, or of several with a blank between. */
    char *time_columns[TIME_COLUMNS_MAX];
    size_t n_time_columns;
    char *time_format;     /* "ISO 8601" or a pattern, see ingest/stamp.h */
    bool zone_in_stamp;    /* every stamp carries its zone; zone is then not used for reading */
    const struct zone *zone; /* the clock's, borrowed; NULL: UTC */

    int year; /* of all stamps; 0: as they show it */

    struct log_timing timing;

    char separator; /* ',' ';' or '\t' */
    char decimal;   /* '.' or ',' */
    enum encoding encoding;
    bool no_names;   /* the log has no names: columns are called "1", "2", ... */
    long names_line; /* the names stand in this line; 0: in the first that holds most of them */

    /* Missing markers. An empty field is always missing. A marker that is a number ("-9999") is
     * compared by value with the number as written, any other text with ASCII letter case ignored.
     */
    char **missing; /* n_missing 0: NAN and NA */
    size_t n_missing;

    int64_t gap_us; /* a longer step breaks a segment; 0: 3 times the median of the first 1000 rows'
                       steps */

    unsigned
        threads; /* to read with, three at most are used; 0: as the log and the machine suggest */

    struct log_column *columns;
    size_t n_columns;
};

/* All fields empty, separator ',', decimal '.'. */
void log_plan_init(struct log_plan *plan);
void log_plan_free(struct log_plan *plan);

/* Append copies. Return: false with a machine fault (out of memory). */
bool log_plan_add_file(struct log_plan *plan, const char *path, struct faults *faults);
bool log_plan_add_missing(struct log_plan *plan, const char *marker, struct faults *faults);
bool log_plan_add_column(struct log_plan *plan, enum channel channel, const char *name,
                         const struct unit *unit, double gain, double add, struct faults *faults);

/* What a number of the column means, SI; NaN outside of its signal. */
double log_column_si(const struct log_column *column, double number);

/* Whether it carries counts: pulses, or a total that only rises. They have no range but that of
 * whole numbers, and none of them is stuck or a spike. */
bool log_column_counts(const struct log_column *column);

/* Least and largest number that the column may hold, SI. A counter's may lie below 0: its register
 * may have a sign (window/pulses.h). */
struct log_range {
    double least_si;
    double most_si;
};
struct log_range log_column_range(const struct log_column *column);

/* Whether it carries what was counted since the row before. */
bool log_column_since_row(const struct log_column *column);

/* How the readings of the column that was added last are screened. */
void log_plan_screen_column(struct log_plan *plan, struct log_screening screening);

/* Sets the stamp's columns and format (copies). second may be NULL. */
bool log_plan_set_time(struct log_plan *plan, const char *first, const char *second,
                       const char *format, struct faults *faults);

/* One more column of the stamp, at most TIME_COLUMNS_MAX in all. */
bool log_plan_add_time(struct log_plan *plan, const char *column, struct faults *faults);

#endif
