/* Runs gnuplot: a script in, an SVG or PNG out or a fault; never half a picture.
 *
 * `gnuplot -d -` is started without a shell and with a minimal environment (PATH, LC_ALL=C.UTF-8).
 * Its standard input, output and error are files that have no name any more when it starts: nothing
 * can deadlock, no signal for a broken pipe can reach us, and nothing is left behind however it
 * ends. A picture counts only if the status is 0 and its last bytes are those of a whole one
 * (`</svg>`, a PNG's IEND): on a full disk gnuplot ends with status 0, and after an error it
 * goes on.
 */
#ifndef PLOTS_GNUPLOT_H
#define PLOTS_GNUPLOT_H

#include "base/faults.h"
#include "base/text.h"

#include <stdbool.h>

enum { GNUPLOT_DEADLINE_S = 60 };

enum gnuplot_picture { GNUPLOT_SVG, GNUPLOT_PNG };

/* Draws a little picture in the temporary folder (TMPDIR, else the system's).
 * Returns: false with a machine fault that says what to do (install it, or --no-plots). */
bool gnuplot_probe(struct faults *faults);

/* Whether this gnuplot can draw PNG (terminal pngcairo); some are built without. If not, a note is
 * added that says so. folder: as for gnuplot_run.
 * Out:     png
 * Returns: false with a machine fault if it could not be asked */
bool gnuplot_ask_png(const char *folder, bool *png, struct faults *faults);

/* Runs a script.
 * In:      folder      where gnuplot stands (data files are named from here) and where the nameless
 *                      files are kept
 *          what        the figure's name, for messages
 *          kind        what the script draws
 *          deadline_s  seconds until it is killed, > 0; usually GNUPLOT_DEADLINE_S
 * Out:     picture     its bytes; empty on failure
 * Returns: false with a machine fault that carries gnuplot's own first words; one that writes
 *          without an end is ended. What it says on a success becomes a note. */
bool gnuplot_run(const char *folder, const char *what, const char *script,
                 enum gnuplot_picture kind, int deadline_s, struct text *picture,
                 struct faults *faults);

#endif
