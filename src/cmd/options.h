/* Options: one row each, for all commands. Parsing and help come from the rows.
 */
#ifndef CMD_OPTIONS_H
#define CMD_OPTIONS_H

#include "base/faults.h"
#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>

/* How often an option may be repeated and be kept. */
enum { OPTION_REPEATS = 5 };

struct options {
    const char *output; /* -o; NULL: by default */
    bool no_plots;
    bool json;
    bool quiet;
    bool skip_bad;
    unsigned threads; /* 0: as many as are of use */
    bool rules;
    bool points;
    const char *verify;    /* a kept result to compare with; NULL: none */
    const char *separator; /* of draft; NULL: to be found */
    const char *decimal;   /* of draft; NULL: to be found */
    const char *answer;    /* of plan; NULL: by default */
    bool before;           /* of plan */
    bool help;
    const char *changes[OPTION_REPEATS]; /* of predict; n_changes of them, more are not kept */
    size_t n_changes;                    /* given, also beyond what is kept */
    char **operands; /* borrowed from argv */
    int n_operands;
};

/* Reads argv after the command's name (argv[0] is the command's name).
 * Returns: false with a usage fault: an option that is unknown, not this command's, or lacks its
 *          argument. */
bool options_read(const char *command, int argc, char **argv, struct options *options,
                  struct faults *faults);

/* The lines of the options that a command takes. */
void options_help(const char *command, struct text *out);

#endif
