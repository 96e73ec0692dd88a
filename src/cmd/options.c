#include "cmd/options.h"

#include "base/numbers.h"
#include "report/wrap.h"

#include <getopt.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

enum { HELP_COLUMN = 25, COUNT_MOST = 1000 };
enum option_kind { OPTION_FLAG, OPTION_TEXT, OPTION_CHANGE, OPTION_COUNT };

static const struct option_row {
    char letter; /* 0: none */
    const char *name;
    enum option_kind kind;
    size_t offset; /* in struct options */
    const char *argument;
    const char *commands; /* that take it, blank-separated; "*": all */
    const char *help;
} rows[] = {
    {'o', "output", OPTION_TEXT, offsetof(struct options, output), "PATH",
     "check compare draft plan predict reduce",
     "where to write (a folder; for draft a file, '-' is standard output)"},
    {0, "no-plots", OPTION_FLAG, offsetof(struct options, no_plots), NULL,
     "check compare plan predict reduce", "no figures; gnuplot is then not needed"},
    {0, "json", OPTION_FLAG, offsetof(struct options, json), NULL,
     "check compare draft plan predict reduce",
     "print results.json (of a draft: what was understood) instead of the first screen"},
    {'q', "quiet", OPTION_FLAG, offsetof(struct options, quiet), NULL,
     "check compare plan predict reduce", "print nothing but faults: no first screen, no progress"},
    {0, "skip-bad", OPTION_FLAG, offsetof(struct options, skip_bad), NULL,
     "check compare plan predict reduce",
     "go on without the faulty rows of points tables; they are named all the same"},
    {0, "verify", OPTION_TEXT, offsetof(struct options, verify), "DIR",
     "check compare plan predict reduce",
     "write nothing; say whether the kept result DIR comes out again"},
    {0, "threads", OPTION_COUNT, offsetof(struct options, threads), "N", "check plan reduce",
     "read logs and draw with N threads (else what the machine has); no result depends on it"},
    {0, "rules", OPTION_FLAG, offsetof(struct options, rules), NULL, "check",
     "print the rules as used, with the source of each figure, and stop"},
    {0, "points", OPTION_FLAG, offsetof(struct options, points), NULL, "draft",
     "write a blank points table and a page to print instead"},
    {0, "separator", OPTION_TEXT, offsetof(struct options, separator), "SIGN", "draft",
     "between the log's fields: comma, semicolon or tab (else found out)"},
    {0, "decimal", OPTION_TEXT, offsetof(struct options, decimal), "SIGN", "draft",
     "in the log's numbers: point or comma (else found out)"},
    {0, "change", OPTION_CHANGE, 0, "WHAT", "predict",
     "what-if: \"absorber = selective\", \"cover number = 2\"; may be repeated, ';' joins several"},
    {0, "answer", OPTION_TEXT, offsetof(struct options, answer), "WHAT", "plan",
     "what must be known well: eta0, a1, K50 (modifier), \"50 K\" above the air, 0.05 as T* (else "
     "\"30 K\")"},
    {0, "before", OPTION_FLAG, offsetof(struct options, before), NULL, "plan",
     "plan as before the first day: from the description alone"},
    {'h', "help", OPTION_FLAG, offsetof(struct options, help), NULL, "*", "print this help"},
};
enum { ROWS = sizeof rows / sizeof rows[0] };

static bool takes(const struct option_row *row, const char *command)
{
    size_t n = strlen(command);
    if (row->commands[0] == '*')
        return true;
    for (const char *at = strstr(row->commands, command); at != NULL; at = strstr(at + 1, command))
        if ((at == row->commands || at[-1] == ' ') && (at[n] == ' ' || at[n] == '\0'))
            return true;
    return false;
}

/* Returns: 0 for anything but a whole number from 1 to COUNT_MOST. */
static unsigned count_of(const char *text)
{
    long long count;
    bool good = number_read_integer(text, strlen(text), &count) && count >= 1 &&
                count <= COUNT_MOST;
    return good ? (unsigned)count : 0;
}

static void set(struct options *options, const struct option_row *row, const char *argument)
{
    char *field = (char *)options + row->offset;
    if (row->kind == OPTION_CHANGE) {
        if (options->n_changes < OPTION_REPEATS)
            options->changes[options->n_changes] = argument;
        options->n_changes++;
    } else if (row->kind == OPTION_COUNT)
        *(unsigned *)field = count_of(argument);
    else if (row->kind == OPTION_FLAG)
        *(bool *)field = true;
    else
        *(const char **)field = argument;
}

/* Fills what getopt_long wants from the rows: val is 256 + the row's index. */
static void build(struct option *longs, char *shorts)
{
    size_t n = 0;
    shorts[n++] = ':';
    for (int i = 0; i < ROWS; i++) {
        longs[i] = (struct option){rows[i].name, rows[i].kind != OPTION_FLAG, NULL, 256 + i};
        if (rows[i].letter == 0)
            continue;
        shorts[n++] = rows[i].letter;
        if (rows[i].kind != OPTION_FLAG)
            shorts[n++] = ':';
    }
    shorts[n] = '\0';
    longs[ROWS] = (struct option){NULL, 0, NULL, 0};
}

static const struct option_row *row_of(int c)
{
    if (c >= 256)
        return &rows[c - 256];
    for (int i = 0; i < ROWS; i++)
        if (rows[i].letter != 0 && rows[i].letter == c)
            return &rows[i];
    return NULL;
}

static bool refuse(const char *command, const char *word, const char *why, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
    fault_found(fault, "'%s' %s", word, why);
    fault_hint(fault, "'etabench %s --help' lists the options", command);
    return false;
}

/* What getopt_long called '?': '--no-plots=yes', or no option at all. */
static bool refuse_unknown(const char *command, const char *word, struct faults *faults)
{
    const char *names[ROWS];
    size_t n = 0;
    bool has_value = strchr(word, '=') != NULL;
    if (strncmp(word, "--", 2) != 0)
        return refuse(command, word, "is not an option", faults);
    for (int i = 0; i < ROWS; i++) {
        size_t length = strlen(rows[i].name);
        if (has_value && strncmp(word + 2, rows[i].name, length) == 0 && word[2 + length] == '=')
            return refuse(command, word, "gives a value to an option that takes none", faults);
        if (takes(&rows[i], command))
            names[n++] = rows[i].name;
    }
    refuse(command, word, "is not an option", faults);
    const char *nearest = text_nearest(word + 2, names, n);
    if (nearest != NULL)
        fault_hint(&faults->items[faults->n - 1], "did you mean '--%s'?", nearest);
    return false;
}

static bool refuse_foreign(const char *command, const struct option_row *row,
                           struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
    fault_found(fault, "'--%s' is not an option of '%s' (but of: %s)", row->name, command,
                row->commands);
    fault_hint(fault, "'etabench %s --help' lists the options", command);
    return false;
}

static bool refuse_count(const char *command, const struct option_row *row, const char *text,
                         struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
    fault_found(fault, "'%s' is no number of %s", text, row->name);
    fault_expected(fault, "a whole number from 1 to %d", COUNT_MOST);
    fault_hint(fault, "'etabench %s --help' lists the options", command);
    return false;
}

bool options_read(const char *command, int argc, char **argv, struct options *options,
                  struct faults *faults)
{
    struct option longs[ROWS + 1];
    char shorts[2 * ROWS + 2];
    build(longs, shorts);
    memset(options, 0, sizeof *options);
    optind = 0; /* glibc: start afresh, permute operands to the end */
    opterr = 0;
    int c;
    while ((c = getopt_long(argc, argv, shorts, longs, NULL)) != -1) {
        const char *word = optind > 0 ? argv[optind - 1] : argv[0];
        if (c == ':')
            return refuse(command, word, "needs a value after it", faults);
        const struct option_row *row = c == '?' ? NULL : row_of(c);
        if (row == NULL)
            return refuse_unknown(command, word, faults);
        if (!takes(row, command))
            return refuse_foreign(command, row, faults);
        if (optarg != NULL && optarg[0] == '\0')
            return refuse(command, "", "is no value for an option", faults);
        if (row->kind == OPTION_COUNT && count_of(optarg) == 0)
            return refuse_count(command, row, optarg, faults);
        set(options, row, optarg);
    }
    options->operands = argv + optind;
    options->n_operands = argc - optind;
    return true;
}

void options_help(const char *command, struct text *out)
{
    for (int i = 0; i < ROWS; i++) {
        if (!takes(&rows[i], command))
            continue;
        char left[48], letter[8] = "    ";
        if (rows[i].letter != 0)
            snprintf(letter, sizeof letter, "-%c, ", rows[i].letter);
        snprintf(left, sizeof left, "%s--%s%s%s", letter, rows[i].name,
                 rows[i].argument == NULL ? "" : " ",
                 rows[i].argument == NULL ? "" : rows[i].argument);
        char head[64];
        snprintf(head, sizeof head, "  %-22s ", left);
        wrap_add(out, head, HELP_COLUMN, 0, rows[i].help);
    }
}
