#include "ingest/complaint.h"

#include "base/calendar.h"
#include "base/numbers.h"
#include "base/text.h"
#include "ingest/complaint_clock.h"
#include "ingest/complaint_form.h"
#include "ingest/stamp_names.h"

#include <stdio.h>
#include <string.h>

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
    fault_hint(fault,
               "a decimal comma needs quotes around its number or another separator (set "
               "'separator' and 'decimal' in [log]); if two lines ran together, delete them");
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
    if (hint_changed(t, fault))
        return;
    if (t->first_bad == STAMP_DATE && format.n > 0 &&
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
    } else if (t->first_bad == STAMP_MONTH || t->first_bad == STAMP_TWO_MONTHS) {
        fault_hint(fault,
                   "let the logger write the month as a number, or replace its names; those of "
                   "%s are read, as far as each means one month",
                   stamp_names_languages());
    } else if (t->first_bad == STAMP_ZONE) {
        fault_hint(fault, "replace the zone's name by its hours and minutes from UTC, such as "
                          "+02:00 east of it");
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

/* By an hour, less the step between two rows, in spring or autumn: clocks are put back in March or
 * April in the south, in September to November in the north. In: iso  the stamp before */
static bool put_back(int64_t back_us, const char *iso)
{
    int month = 10 * (iso[5] - '0') + iso[6] - '0';
    bool season = month == 3 || month == 4 || (month >= 9 && month <= 11);
    return season && back_us >= 55 * S_PER_MIN * US_PER_S && back_us <= S_PER_H * US_PER_S;
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
    if (count > 1 && t->apart == NULL && put_back(last->us - t->backward_us, before))
        fault_hint(fault, "if the clock was put back for the winter, state its zone in 'time' of "
                          "[log] by its name in the time-zone database, not as a fixed offset");
    else if (count > 2 && t->rows_used == 1 && text_same(last->path, t->path))
        fault_hint(fault,
                   "the newest row seems to stand first: sort the rows by time, oldest first");
    else if (kind == FAULT_INPUT)
        hint_set_back(t, fault);
    else
        fault_hint(fault, "such rows are not used");
    return kind != FAULT_INPUT;
}

/* Rows that stand in an earlier file too. A file may add none. */
static void tell_overlap(const struct stamp_troubles *t, struct faults *faults)
{
    const struct row_before *other = &t->before[ROW_OVERLAP];
    uint64_t count = t->count[ROW_OVERLAP];
    char share[96];
    if (count == 0)
        return;
    enum fault_kind kind = t->rows_used == 0 ? FAULT_WARNING : FAULT_NOTE;
    struct place at = fault_at(t->path, t->first[ROW_OVERLAP].line, 0);
    struct fault *fault = fault_new(faults, kind, at);
    fault_found(fault, "the row stands in %s:%ld too (%s)", other->path, other->line,
                complain_share(count, t->rows_read, share));
    fault_hint(fault, t->rows_used == 0 ? "the file adds no row: is the same log given twice?"
                                        : "such rows are used once");
}

static bool complain_differing(const struct stamp_troubles *t, struct faults *faults)
{
    const struct row_before *other = &t->before[ROW_DIFFERS];
    char share[96];
    if (t->count[ROW_DIFFERS] == 0)
        return true;
    struct fault *fault = complain_at_first(t, ROW_DIFFERS, FAULT_INPUT, faults);
    fault_found(fault, "stamp '%s' has other readings than in %s:%ld (%s)",
                t->first[ROW_DIFFERS].text, other->path, other->line,
                complain_share(t->count[ROW_DIFFERS], t->rows_read, share));
    fault_hint(fault,
               "both cannot be right: leave one of the files out, or cut off the rows that are "
               "wrong");
    return false;
}

/* Lines that are no readings, and lines that a power cut spoiled: said, and nothing else comes of
 * it. */
static void note_lines(const struct stamp_troubles *t, struct faults *faults)
{
    static const struct {
        enum row_refusal refusal;
        const char *found;
    } rows[] = {
        {ROW_HEADER_AGAIN,
         "the header row stands again (%s more), as after a restart of the logger"},
        {ROW_HEAD,
         "below the header row stand units or the like (%s row(s)); they are no readings"},
        {ROW_SUMMARY, "below the readings stand rows without a stamp (%s); they are not used"},
        {ROW_CUT, "the file ends inside this row (%s), which is not used"},
        {ROW_FILLED,
         "NUL or 0xFF bytes stand at a line's begin or end (%s), as after a power cut; such "
         "lines are not used"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char number[32];
        uint64_t count = t->count[rows[i].refusal];
        if (count == 0)
            continue;
        if (rows[i].refusal == ROW_HEADER_AGAIN && t->names_again > 0)
            count = t->names_again; /* a head of several lines stands again as a whole */
        struct place at = fault_at(t->path, t->first[rows[i].refusal].line, 0);
        struct fault *fault = fault_new(faults, FAULT_NOTE, at);
        count_text(count, number);
        const char *mark = strstr(rows[i].found, "%s");
        fault_found(fault, "%.*s%s%s", (int)(mark - rows[i].found), rows[i].found, number,
                    mark + 2);
    }
}

/* The last number of a line without a line end may lack digits. */
static void note_unfinished(const struct stamp_troubles *t, struct faults *faults)
{
    if (t->unfinished == 0)
        return;
    struct fault *fault = fault_new(faults, FAULT_NOTE, fault_at(t->path, t->unfinished, 0));
    fault_found(fault,
                "the last row has no line end: if the file was cut off there, its last number "
                "lacks digits");
}

/* Lines below the names that are no rows. */
static uint64_t count_no_rows(const struct stamp_troubles *t)
{
    return t->count[ROW_HEADER_AGAIN] + t->count[ROW_HEAD] + t->count[ROW_SUMMARY] +
           t->count[ROW_CUT] + t->count[ROW_FILLED];
}

bool complain_rows(const struct stamp_troubles *troubles, struct faults *faults)
{
    if (troubles->rows_read == count_no_rows(troubles)) {
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
    ok = complain_fewer(troubles, faults) && ok;
    ok = complain_stray(troubles, faults) && ok;
    ok = complain_backward(troubles, faults) && ok;
    ok = complain_duplicates(troubles, faults) && ok;
    ok = complain_differing(troubles, faults) && ok;
    note_parts(troubles, faults);
    tell_overlap(troubles, faults);
    note_lines(troubles, faults);
    note_unfinished(troubles, faults);
    return ok;
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
