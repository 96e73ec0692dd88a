/* Commands: one row and one file each. The table gives parsing, help and dispatch.
 */
#ifndef CMD_COMMAND_H
#define CMD_COMMAND_H

#include "base/faults.h"
#include "base/text.h"
#include "cmd/options.h"

#include <stdbool.h>
#include <stddef.h>

/* Runs a command: what belongs on standard output goes into `out`. Returns: false with faults. */
typedef bool command_run(const struct options *options, struct text *out, struct faults *faults);

struct command {
    const char *name;
    const char *operands; /* "TEST" as printed in the usage line */
    int least_operands;
    int most_operands; /* -1: any number */
    const char *summary;
    const char *more; /* a paragraph for `etabench NAME --help` */
    command_run *run;
};

const struct command *commands_table(size_t *n);
const struct command *command_find(const char *name);

/* The program's help, or one command's. */
void command_help(const struct command *command, struct text *out);

/* Runs argv: finds the command, reads its options, performs it.
 * Out:     out   for standard output
 * Returns: false with faults (usage faults included) */
bool command_line(int argc, char **argv, struct text *out, struct faults *faults);

command_run cmd_check;
command_run cmd_compare;
command_run cmd_demo;
command_run cmd_draft;
command_run cmd_plan;
command_run cmd_predict;
command_run cmd_reduce;
command_run cmd_selftest;

#endif
