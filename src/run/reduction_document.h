/* What a reduction says of itself, before any run: what was read and set aside, windows and
 * refusals, rules, points, errors, provenance. Shared by `check` and `reduce`.
 */
#ifndef RUN_REDUCTION_DOCUMENT_H
#define RUN_REDUCTION_DOCUMENT_H

#include "base/faults.h"
#include "result/document.h"
#include "run/reduction.h"

#include <stdbool.h>

/* Each returns false only when memory is short. */

/* Everything below, in the order of a report. */
bool reduction_document(const struct reduction *reduction, struct document *doc,
                        struct faults *faults);

/* The program's version and those of the libraries on which its numbers rest. (facts.c) */
bool program_facts(struct document *doc, struct faults *faults);

/* Provenance: program, description, inputs with SHA-256, collector, fluid, instruments. (facts.c)
 */
bool reduction_facts(const struct reduction *reduction, struct document *doc,
                     struct faults *faults);

/* Channels and flags, rows refused, clock. (readings_document.c) */
bool reduction_readings(const struct reduction *reduction, struct document *doc,
                        struct faults *faults);

/* Each channel's readings by flag, with the first line of each: of a check. (flags_document.c) */
bool reduction_flags(const struct reduction *reduction, struct document *doc,
                     struct faults *faults);

/* Columns whose numbers would be usual in another unit: before any answer of a reduction.
 * (units_document.c) */
bool reduction_units(const struct reduction *reduction, struct document *doc,
                     struct faults *faults);

/* Columns most of whose readings cannot be: before any answer of a reduction. (flags_document.c) */
bool reduction_mostly_impossible(const struct reduction *reduction, struct document *doc,
                                 struct faults *faults);

/* What a channel's readings show as a whole: stuck before that could be told, at the end of their
 * range, thousands read as ones; each a warning too. (whole_document.c) */
bool reduction_whole(const struct reduction *reduction, enum finding_place to, struct document *doc,
                     struct faults *faults);

/* Columns in which two series alternate row by row. (alternating_document.c) */
bool reduction_alternating(const struct reduction *reduction, struct document *doc,
                           struct faults *faults);

/* Points that are copies of earlier ones. (copies_document.c) */
bool reduction_copies(const struct reduction *reduction, struct document *doc,
                      struct faults *faults);

/* Days of sunshine without a window, where others have many. (days_document.c) */
bool reduction_days(const struct reduction *reduction, struct document *doc, struct faults *faults);

/* Where rows come more slowly from some time on. (slots_document.c) */
bool reduction_slots(const struct reduction *reduction, struct document *doc,
                     struct faults *faults);

/* How the stamps of one of the logs were taken: what was stated of the clock, and what came of it.
 * (timing_document.c) */
bool reduction_timing(const struct log_set *logs, size_t i, struct document *doc,
                      struct faults *faults);

/* A flow or a sunshine of one of the logs that was written with too few digits, before any answer; and
 * whether a column is such a one. (coarse_document.c) */
bool reduction_coarse(const struct log_set *logs, size_t i, struct document *doc,
                      struct faults *faults);
bool reduction_is_coarse(const struct log_column *column, const struct log_channel *channel);

/* The step of a column's readings: as stated, else the last digit that they show; NAN where neither is
 * known. (coarse_document.c) */
double reduction_step_si(const struct log_column *column, const struct log_channel *channel);

/* Where several loggers wrote: how their rows were joined, and how many had no partner; and the
 * same in a sentence for the first screen of a check. Nothing with one log. (join_document.c) */
bool reduction_join(const struct reduction *reduction, struct document *doc, struct faults *faults);
bool reduction_joined(const struct reduction *reduction, struct document *doc,
                      struct faults *faults);

/* What the sun sensors show at night: their zero, which nobody takes off unsaid. Nothing where the
 * log holds no night. (night_document.c) */
bool reduction_night(const struct reduction *reduction, struct document *doc,
                     struct faults *faults);

/* Where several loggers wrote: whether their clocks may disagree, which shows as scatter or not at
 * all. Nothing where offsets are stated and the scatter is as claimed. (join_document.c)
 * In: birge   scatter seen / claimed; NAN where it is not known */
bool reduction_clocks(const struct reduction *reduction, double birge, struct document *doc,
                      struct faults *faults);

/* What a meter that gives pulses can tell, and what its counter did. (pulses_document.c) */
bool reduction_pulses(const struct reduction *reduction, struct document *doc,
                      struct faults *faults);

/* A heat meter beside flow and rise: each window's heats, and over all of them; what it cannot tell
 * alone. (heats_document.c) */
bool reduction_heats(const struct reduction *reduction, struct document *doc,
                     struct faults *faults);

/* Readings beyond the fluid's range; of a glycol how far published figures lie apart, and its
 * cautions. (fluid_document.c) */
bool reduction_fluid(const struct reduction *reduction, struct document *doc,
                     struct faults *faults);

/* Instruments that changed places with those of another collector: when, and what stands on either
 * side. (swaps_document.c) */
bool reduction_swaps(const struct reduction *reduction, struct document *doc,
                     struct faults *faults);

/* Sun, angles, diffuse share, clock check and what does not fit the place. (sun_document.c) */
bool reduction_sun(const struct reduction *reduction, struct document *doc, struct faults *faults);

/* What the sunshine says of clock, place and plane. (clock_document.c) */
bool reduction_clock(const struct reduction *reduction, struct document *doc,
                     struct faults *faults);

/* The sun's path of the test as a figure. (sunpath_document.c) */
bool reduction_sunpath(const struct reduction *reduction, struct document *doc,
                       struct faults *faults);

/* Rules as used, windows with their verdicts, refusals with what would admit. (windows_document.c)
 */
bool reduction_windows(const struct reduction *reduction, struct document *doc,
                       struct faults *faults);

/* The windows, one a row, with means, sun and verdicts. (windows_table.c) */
bool reduction_windows_table(const struct reduction *reduction, struct document *doc,
                             struct faults *faults);

/* What the description excludes, where the windows are told. (exclusions_document.c) */
bool reduction_exclusions(const struct reduction *reduction, struct document *doc,
                          struct faults *faults);

/* The [report] section, and the instruments' certificates against the days of the test.
 * (paperwork_document.c) */
bool reduction_paperwork(const struct reduction *reduction, struct document *doc,
                         struct faults *faults);

/* Faulty rows of points tables that were left aside or kept. (points_bad_document.c) */
bool reduction_bad_rows(const struct reduction *reduction, struct document *doc,
                        struct faults *faults);

/* The same of several tests beside each other.
 * In: names   n, of the tests, in sentences and table */
bool reductions_bad_rows(const struct reduction *const *reductions, const char *const *names,
                         size_t n, struct document *doc, struct faults *faults);

/* points.csv: the means, in the form in which they are read. (points_document.c) */
bool reduction_points(const struct reduction *reduction, struct document *doc,
                      struct faults *faults);

/* The registry of error sources. (points_document.c) */
bool reduction_errors(const struct reduction *reduction, struct document *doc,
                      struct faults *faults);

/* "irradiance, relative": what an error moves; its unit, "1" for a share. (points_document.c) */
const char *reduction_target(const struct error_target *target, char *out, size_t size);
const char *reduction_target_unit(const struct error_target *target);

/* One timeline a day, windows shaded and refusals coloured. (timeline_document.c) */
bool reduction_timelines(const struct reduction *reduction, struct document *doc,
                         struct faults *faults);

#endif
