/* Aid for tests of ingest: a plan with the usual columns, a sink that keeps everything, a folder.
 */
#ifndef AID_INGEST_H
#define AID_INGEST_H

#include "ingest/log_plan.h"
#include "ingest/reader.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { KEPT_ROWS_MAX = 40000 };

/* Irradiance 'G tilt' W/m2, ambient 'T air', inlet 'T in', outlet 'T out' degC, flow 'Flow' L/min;
 * time 'Time', ISO 8601, UTC. */
void aid_ingest_plan(struct log_plan *plan, const char *path);

struct kept {
    size_t n;
    size_t blocks;
    size_t gaps; /* blocks after the first that have gap_before */
    bool first_gap_before;
    bool finished;
    size_t stop_after; /* blocks; 0: never */
    int64_t time_us[KEPT_ROWS_MAX];
    size_t block_of[KEPT_ROWS_MAX];
    double value[CH_LOGGED][KEPT_ROWS_MAX]; /* NaN where not present too */
    uint8_t flag[CH_LOGGED][KEPT_ROWS_MAX];
};

struct sink aid_ingest_sink(struct kept *kept);

/* Makes an empty folder under TMPDIR (or /tmp); out holds 200 bytes. */
void aid_ingest_folder(char *out);
void aid_ingest_write(const char *folder, const char *name, const char *bytes, size_t n,
                      char *path);
void aid_ingest_remove(const char *folder);

/* Visible files of a folder. */
size_t aid_ingest_count_files(const char *folder);

#endif
