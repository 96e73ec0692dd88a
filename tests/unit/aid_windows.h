/* Aid for tests of the window finder: rules set in a line, a log run through it, and a plain
 * reference that judges every stretch afresh from its readings.
 */
#ifndef AID_WINDOWS_H
#define AID_WINDOWS_H

#include "aid_log.h"
#include "window/finder.h"

/* Overrides a figure; fails the test if it is refused. */
void aid_set_rule(struct rules *rules, const char *key, const char *value, struct faults *faults);

/* Finds the windows of a log by a clock of UTC+1. most_rows and cut are those of aid_log_feed; the
 * caller frees the finder. */
void aid_find_windows(const struct aid_log *log, const struct rules *rules, size_t most_rows,
                      uint32_t cut, struct finder *finder, struct faults *faults);

/* What the reference found; room for what these logs can hold. */
struct plain {
    size_t n_windows, judged, failed[RULE_LIMITS];
    int64_t start_us[200], end_us[200];
    double mean[200][CH_COUNT];
    double statistic[200][RULE_LIMITS];
    size_t rows[200];
    bool near_found[RULE_LIMITS];
    double near_statistic[RULE_LIMITS];
    double near_ratio[RULE_LIMITS];
    double slots_s; /* time in slots */
};

/* The reference: for logs in which every channel has a limit or is needed, windows of 192 s behind
 * 150 s.
 * In: slot_us, step_us  of the rules, and between rows */
void plain_find(const struct aid_log *log, const struct rules *rules, int64_t slot_us,
                int64_t step_us, struct plain *plain);

/* Fails the test unless both found the same windows, verdicts and near misses. */
void plain_compare(const char *name, const struct finder *finder, const struct plain *plain);

#endif
