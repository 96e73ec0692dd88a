/* The line on a terminal that says how far a long run is: "reading 43 % ..., about 12 s to go".
 *
 * On standard error, and only if that is a terminal which can take a line back; nothing in the
 * first second, then at most five times a second. The line is wiped before anything else is said.
 */
#ifndef CMD_PROGRESS_LINE_H
#define CMD_PROGRESS_LINE_H

#include "base/progress.h"

#include <stdbool.h>
#include <stddef.h>
#include <time.h>

struct progress_line {
    bool on;
    bool shown;
    struct timespec begun;
    struct timespec last;
    const char *doing; /* of what `part` is the beginning */
    struct timespec part;
};

/* wanted false: never says anything. */
void progress_line_begin(struct progress_line *line, bool wanted);
struct progress progress_line_progress(struct progress_line *line);
void progress_line_end(struct progress_line *line); /* wipes it; safe twice */

/* The words alone.
 * In:      elapsed_s  since this part of the work began
 * Out:     out        "reading 43 %, about 12 s to go"; without the rest where it cannot be told yet
 *                     (nothing done, or under a second) or total is 0 ("reading")
 * Returns: out. size >= 80. */
const char *progress_line_words(const char *doing, uint64_t done, uint64_t total, double elapsed_s,
                                char *out, size_t size);

#endif
