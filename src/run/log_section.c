#include "run/log_section.h"

#include "base/files.h"
#include "base/numbers.h"
#include "base/windows_path.h"
#include "ingest/encoding.h"
#include "ingest/stamp.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Heads of loggers are a few lines; more is a mistake. */
enum { NAMES_LINE_MOST = 1000 };

static const char *const separators[] = {"comma", "semicolon", "tab"};
static const char separator_bytes[] = {',', ';', '\t'};
static const char *const decimals[] = {"point", "comma"};
static const char decimal_bytes[] = {'.', ','};

/* In the order of enum encoding. */
static const char *const encodings[] = {"automatic", "UTF-8",        "UTF-16LE", "UTF-16BE",
                                        "Latin-1",   "Windows-1252", "CP850"};
_Static_assert(LENGTH(encodings) == ENCODINGS, "one word an encoding");

/* The first row is of [log NAME] alone, the last one of [log]: stretches are told by one clock. */
static const struct schema_row log_rows[] = {
    {.key = "clock offset",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_TIME,
     .limits = {-86400.0, 86400.0, false},
     .offset = offsetof(struct log_section, ahead_s),
     .help = "what this logger's clock shows more than that of [log] at the same moment",
     .example = "42 s",
     .by_default = "0 s"},
    {.key = "file",
     .kind = VALUE_TEXT,
     .required = true,
     .repeat = true,
     .offset = offsetof(struct log_section, files),
     .help = "log as CSV, beside the description",
     .example = "day1.csv"},
    {.key = "time",
     .kind = VALUE_TEXT,
     .required = true,
     .offset = offsetof(struct log_section, time_text),
     .help = "columns of the stamp, its form and the zone of the logger's clock",
     .example = "Date + Time, %d/%m/%Y %H:%M:%S, UTC+1"},
    {.key = "year",
     .kind = VALUE_NUMBER,
     .limits = {1990.0, 2100.0, false},
     .offset = offsetof(struct log_section, year),
     .help = "of all rows, where the stamps show none or a wrong one",
     .example = "2026",
     .by_default = "as the stamps show it"},
    {.key = "start",
     .kind = VALUE_TEXT,
     .repeat = true,
     .offset = offsetof(struct log_section, clock.start),
     .help = "of stamps that count since the start: when the logger was switched on",
     .example = "2026-06-14 09:12:00"},
    {.key = "stamps",
     .kind = VALUE_CHOICE,
     .choices = stamp_side_words,
     .n_choices = STAMP_SIDES,
     .offset = offsetof(struct log_section, clock.stamps),
     .help = "where the stamp stands if the logger averages over an interval",
     .example = "end of interval",
     .by_default = "instant"},
    {.key = "interval",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_TIME,
     .limits = {0.0, 86400.0, true},
     .offset = offsetof(struct log_section, clock.interval_s),
     .help = "over which the logger averages",
     .example = "60 s",
     .by_default = "the median step"},
    {.key = "rows per stamp",
     .kind = VALUE_NUMBER,
     .limits = {2.0, 1000.0, false},
     .offset = offsetof(struct log_section, clock.rows_per_stamp),
     .help = "rows at even distances that share a stamp too coarse for them",
     .example = "6",
     .by_default = "1"},
    {.key = "clock set",
     .kind = VALUE_TEXT,
     .repeat = true,
     .offset = offsetof(struct log_section, clock.set),
     .help = "what the clock showed when it was set, and how far it was put forward (+) or back "
             "(-): rows before that are corrected",
     .example = "2026-06-14T12:00:00 by +37 s"},
    {.key = "separator",
     .kind = VALUE_CHOICE,
     .choices = separators,
     .n_choices = LENGTH(separators),
     .offset = offsetof(struct log_section, separator),
     .help = "between the fields",
     .example = "comma",
     .by_default = "comma"},
    {.key = "decimal",
     .kind = VALUE_CHOICE,
     .choices = decimals,
     .n_choices = LENGTH(decimals),
     .offset = offsetof(struct log_section, decimal),
     .help = "decimal sign of the log's numbers",
     .example = "point",
     .by_default = "point"},
    {.key = "encoding",
     .kind = VALUE_CHOICE,
     .choices = encodings,
     .n_choices = LENGTH(encodings),
     .offset = offsetof(struct log_section, encoding),
     .help = "how the log writes letters that are not ASCII",
     .example = "Windows-1252",
     .by_default = "automatic"},
    {.key = "names",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct log_section, names),
     .help =
         "the line of the file in which the columns' names stand, as an editor counts; none: there "
         "are no names, and columns are called 1, 2, ...",
     .example = "line 4",
     .by_default = "the first line that holds most of the names"},
    {.key = "missing",
     .kind = VALUE_LIST,
     .offset = offsetof(struct log_section, missing),
     .help =
         "what the logger writes when it has no reading, beside an empty field and the words that "
         "loggers use (NAN, #N/A, ---)",
     .example = "NAN, -9999",
     .by_default = "none beside these"},
    {.key = "gap",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_TIME,
     .limits = {0.0, 86400.0, true},
     .offset = offsetof(struct log_section, gap_s),
     .help = "a longer step between two rows is a gap",
     .example = "90 s",
     .by_default = "3 times the median step"},
    {.key = "exclude",
     .kind = VALUE_TEXT,
     .repeat = true,
     .offset = offsetof(struct log_section, exclude),
     .help = "a stretch in which no window is formed, and why; stamps by the log's clock or with "
             "their zone",
     .example = "2026-06-16T10:00:00+01:00 to 2026-06-16T10:30:00+01:00, a ladder in the sun"},
};

const struct schema log_schema = {"log", false, "Logs of readings. Instead of [points].",
                                  log_rows + 1, LENGTH(log_rows) - 1};
const struct schema other_log_schema = {"log", true,
                                        "Logs of another logger that ran beside that of [log].",
                                        log_rows, LENGTH(log_rows) - 1};

const char *log_section_label(const struct log_section *log, char *out, size_t size)
{
    snprintf(out, size, "[log%s%s]", log->name[0] == '\0' ? "" : " ", log->name);
    return out;
}

static const char *const corrected_words[] = {"yes", "no"};

static const struct schema_row points_rows[] = {
    {.key = "file",
     .kind = VALUE_TEXT,
     .required = true,
     .repeat = true,
     .offset = offsetof(struct points_section, files),
     .help = "table of points as CSV, beside the description",
     .example = "points.csv"},
    {.key = "corrected",
     .kind = VALUE_CHOICE,
     .choices = corrected_words,
     .n_choices = LENGTH(corrected_words),
     .offset = offsetof(struct points_section, corrected),
     .help =
         "whether what the description's checks found is in the points already; required beside "
         "a check",
     .example = "no"},
    {.key = "keep",
     .kind = VALUE_TEXT,
     .repeat = true,
     .offset = offsetof(struct points_section, keep),
     .help = "a point that looks mistyped and is true all the same, and why",
     .example = "Blue 3, the tank was hotter than the plate"},
};

const struct schema points_schema = {"points", false,
                                     "Points that were averaged by hand. Instead of [log].",
                                     points_rows, LENGTH(points_rows)};

void log_section_free(struct log_section *log)
{
    stated_list_free(&log->files);
    stated_list_free(&log->missing);
    stated_list_free(&log->exclude);
    log_clock_free(&log->clock);
    free(log->exclusions);
    log->exclusions = NULL;
    zone_free(&log->time.zone);
    log->n_exclusions = 0;
}

void points_section_free(struct points_section *points)
{
    stated_list_free(&points->files);
    stated_list_free(&points->keep);
}

static bool refuse_time(const char *text, const char *why, struct place at, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' %s", text, why);
    fault_expected(fault,
                   "column, form, zone: 'Time, ISO 8601, UTC+1' or 'Date + Time, %%d/%%m/%%Y "
                   "%%H:%%M:%%S, UTC+1'");
    fault_hint(fault, "the zone is the logger's clock: a fixed offset such as 'UTC', 'UTC+1' or "
                      "'UTC-3:30', a name of the time-zone database if it is put forward and back, "
                      "or 'in stamp' if each stamp carries its own");
    return false;
}

static void copy_trimmed(const char *bytes, size_t n, char out[VALUE_SIZE])
{
    char copy[VALUE_SIZE];
    memcpy(copy, bytes, n);
    copy[n] = '\0';
    strcpy(out, text_trim(copy));
}

/* "UTC", "UTC+1", "UTC-3:30". */
static bool read_offset(const char *zone, struct time_text *time)
{
    const char *sign = zone + 3 + strspn(zone + 3, " \t");
    if (*sign == '\0')
        return true;
    if (*sign != '+' && *sign != '-')
        return false;
    const char *hours = sign + 1;
    size_t n = strcspn(hours, ":");
    const char *minutes = hours[n] == ':' ? hours + n + 1 : "0";
    long long h;
    long long m;
    if (strspn(hours, "0123456789:") != strlen(hours) || n > 2 || strlen(minutes) > 2 ||
        !number_read_integer(hours, n, &h) || !number_read_integer(minutes, strlen(minutes), &m) ||
        h > 14 || m > 59)
        return false;
    zone_fixed(&time->zone, (*sign == '-' ? -1 : 1) * (h * 3600 + m * 60));
    return true;
}

/* "UTC..." and "GMT+1" are no names of the database: the second's sign is read either way. */
static bool read_zone(const char *text, const char *zone, struct place at, struct time_text *time,
                      struct faults *faults)
{
    char head[4] = {0};
    memcpy(head, zone, strnlen(zone, 3));
    time->in_stamp = text_same_nocase(zone, "in stamp");
    if (time->in_stamp || text_same(zone, "Z")) /* as ISO 8601 calls UTC */
        return true;
    bool utc = text_same_nocase(head, "UTC");
    if (*zone == '\0' || (text_same_nocase(head, "GMT") && zone[3] != '\0') ||
        (utc && !read_offset(zone, time)))
        return refuse_time(text, "does not end with a zone", at, faults);
    return utc || zone_read(&time->zone, NULL, zone, at, faults);
}

/* One column, or several with " + " between. */
static bool read_columns(const char *columns, struct time_text *time)
{
    static const char joint[] = " + ";
    for (size_t i = 0; i < TIME_COLUMNS_MAX; i++) {
        const char *plus = strstr(columns, joint);
        size_t n = plus == NULL ? strlen(columns) : (size_t)(plus - columns);
        copy_trimmed(columns, n, time->columns[i]);
        if (time->columns[i][0] == '\0' || plus == NULL)
            return plus == NULL && n > 0;
        columns = plus + strlen(joint);
    }
    return false;
}

bool time_text_read(const char *text, int year, struct place at, struct time_text *time,
                    struct faults *faults)
{
    char part[VALUE_SIZE];
    memset(time, 0, sizeof *time);
    const char *first = strchr(text, ',');
    const char *last = strrchr(text, ',');
    if (first == NULL)
        return refuse_time(text, "names neither the form of the stamps nor their zone", at, faults);
    copy_trimmed(text, (size_t)(first - text), part);
    if (!read_columns(part, time))
        return refuse_time(text, "does not begin with one column, or two to six with ' + ' between",
                           at, faults);
    copy_trimmed(last + 1, strlen(last + 1), part);
    if (first != last && strchr(part, '?') != NULL)
        return refuse_time(text, "still lacks the zone, which no log tells", at, faults);
    if (first == last)
        return refuse_time(text, "does not end with a zone", at, faults);
    if (!read_zone(text, part, at, time, faults))
        return false;
    copy_trimmed(first + 1, (size_t)(last - first - 1), time->format);
    struct stamp_format format;
    bool good = stamp_compile_year(time->format, time->in_stamp, &time->zone, year, at, &format,
                                   faults);
    if (!good)
        zone_free(&time->zone);
    time->iso = format.iso;
    if (good && time->columns[2][0] != '\0' && format.n == 0) {
        zone_free(&time->zone);
        return refuse_time(text, "joins more than two columns, which only a pattern can read", at,
                           faults);
    }
    return good;
}

const struct zone *log_zone(const struct log_section *log)
{
    return log->given && !log->time.in_stamp ? &log->time.zone : NULL;
}

static bool settle_exclusions(struct log_section *log, const char *file, struct faults *faults)
{
    bool good = true;
    log->exclusions = calloc(log->exclude.n + 1, sizeof *log->exclusions);
    if (log->exclusions == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < log->exclude.n; i++) {
        const struct stated_text *item = &log->exclude.items[i];
        struct place at = fault_at(file, item->at.line, item->at.column);
        if (exclusion_read(item->text, log_zone(log), at, &log->exclusions[log->n_exclusions],
                           faults))
            log->n_exclusions++;
        else
            good = false;
    }
    return good;
}

static bool settle_names(struct log_section *log, const char *file, struct faults *faults)
{
    const char *text = log->names.text;
    long long line = 0;
    if (!log->names.at.given)
        return true;
    log->no_names = text_same_nocase(text, "none");
    if (log->no_names)
        return true;
    const char *digits = text + 4 + strspn(text + 4, " \t");
    bool is_line = strncasecmp(text, "line", 4) == 0 && (text[4] == ' ' || text[4] == '\t');
    if (is_line && number_read_integer(digits, strlen(digits), &line) && line >= 1 &&
        line <= NAMES_LINE_MOST) {
        log->names_line = (long)line;
        return true;
    }
    struct place at = fault_at(file, log->names.at.line, log->names.at.column);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' does not say where the names stand", text);
    fault_expected(fault, "'line 4' (from 1 to %d), or 'none'", NAMES_LINE_MOST);
    return false;
}

static bool settle_file(const struct stated_text *file, const char *path, struct faults *faults)
{
    size_t before = faults->n;
    char *other = windows_to_linux(file->text, faults);
    if (other == NULL)
        return faults->n == before;
    char *beside = path_beside(path, file->text, faults);
    bool good = beside != NULL && file_exists(beside);
    if (beside != NULL && !good) {
        struct place at = fault_at(path, file->at.line, file->at.column);
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "'%s' is written as Windows writes paths", file->text);
        fault_expected(fault, "'%s', as it is called here", other);
        fault_hint(fault, "or copy the file beside the description and give its name alone");
    }
    free(beside);
    free(other);
    return good;
}

bool files_settle(const struct stated_list *files, const char *path, struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < files->n; i++)
        good = settle_file(&files->items[i], path, faults) && good;
    return good;
}

static bool settle_year(const struct log_section *log, const char *file, struct faults *faults)
{
    if (log->year.value == floor(log->year.value))
        return true;
    struct place at = fault_at(file, log->year.at.line, log->year.at.column);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'year' is a whole number");
    fault_expected(fault, "a year such as 2026");
    return false;
}

bool log_section_settle(struct log_section *log, const char *file, struct faults *faults)
{
    log->separator_byte = separator_bytes[log->separator.index];
    log->decimal_byte = decimal_bytes[log->decimal.index];
    bool good = settle_names(log, file, faults);
    good = settle_year(log, file, faults) && good;
    good = files_settle(&log->files, file, faults) && good;
    if (log->decimal_byte == ',' && !log->separator.at.given) {
        struct place at = fault_at(file, log->decimal.at.line, log->decimal.at.column);
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "a decimal comma, and no sign that stands between the fields");
        fault_expected(fault, "'separator = semicolon' or 'separator = tab', or 'separator = "
                              "comma' if all numbers with a comma stand in quotes, \"23,4\"");
        good = false;
    }
    if (!log->time_text.at.given)
        return settle_exclusions(log, file, faults) && false;
    struct place at = fault_at(file, log->time_text.at.line, log->time_text.at.column);
    bool timed = time_text_read(log->time_text.text, (int)log->year.value, at, &log->time, faults);
    good = settle_exclusions(log, file, faults) && timed && good;
    return timed &&
           log_clock_settle(&log->clock, log->time.format, log_zone(log), file, at, faults) && good;
}
