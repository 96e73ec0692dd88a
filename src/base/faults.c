#include "base/faults.h"

#include <errno.h>
#include <stdarg.h>
#include <string.h>

static const struct {
    int status;
    const char *word; /* printed before the message where there is no mistaking to be made */
} kind_rows[] = {
    [FAULT_NOTE] = {0, "note: "},  [FAULT_WARNING] = {0, "warning: "}, [FAULT_DATA] = {4, ""},
    [FAULT_INPUT] = {3, ""},       [FAULT_USAGE] = {2, ""},            [FAULT_MACHINE] = {5, ""},
};

void faults_init(struct faults *faults)
{
    faults->n = 0;
    faults->dropped = 0;
    faults->worst = FAULT_NOTE;
    faults->lines[0] = '\0';
}

struct place fault_at(const char *file, long line, long column)
{
    struct place at = {.file = file, .line = line, .column = column};
    return at;
}

/* Copies at most size-1 bytes, cut at a character border and marked where it was cut. */
static void copy_cut(char *out, size_t size, const char *text)
{
    size_t n = strlen(text);
    if (n < size) {
        memcpy(out, text, n + 1);
        return;
    }
    n = size - 4;
    while (n > 0 && ((unsigned char)text[n] & 0xC0U) == 0x80U)
        n--;
    memcpy(out, text, n);
    memcpy(out + n, "...", 4);
}

void fault_place(struct fault *fault, struct place at)
{
    fault->file[0] = '\0';
    if (at.file != NULL)
        copy_cut(fault->file, sizeof fault->file, at.file);
    fault->line = at.line;
    fault->column = at.column;
}

struct fault *fault_new(struct faults *faults, enum fault_kind kind, struct place at)
{
    struct fault *fault = &faults->spare;
    if (faults->n < FAULTS_MAX)
        fault = &faults->items[faults->n++];
    else
        faults->dropped++;
    memset(fault, 0, sizeof *fault);
    fault->kind = kind;
    fault_place(fault, at);
    if (kind > faults->worst)
        faults->worst = kind;
    return fault;
}

void faults_join(struct faults *into, const struct faults *from)
{
    for (size_t i = 0; i < from->n; i++) {
        const struct fault *fault = &from->items[i];
        *fault_new(into, fault->kind, fault_at(NULL, 0, 0)) = *fault;
    }
    faults_lines(into, from->lines);
    into->dropped += from->dropped;
    if (from->worst > into->worst)
        into->worst = from->worst;
}

static void name_log(char *text, size_t size, const char *section)
{
    static const char any[] = "[log]";
    char named[2 * FAULT_TEXT_SIZE];
    size_t n = 0;
    for (const char *from = text; *from != '\0' && n < sizeof named - FAULT_FIELD_SIZE;) {
        bool here = strncmp(from, any, sizeof any - 1) == 0;
        int added = here ? snprintf(named + n, FAULT_FIELD_SIZE, "%s", section) : 1;
        if (added < 0 || added >= FAULT_FIELD_SIZE)
            return;
        if (!here)
            named[n] = *from;
        n += (size_t)added;
        from += here ? sizeof any - 1 : 1;
    }
    named[n] = '\0';
    copy_cut(text, size, named);
}

void faults_name_log(struct faults *faults, const char *section)
{
    for (size_t i = 0; i < faults->n; i++) {
        struct fault *fault = &faults->items[i];
        name_log(fault->expected, sizeof fault->expected, section);
        name_log(fault->hint, sizeof fault->hint, section);
    }
}

static void print_into(char *out, size_t size, const char *format, va_list args)
{
    char wide[4 * FAULT_TEXT_SIZE];
    if (vsnprintf(wide, sizeof wide, format, args) < 0)
        wide[0] = '\0';
    copy_cut(out, size, wide);
}

void fault_found(struct fault *fault, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    print_into(fault->found, sizeof fault->found, format, args);
    va_end(args);
}

void fault_expected(struct fault *fault, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    print_into(fault->expected, sizeof fault->expected, format, args);
    va_end(args);
}

void fault_hint(struct fault *fault, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    print_into(fault->hint, sizeof fault->hint, format, args);
    va_end(args);
}

bool faults_lines(struct faults *faults, const char *lines)
{
    size_t n = strlen(lines);
    if (faults->lines[0] != '\0' || n >= sizeof faults->lines)
        return false;
    memcpy(faults->lines, lines, n + 1);
    return true;
}

void fault_field(struct fault *fault, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    print_into(fault->field, sizeof fault->field, format, args);
    va_end(args);
}

bool fault_memory(struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(NULL, 0, 0));
    fault_found(fault, "out of memory");
    fault_hint(fault, "close other programs or raise the limit (ulimit -v), then run again");
    return false;
}

/* The next thing to do about a system error; NULL: nothing that fits every case. */
static const char *what_to_do(int error_number)
{
    static const struct {
        int error_number;
        const char *text;
    } rows[] = {
        {ENOSPC, "free some space on that disk, then run again"},
        {EDQUOT, "your share of that disk is used up: free some space, then run again"},
        {EFBIG,
         "a limit on the size of files is set ('ulimit -f' shows it); raise it, then run again"},
        {EACCES, "'ls -ld' shows who may use it"},
        {EPERM, "'ls -ld' shows who may use it"},
        {EROFS, "that disk can only be read; choose a place on another"},
        {ENOENT, "check the name and the folder"},
        {EMFILE, "raise the limit on open files ('ulimit -n' shows it), then run again"},
        {ENFILE, "close other programs, then run again"},
        {ENOMEM, "close other programs or raise the limit (ulimit -v), then run again"},
        {EIO, "the disk or its cable may be failing: save what is on it"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (rows[i].error_number == error_number)
            return rows[i].text;
    return NULL;
}

bool fault_system(struct faults *faults, const char *path, const char *what, int error_number)
{
    struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(path, 0, 0));
    fault_found(fault, "%s: %s", what, strerror(error_number));
    if (what_to_do(error_number) != NULL)
        fault_hint(fault, "%s", what_to_do(error_number));
    return false;
}

bool fault_of_machine(int error_number)
{
    static const int rows[] = {EMFILE, ENFILE, ENOMEM, ENOBUFS, EIO, ENOLCK};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (rows[i] == error_number)
            return true;
    return false;
}

bool faults_any(const struct faults *faults)
{
    return faults->worst > FAULT_WARNING;
}

size_t faults_errors(const struct faults *faults)
{
    size_t count = 0;
    for (size_t i = 0; i < faults->n; i++)
        count += faults->items[i].kind > FAULT_WARNING;
    return count;
}

int faults_status(const struct faults *faults)
{
    return kind_rows[faults->worst].status;
}

/* A terminal must not obey control characters out of a user's file. */
static void print_clean(FILE *out, const char *text)
{
    for (const char *c = text; *c != '\0'; c++)
        fputc((unsigned char)*c < 0x20 || *c == 0x7F ? '?' : *c, out);
}

static void print_place(const struct fault *fault, const char *program, FILE *out)
{
    if (fault->file[0] == '\0') {
        fprintf(out, "%s: ", program);
        return;
    }
    print_clean(out, fault->file);
    if (fault->line > 0)
        fprintf(out, ":%ld", fault->line);
    if (fault->line > 0 && fault->column > 0)
        fprintf(out, ":%ld", fault->column);
    fputs(": ", out);
}

static void print_fault(const struct fault *fault, const char *program, FILE *out)
{
    print_place(fault, program, out);
    fputs(kind_rows[fault->kind].word, out);
    if (fault->field[0] != '\0') {
        print_clean(out, fault->field);
        fputs(": ", out);
    }
    print_clean(out, fault->found);
    fputc('\n', out);
    if (fault->expected[0] != '\0') {
        fputs("  expected: ", out);
        print_clean(out, fault->expected);
        fputc('\n', out);
    }
    if (fault->hint[0] != '\0') {
        fputs("  ", out);
        print_clean(out, fault->hint);
        fputc('\n', out);
    }
}

static void print_lines(const char *lines, FILE *out)
{
    for (const char *c = lines; *c != '\0'; c++) {
        if (c == lines || c[-1] == '\n')
            fputs("    ", out);
        bool clean = *c == '\n' || ((unsigned char)*c >= 0x20 && *c != 0x7F);
        fputc(clean ? *c : '?', out);
    }
}

void faults_print(const struct faults *faults, const char *program, FILE *out)
{
    for (size_t i = 0; i < faults->n; i++)
        print_fault(&faults->items[i], program, out);
    if (faults->dropped > 0)
        fprintf(out, "%s: and %zu more of the same run, not listed\n", program, faults->dropped);
    print_lines(faults->lines, out);
}
