/* The [log] and [points] sections: which files, and how a log writes time, numbers and gaps.
 */
#ifndef RUN_LOG_SECTION_H
#define RUN_LOG_SECTION_H

#include "base/zone.h"
#include "description/schema.h"
#include "run/exclusion.h"
#include "run/log_clock.h"

#include <stdint.h>

/* `Date + Time, %d/%m/%Y %H:%M:%S, UTC+1` taken apart. */
struct time_text {
    char columns[TIME_COLUMNS_MAX][VALUE_SIZE]; /* "" behind the last one */
    char format[VALUE_SIZE];     /* "ISO 8601" or a pattern */
    bool iso;
    bool in_stamp;               /* the stamps carry their zone */
    struct zone zone;            /* owned; UTC when in_stamp */
};

/* In:      year  that is stated beside it; 0: none
 * Returns: false with a fault that shows the three parts; zone_free(&time->zone) is then not
 * needed. */
bool time_text_read(const char *text, int year, struct place at, struct time_text *time,
                    struct faults *faults);

struct log_section {
    bool given;
    char name[NAME_SIZE]; /* of [log NAME]; "" of [log] */
    struct place head;
    struct stated_list files;       /* as written */
    struct stated_text time_text;
    struct stated_number year; /* 0: not stated */
    struct stated_choice separator; /* comma, semicolon, tab */
    struct stated_choice decimal;   /* point, comma */
    struct stated_choice encoding;  /* enum encoding */
    struct stated_text names;       /* "none" or "line 4" */
    struct stated_list missing;     /* markers */
    struct stated_number gap_s;
    struct stated_list exclude;
    struct log_clock clock;
    struct stated_number ahead_s; /* `clock offset` of [log NAME]: more than the clock of [log] */

    /* Settled by log_section_settle. */
    struct time_text time;
    char separator_byte;
    char decimal_byte;
    bool no_names;
    long names_line; /* 0: not stated */
    struct exclusion *exclusions; /* owned; as many as were right */
    size_t n_exclusions;
};

struct points_section {
    bool given;
    struct place head;
    struct stated_list files;
    struct stated_choice corrected; /* enum points_corrected */
    struct stated_list keep;        /* points that are vouched for: "NAME, reason" */
};

/* Whether the points hold what the description's checks found already. */
enum points_corrected { POINTS_CORRECTED, POINTS_AS_READ };

extern const struct schema log_schema;       /* [log] */
extern const struct schema other_log_schema; /* [log NAME] */
extern const struct schema points_schema;    /* [points] */

/* "[log]" or "[log weather]". Returns: out. */
const char *log_section_label(const struct log_section *log, char *out, size_t size);

void log_section_free(struct log_section *log);
void points_section_free(struct points_section *points);

/* Of the log's clock, for stamps that do not carry theirs; NULL: there is none to go by. */
const struct zone *log_zone(const struct log_section *log);
/* Refuses names of files that are written in Windows' way, unless a file is called so.
 * In:      path  the description's */
bool files_settle(const struct stated_list *files, const char *path, struct faults *faults);

bool log_section_settle(struct log_section *log, const char *file, struct faults *faults);

#endif
