#include "ingest/complaint.h"

#include "base/calendar.h"
#include "base/numbers.h"
#include "base/text.h"
#include "ingest/complaint_clock.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

const char *count_text(uint64_t count, char out[32])
{
    char plain[24];
    int n = snprintf(plain, sizeof plain, "%" PRIu64, count);
    char *to = out;
    for (int i = 0; i < n; i++) {
        if (i > 0 && (n - i) % 3 == 0)
            *to++ = ',';
        *to++ = plain[i];
    }
    *to = '\0';
    return out;
}

static const char *sign_word(char sign)
{
    return sign == ';' ? "semicolon" : sign == '\t' ? "tab" : "comma";
}

static long column_of(const struct line *line, size_t byte)
{
    return (long)text_characters(line->bytes, byte) + 1;
}

/* The texts for a line that libcsv or the line reader refused. */
static void say_line(const struct bad_line *bad, struct fault *fault)
{
    static const char *const csv_texts[][2] = {
        [CSV_OPEN_QUOTE] = {"a quote is opened here and never closed on this line",
                            "close the quote, or delete the line"},
        [CSV_STRAY_QUOTE] =
            {"a quote stands inside a field, or text follows a closing quote",
             "put the whole field in quotes (a quote inside it is written twice), or "
             "delete the line"},
        [CSV_FIELD_TOO_LONG] = {"a field is longer than 64 KiB",
                                "is a quote missing? else delete the line"},
        [CSV_TOO_MANY] = {"the line has more than 1,024 fields",
                          "is this the logger's CSV file? else delete the line"},
    };
    if (bad->line_status == LINE_TOO_LONG) {
        fault_found(fault, "the line is longer than 1 MiB");
        fault_hint(fault, "is this the logger's CSV file? else delete the line");
    } else if (bad->line_status == LINE_NUL) {
        fault_found(fault, "the line holds a NUL byte");
        fault_hint(fault, "it was damaged, perhaps by a card pulled out while the logger wrote: "
                          "delete the line");
    } else {
        fault_found(fault, "%s", csv_texts[bad->csv_status][0]);
        fault_hint(fault, "%s", csv_texts[bad->csv_status][1]);
    }
}

static void say_surplus(const struct bad_line *bad, struct fault *fault)
{
    fault_found(fault, "the row has %zu fields", bad->fields);
    fault_expected(fault, "%zu, as in the header row", bad->header_fields);
    fault_hint(fault, "a decimal comma needs another separator (set 'separator' and 'decimal' in "
                      "[log]); if two lines ran together, delete them");
}

bool complain_bad_line(const struct bad_line *bad, struct faults *faults)
{
    const struct line *line = bad->line;
    long column = 0;
    if (bad->line_status == LINE_TEXT && bad->csv_status == CSV_NO_MEMORY)
        return fault_memory(faults);
    if (bad->line_status == LINE_NUL) {
        const char *nul = memchr(line->bytes, '\0', line->n);
        column = column_of(line, nul == NULL ? 0 : (size_t)(nul - line->bytes));
    } else if (bad->line_status == LINE_TEXT && bad->fields == 0) {
        column = column_of(line, bad->at <= line->n ? bad->at : line->n);
    }
    struct place at = fault_at(bad->path, line->number, column);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    if (bad->fields > 0)
        say_surplus(bad, fault);
    else
        say_line(bad, fault);
    return false;
}

static void hint_column(const struct header *header, const char *name, struct fault *fault)
{
    const char *near = text_nearest(name, (const char *const *)header->names, header->n);
    if (near != NULL)
        fault_hint(fault, "did you mean '%s'? names are compared letter for letter", near);
    else
        fault_hint(fault, "write 'column' as the header row does, letter for letter");
}

static void list_names(const struct header *header, struct fault *fault)
{
    struct text list;
    text_init(&list);
    for (size_t i = 0; i < header->n; i++)
        text_addf(&list, "%s'%s'", i == 0 ? "" : ", ", header->names[i]);
    fault_expected(fault, "one of %s", text_string(&list));
    text_free(&list);
}

bool complain_column(const struct header *header, const char *path, const char *name,
                     const char *role, size_t found, size_t first, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, header->line, 0));
    if (found == 0) {
        fault_field(fault, "%s", role);
        fault_found(fault, "column '%s' is not in the header row", name);
        list_names(header, fault);
        hint_column(header, name, fault);
        return false;
    }
    fault_field(fault, "field %zu", first + 1);
    fault_found(fault, "column '%s' (%s) stands %zu times in the header row", name, role, found);
    fault_hint(fault, "give the columns different names in the header row");
    return false;
}

/* A header of one name means that another separator was meant, if the row holds one. */
static void hint_header(const struct header *header, struct fault *fault)
{
    for (const char *sign = ";\t,"; header->n == 1 && *sign != '\0'; sign++)
        if (memchr(header->raw, *sign, header->raw_n) != NULL) {
            fault_hint(fault, "it has one field; set 'separator = %s' in [log]", sign_word(*sign));
            return;
        }
    fault_hint(fault, "the first line that is neither blank nor a comment must name the columns");
}

bool complain_header(const struct header *header, const char *path, const struct log_plan *plan,
                     struct faults *faults)
{
    struct text list;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, header->line, 0));
    text_init(&list);
    for (size_t i = 0; i < plan->n_time_columns; i++)
        text_addf(&list, "%s'%s'", i == 0 ? "" : ", ", plan->time_columns[i]);
    for (size_t i = 0; i < plan->n_columns; i++)
        text_addf(&list, ", '%s'", plan->columns[i].name);
    fault_found(fault, "the header row names none of the columns; it begins '%.60s'",
                header->names[0]);
    fault_expected(fault, "%s", text_string(&list));
    hint_header(header, fault);
    text_free(&list);
    return false;
}

const char *complain_share(uint64_t count, uint64_t of, char out[96])
{
    char a[32];
    char b[32];
    snprintf(out, 96, "%s of %s rows%s", count_text(count, a), count_text(of, b),
             count > 1 ? "; this is the first" : "");
    return out;
}

static const char *time_names(const struct log_plan *plan, char out[FAULT_FIELD_SIZE])
{
    if (plan->n_time_columns == 1)
        snprintf(out, FAULT_FIELD_SIZE, "'%s'", plan->time_columns[0]);
    else
        snprintf(out, FAULT_FIELD_SIZE, "'%s' + '%s'", plan->time_columns[0],
                 plan->time_columns[1]);
    return out;
}

struct fault *complain_at_first(const struct stamp_troubles *t, enum row_refusal refusal,
                              enum fault_kind kind, struct faults *faults)
{
    char names[FAULT_FIELD_SIZE];
    const struct first_seen *first = &t->first[refusal];
    struct fault *fault = fault_new(faults, kind, fault_at(t->path, first->line, first->column));
    fault_field(fault, "field %zu %s", first->field, time_names(t->plan, names));
    return fault;
}

enum fault_kind complain_kind(uint64_t count, const struct stamp_troubles *t)
{
    return count * 100 > t->rows_read || t->rows_used == 0 ? FAULT_INPUT : FAULT_WARNING;
}

/* The pattern with day and month exchanged. */
static void exchange_parts(const char *pattern, char out[STAMP_PATTERN_SIZE])
{
    snprintf(out, STAMP_PATTERN_SIZE, "%s", pattern);
    for (char *c = out; *c != '\0'; c++)
        if (*c == '%' && c[1] != '\0') {
            c++;
            *c = *c == 'd' ? 'm' : *c == 'm' ? 'd' : *c;
        }
}

/* What else the stamp could be. */
static void hint_form(const struct stamp_troubles *t, struct fault *fault)
{
    char other[STAMP_PATTERN_SIZE];
    struct stamp_format format = *t->format;
    const char *text = t->first[ROW_BAD_STAMP].text;
    int64_t time_us;
    for (size_t i = 0; i < format.n; i++)
        format.directive[i] = t->format->directive[i] == 'd'   ? 'm'
                              : t->format->directive[i] == 'm' ? 'd'
                                                               : t->format->directive[i];
    if (t->first_bad == STAMP_DATE && format.n > 0 && t->plan->n_time_columns == 1 &&
        stamp_read(&format, text, strlen(text), &time_us) == STAMP_GOOD) {
        exchange_parts(t->plan->time_format, other);
        fault_hint(fault, "day and month stand the other way round: write '%s' in 'time' of [log]",
                   other);
    } else if (t->first_bad == STAMP_RANGE) {
        fault_hint(fault, "if these are milliseconds, say so in 'time' of [log], such as 'Unix "
                          "time ms'");
    } else if (t->first_bad == STAMP_ROUNDED) {
        fault_hint(fault, "export the log again, with the column as text or as a number with all "
                          "its digits");
    } else {
        fault_hint(fault,
                   "set 'time' in [log] to the form that the log writes, or mend its stamps");
    }
}

static bool complain_bad_stamps(const struct stamp_troubles *t, struct faults *faults)
{
    uint64_t count = t->count[ROW_BAD_STAMP];
    char share[96];
    char example[160];
    if (count == 0)
        return true;
    enum fault_kind kind = complain_kind(count, t);
    struct fault *fault = complain_at_first(t, ROW_BAD_STAMP, kind, faults);
    fault_found(fault, "stamp '%s' %s (%s)", t->first[ROW_BAD_STAMP].text,
                stamp_status_words(t->first_bad), complain_share(count, t->rows_read, share));
    fault_expected(fault, "a stamp such as '%s'",
                   stamp_example(t->format, example, sizeof example));
    if (kind == FAULT_INPUT)
        hint_form(t, fault);
    else
        fault_hint(fault, "such rows are not used");
    return kind != FAULT_INPUT;
}

/* Rows after a clock that is put forward are wrong by an hour if it was not: never a warning. */
static bool complain_skipped(const struct stamp_troubles *t, struct faults *faults)
{
    const struct row_before *last = &t->before[ROW_SKIPPED];
    char share[96];
    char after[FAULT_FILE_SIZE + 40] = "";
    if (t->count[ROW_SKIPPED] == 0)
        return true;
    struct fault *fault = complain_at_first(t, ROW_SKIPPED, FAULT_INPUT, faults);
    if (last->line > 0)
        snprintf(after, sizeof after, ", after %s:%ld", last->path, last->line);
    fault_found(fault, "stamp '%s' is in the hour that the clock of '%s' skips%s (%s)",
                t->first[ROW_SKIPPED].text, t->plan->zone->name, after,
                complain_share(t->count[ROW_SKIPPED], t->rows_read, share));
    fault_hint(fault, "if the clock stays on one offset all year, state that in 'time' of [log], "
                      "such as 'UTC+1'; else mend these stamps");
    return false;
}

/* By an hour, less the step between two rows. */
static bool put_back(int64_t back_us)
{
    return back_us >= 55 * S_PER_MIN * US_PER_S && back_us <= S_PER_H * US_PER_S;
}

static bool complain_backward(const struct stamp_troubles *t, struct faults *faults)
{
    uint64_t count = t->count[ROW_BACKWARD];
    char share[96];
    char now[40];
    char before[40];
    const struct row_before *last = &t->before[ROW_BACKWARD];
    if (count == 0 || t->contradicted || t->mixed.count > 0) /* it has been said */
        return t->mixed.count == 0;
    enum fault_kind kind = complain_kind(count, t);
    struct fault *fault = complain_at_first(t, ROW_BACKWARD, kind, faults);
    fault_found(fault, "time runs backwards: %s after %s of %s:%ld (%s)",
                zone_iso(t->plan->zone, t->backward_us, now, sizeof now),
                zone_iso(t->plan->zone, last->us, before, sizeof before), last->path, last->line,
                complain_share(count, t->rows_read, share));
    if (count > 1 && put_back(last->us - t->backward_us))
        fault_hint(fault, "if the clock was put back for the winter, state its zone in 'time' of "
                          "[log] by its name in the time-zone database, not as a fixed offset");
    else if (kind == FAULT_INPUT)
        hint_set_back(t, fault);
    else
        fault_hint(fault, "such rows are not used");
    return kind != FAULT_INPUT;
}

static void note_headers(const struct stamp_troubles *t, struct faults *faults)
{
    char number[32];
    if (t->count[ROW_HEADER_AGAIN] == 0)
        return;
    struct place at = fault_at(t->path, t->first[ROW_HEADER_AGAIN].line, 0);
    struct fault *fault = fault_new(faults, FAULT_NOTE, at);
    fault_found(fault, "the header row stands again (%s more), as after a restart of the logger",
                count_text(t->count[ROW_HEADER_AGAIN], number));
}

bool complain_rows(const struct stamp_troubles *troubles, struct faults *faults)
{
    if (troubles->rows_read == troubles->count[ROW_HEADER_AGAIN]) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(troubles->path, 0, 0));
        fault_found(fault, "holds a header row but no rows below it");
        fault_hint(fault, "give a log with readings, or leave the file out");
        return false;
    }
    bool ok = complain_bad_stamps(troubles, faults);
    ok = complain_unset(troubles, faults) && ok;
    ok = complain_skipped(troubles, faults) && ok;
    ok = complain_no_start(troubles, faults) && ok;
    ok = complain_swapped(troubles, faults) && ok;
    ok = complain_backward(troubles, faults) && ok;
    ok = complain_duplicates(troubles, faults) && ok;
    note_parts(troubles, faults);
    note_headers(troubles, faults);
    return ok;
}

/* Digits, one sign, digits: a number in the other habit. */
static bool other_decimal(const char *text, char sign)
{
    double value;
    return strchr(text, sign) != NULL && number_read(text, strlen(text), sign, &value);
}

/* In the instrument's own unit, as the user knows it. */
static void say_range(const struct log_plan *plan, const struct log_column *column,
                      const char *text, const char *share, struct fault *fault)
{
    const struct channel_row *row = channel_row(column->channel);
    const struct unit *unit = column->unit;
    double number = 0.0;
    if (number_read(text, strlen(text), plan->decimal, &number))
        fault_found(fault, "'%s' makes %s %g %s, which cannot be (%s)", text, row->word,
                    column->gain * number + column->add, unit->name, share);
    else
        fault_found(fault, "'%s' makes no possible %s (%s)", text, row->word, share);
    fault_expected(fault, "%g to %g %s", (row->least_si - unit->offset) / unit->scale,
                   (row->most_si - unit->offset) / unit->scale, unit->name);
    fault_hint(fault,
               "such readings are not used; check the instrument's 'unit', 'gain' and 'add', "
               "and the sensor");
}

static void say_reading(const struct log_plan *plan, const struct log_column *column,
                        enum reading_flag flag, const char *text, const char *share,
                        struct fault *fault)
{
    if (flag == FLAG_NOT_A_NUMBER) {
        fault_found(fault, "'%s' is not a number (%s)", text, share);
        if (plan->decimal == '.' && other_decimal(text, ','))
            fault_hint(fault,
                       "this log seems to use a decimal comma; set 'decimal = comma' in [log]");
        else if (plan->decimal == ',' && other_decimal(text, '.'))
            fault_hint(fault,
                       "this log seems to use a decimal point; set 'decimal = point' in [log]");
        else
            fault_hint(fault,
                       "such readings are not used; if it marks a missing reading, add it to "
                       "'missing' in [log]");
    } else if (flag == FLAG_OUT_OF_RANGE) {
        say_range(plan, column, text, share, fault);
    } else {
        fault_found(fault, "the row ends before this column (%s)", share);
        fault_hint(fault, "such readings are not used; was the line cut off?");
    }
}

static void complain_reading(const struct log_plan *plan, const struct log_column *column,
                             const struct log_account *account, const struct first_seen *first,
                             enum reading_flag flag, struct faults *faults)
{
    const struct log_channel *channel = &account->channels[column->channel];
    char share[96];
    enum fault_kind kind = channel->count[FLAG_GOOD] == 0 ? FAULT_INPUT : FAULT_WARNING;
    struct place at = fault_at(account->files[first->file].path, first->line, first->column);
    struct fault *fault = fault_new(faults, kind, at);
    fault_field(fault, "field %zu '%s'", first->field, column->name);
    complain_share(channel->count[flag], account->rows_used, share);
    say_reading(plan, column, flag, first->text, share, fault);
}

/* No reading is good and none was of a kind that has been complained of: all are missing. */
static bool complain_all_missing(const struct log_column *column, const struct log_account *account,
                                 const struct first_seen *first, struct faults *faults)
{
    char number[32];
    struct place at = fault_at(account->files[first->file].path, first->line, 0);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_field(fault, "field %zu '%s'", first->field, column->name);
    fault_found(fault, "the column holds no number in any of %s rows",
                count_text(account->rows_used, number));
    fault_hint(fault, "was the sensor connected? name another column, or leave the instrument out");
    return false;
}

bool complain_channel(const struct log_plan *plan, const struct log_column *column,
                      const struct log_account *account, const struct first_seen first[FLAG_COUNT],
                      struct faults *faults)
{
    static const enum reading_flag told[] = {FLAG_NOT_A_NUMBER, FLAG_OUT_OF_RANGE, FLAG_SHORT_ROW};
    const struct log_channel *channel = &account->channels[column->channel];
    bool any = false;
    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++) {
        if (channel->count[told[i]] == 0)
            continue;
        complain_reading(plan, column, account, &first[told[i]], told[i], faults);
        any = true;
    }
    if (channel->count[FLAG_GOOD] > 0 || account->rows_used == 0)
        return true;
    return !any && complain_all_missing(column, account, &first[FLAG_MISSING], faults);
}

static void tell_growth(const char *path, uint64_t bytes, struct faults *faults)
{
    char number[32];
    struct fault *fault = fault_new(faults, FAULT_WARNING, fault_at(path, 0, 0));
    fault_found(fault, "was still being written: its first %s bytes are what was read",
                count_text(bytes, number));
    fault_hint(fault, "run again when it is complete; the SHA-256 is that of those bytes");
}

bool complain_change(const char *path, enum file_change change, uint64_t bytes,
                     struct faults *faults)
{
    static const char *const found[] = {
        [FILE_REPLACED] = "was replaced by another file while it was read",
        [FILE_SHORTENED] = "became shorter while it was read",
        [FILE_REWRITTEN] = "was changed while it was read",
    };
    if (change == FILE_GREW)
        tell_growth(path, bytes, faults);
    if (change == FILE_SAME || change == FILE_GREW)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    fault_found(fault, "%s", found[change]);
    fault_hint(fault, "let the logger or the editor finish, or take a copy; then run again");
    return false;
}
