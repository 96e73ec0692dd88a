/* Faults: everything that a run has to say about what went wrong or is doubtful.
 *
 * A function that can fail returns bool and takes `struct faults *` last. It fills a fault where
 * the fault is known; nobody below main prints or exits. Texts live inside the list, so that
 * even "out of memory" can be said without allocating.
 *
 *     struct fault *e = fault_new(faults, FAULT_INPUT, fault_at(file, line, column));
 *     fault_found(e, "'%s' is not a unit of temperature", text);
 *     fault_expected(e, "degC, degF or K");
 *     fault_hint(e, "write for instance 'unit = degC'");
 *     return false;
 *
 * prints, by main, as
 *
 *     plate-a.txt:14:9: 'C deg' is not a unit of temperature
 *       expected: degC, degF or K
 *       write for instance 'unit = degC'
 *
 * Wording: the fault first, lower case, no full stop, the subject in single quotes, the value found
 * and the value expected with its unit; the hint is the next thing to do.
 */
#ifndef BASE_FAULTS_H
#define BASE_FAULTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>

enum { FAULTS_MAX = 100, FAULT_FILE_SIZE = 200, FAULT_FIELD_SIZE = 100, FAULT_TEXT_SIZE = 400 };
enum { FAULT_LINES_SIZE = 4000 };

/* The order is the order of gravity: the exit status of a run is that of its gravest fault. */
enum fault_kind {
    FAULT_NOTE,    /* said, changes nothing */
    FAULT_WARNING, /* the result stands but is doubtful; appears in the report too */
    FAULT_DATA,    /* status 4: the data cannot give what was asked for */
    FAULT_INPUT,   /* status 3: an input is wrong */
    FAULT_USAGE,   /* status 2: the command line is wrong */
    FAULT_MACHINE  /* status 5: the machine could not */
};

/* Where a fault stands. line and column are 1-based and 0 where they do not apply; column counts
 * characters, not bytes. file may be NULL. */
struct place {
    const char *file;
    long line;
    long column;
};

struct fault {
    enum fault_kind kind;
    char file[FAULT_FILE_SIZE];
    long line;
    long column;
    char field[FAULT_FIELD_SIZE]; /* in logs: number and name of the field */
    char found[FAULT_TEXT_SIZE];
    char expected[FAULT_TEXT_SIZE];
    char hint[FAULT_TEXT_SIZE];
};

/* About 140 KB: declare one per run, with static storage or on the heap. */
struct faults {
    struct fault items[FAULTS_MAX];
    size_t n;
    size_t dropped;        /* faults past the cap, counted */
    enum fault_kind worst; /* gravest kind seen, dropped ones included */
    struct fault spare;    /* takes what is past the cap */
    char lines[FAULT_LINES_SIZE]; /* what to add to an input, ready to be pasted; "" if nothing */
};

void faults_init(struct faults *faults);

struct place fault_at(const char *file, long line, long column);

/* Adds a fault. Returns: never NULL (past the cap a spare one that is counted and forgotten). */
struct fault *fault_new(struct faults *faults, enum fault_kind kind, struct place at);

/* Fill the parts; texts that do not fit are cut at a character border with "...". */
void fault_found(struct fault *fault, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
void fault_expected(struct fault *fault, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
void fault_hint(struct fault *fault, const char *format, ...) __attribute__((format(printf, 2, 3)));
void fault_field(struct fault *fault, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

/* Keeps lines, each with its end, that a hint asks to be added to an input. They are printed behind
 * all faults. Returns: false, and keeps nothing, if there are some already or they are too long. */
bool faults_lines(struct faults *faults, const char *lines);

/* Gives a fault its place afterwards, by a caller that knows it. */
void fault_place(struct fault *fault, struct place at);

/* Adds the faults of another list behind, in their order. */
void faults_join(struct faults *into, const struct faults *from);

/* In what faults expect and hint at, "[log]" becomes the section that is meant: a reader of logs
 * does not know of which one its log is. */
void faults_name_log(struct faults *faults, const char *section);

/* One-line helpers. Return false, so that a caller can say `return fault_memory(faults);`. */
bool fault_memory(struct faults *faults);
bool fault_system(struct faults *faults, const char *path, const char *what, int error_number);

/* Whether an errno says that the machine is short of something or failing, and not that an input
 * or a name is wrong. */
bool fault_of_machine(int error_number);

/* Returns: true if the list holds a fault graver than a warning. */
bool faults_any(const struct faults *faults);

/* How many items are graver than a warning (dropped ones included when their kind was). */
size_t faults_errors(const struct faults *faults);

/* 0, 2, 3, 4 or 5: the exit status of the gravest fault. */
int faults_status(const struct faults *faults);

/* Prints all faults, gravest kinds not reordered: in the order in which they were found. Control
 * characters of a user's text are replaced by '?'. Then the lines to add, if there are any. */
void faults_print(const struct faults *faults, const char *program, FILE *out);

#endif
