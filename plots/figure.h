/* Figures: a struct figure and its table become NAME.gp, NAME.csv, NAME.svg and NAME.png in a result
 * folder.
 *
 * NAME.gp is a head (our settings as gnuplot variables) followed by the template plots/TEMPLATE.gp;
 * it runs by hand in the result folder: `gnuplot curve.gp` draws curve.csv into curve.svg,
 * `gnuplot -e 'png = 1' curve.gp` into curve.png (twice as many pixels, for slides). What we send to
 * gnuplot ourselves is the same text with `png = 1`, or nothing, for its one line `set output`.
 *
 * Always set by us in the head: `data` (NAME.csv), `figure_name`, `figure_title`, `longest_text`
 * (characters of the longest text in the table, first column apart).
 *
 * WHAT EACH TEMPLATE READS
 * Columns are found by position, so their order counts; a cell that has no value stays empty. Words
 * in column `part` tell the blocks of one file apart; rows of a block stand together. "(opt)" marks
 * settings that may be left out.
 *
 * timeline: one stretch of time (make one figure a day: nights would only squeeze the days)
 *   1 part             "bin", "window" or "refused"
 *   2 start_s  3 end_s local clock as seconds since 1970-01-01 (offset added)
 *   4 lane             refused: 1, 2 ... = the limit that refused it; window and bin: empty
 *   5-7 g_min g_mean g_max (W/m2)              8-10 amb_min amb_mean amb_max (degC)
 *   11-13 in_min in_mean in_max (degC)         14-16 out_min out_mean out_max (degC)
 *   17-19 flow_min flow_mean flow_max (unit as said by flow_label)
 *   settings: lanes           number of limits shown (0 to 8)
 *             lane_1 ...      the limit in words, "irradiance not steady"; at most 28 characters
 *             flow_label      (opt) "flow (kg/h)"
 *             x_label         (opt) "21 June 2026, UTC+1"
 *             from_s, to_s    (opt) range of time; default: all bins
 *   A gap in the log: bins that do not touch; a bin without values breaks the line.
 *
 * curve: efficiency against reduced temperature
 *   1 part             "point", "left out" or "curve"
 *   2 x  3 y           reduced temperature (m2 K/W), efficiency
 *   4 x_low  5 x_high  6 y_low  7 y_high       point, left out: 95 % error crosses
 *   8 curve_low  9 curve_high                  curve: where the curve lies
 *   10 next_low 11 next_high                   curve: where one more window of this test would fall
 *   12 bench_low 13 bench_high                 curve: against the truth or another bench
 *   14 name                                    text; left-out points are named, points if name_points
 *   settings: g_W_m2            irradiance at which curve and top axis are drawn
 *             formula           (opt) "η = 0.773 − 3.9 T* − 0.012 G T*²": stands on the curve
 *             x_label, y_label  (opt)
 *             name_points       (opt, 1: print each point's name)
 *   15 group  16 group_number  of a point, the number from 0; settings: groups (how many have a
 *                              symbol of their own, at most 8; 0: all alike), group_0 ..., their
 *                              colours tint_0 ... ("#C0182B") (opt)
 *   Curve rows: 50 to 200 from the lowest to the highest x of the valid range (extrapolation is the
 *   run's to decide; the axes follow the data). No curve rows: points alone.
 *
 * power: of the collector against the temperature difference, at several irradiances
 *   1 part             "power"
 *   2 series           1, 2 ... (at most 4)
 *   3 x  4 y  5 low  6 high    K; W and its 95 % band
 *   settings: series          how many
 *             name_1 ...      "1000 W/m²": stands at the end of the line
 *
 * residuals: measured minus curve
 *   1 part             "point" or "left out"
 *   2 x  3 hour        reduced temperature (m2 K/W); local time of day (h, 13.5), empty if unknown
 *   4 residual  5 low  6 high                  low and high: residual -+ 2 u
 *   7 name
 *   settings: x_label, y_label (opt)
 *   Without any hour the second panel is left out.
 *
 * budget: bars per source for each coefficient, and for the curve
 *   1 part             "bar"
 *   2 panel            0, 1 ... = coefficient; the last one may be the curve
 *   3 rank             0 = longest bar of its panel
 *   4 kind             0 calibration, 1 session, 2 reading, 3 other
 *   5 u                standard uncertainty given by this source, >= 0, in the coefficient's unit
 *   6 label            the source in words; room is made for up to 66 characters
 *   settings: panels          1 to 5
 *             panel_0 ...     "η₀ = 0.773 ± 0.024": head of the panel
 *             axis_0 ...      "standard uncertainty of η₀"
 *             total_0 ...     combined standard uncertainty (drawn as a line), NaN: none
 *   At most 10 bars a panel; the run adds the small ones together.
 *
 * modifier: the incidence angle modifier of the beam
 *   1 part             "curve", "beyond" (the curve past the last point), "pair", "before" or "after"
 *   2 theta  3 K       degrees; 4 low, 5 high: 95 %, of a point by its readings; 6 name
 *   A row of "pair" without numbers ends a line. "before" is also a point whose hour is not known.
 *
 * planes: the incidence angle modifier of the beam in two planes, side by side
 *   1 part             "curve", "beyond" (the curve past the last point), "before" or "after"
 *   2 plane            0 along the tubes, 1 across them
 *   3 theta  4 K       degrees; 5 low, 6 high: 95 %; 7 name
 *
 * losses: where the sunshine goes, predicted beside measured
 *   1 part             "bar" or "error"
 *   2 state  3 who     0, 1 ... = temperature; 0 predicted, 1 measured
 *   4 from  5 to       % of the sunshine; error: ends of the useful share's interval
 *   6 kind             0 useful, 1 front, 2 back, 3 edge, 4 kept by the cover, 5 reflected, 6 beside the
 *                      glass, 7 heat lost and 8 not caught (all that a measurement tells)
 *   7 label            the share in words
 *   settings: states, state_0 ... (their names), measured (1: there are bars of who 1)
 *
 * change: what changes would do, for a projector
 *   1 part             "curve", "bar" or "idle"
 *   2 variant          0 as it is, 1 ... (5 at most)
 *   3, 4               curve: T* (m2 K/W), efficiency; bar: from, to (% of the sunshine)
 *   5 kind             bar: as 0 to 5 above
 *   6 label            curve: the variant's name; bar: the share; idle: the temperature
 *   settings: variants, where_at (the operating point in words)
 *
 * plan: what a test knows of an answer, and with each addition
 *   1 part             "again" (all once more, k times) or "addition"
 *   2 rank  3 windows  4 half              of the 95 % interval, in the unit of y_label
 *   5 label            of an addition, in words
 *   settings: limit (what no point takes away; NaN: none), y_label
 */
#ifndef PLOTS_FIGURE_H
#define PLOTS_FIGURE_H

#include "base/faults.h"
#include "base/files.h"
#include "base/text.h"
#include "result/document.h"

#include <stdbool.h>

enum figure_purpose {
    FIGURE_SVG,    /* sent to gnuplot, the picture comes from its standard output */
    FIGURE_PNG,    /* the same for PNG */
    FIGURE_BY_HAND /* saved as NAME.gp */
};

enum figure_pictures { PICTURES_NONE, PICTURES_SVG, PICTURES_SVG_PNG };

/* The script of a figure.
 * In:      table     the figure's own (document_find_table(doc, figure->table_id))
 * Returns: false when memory is short. An unknown template is our own mistake (assert). */
bool figure_script(const struct figure *figure, const struct table *table,
                   enum figure_purpose purpose, struct text *out, struct faults *faults);

/* Writes NAME.gp, NAME.csv and the pictures asked for into the open folder.
 * A figure whose table has no rows is not written: there is nothing to see.
 * Returns: false with a machine fault (disk, gnuplot). The caller abandons the folder. */
bool figure_write(const struct figure *figure, const struct document *doc,
                  enum figure_pictures pictures, struct folder *folder, struct faults *faults);

#endif
