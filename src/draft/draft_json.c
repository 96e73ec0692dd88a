#include "draft/draft_json.h"

#include "base/calendar.h"
#include "base/files.h"
#include "base/numbers.h"
#include "draft/points_seen.h"

#include <math.h>
#include <string.h>

enum { ROWS_SHOWN = 3 };

static void add_string(struct text *out, const char *string)
{
    bool whole = text_is_utf8(string, strlen(string));
    text_add(out, "\"");
    for (; *string != '\0'; string++) {
        unsigned char byte = (unsigned char)*string;
        if (byte == '"' || byte == '\\')
            text_addf(out, "\\%c", *string);
        else if (byte < 0x20 || byte == 0x7F)
            text_addf(out, "\\u%04X", (unsigned)byte);
        else
            text_add_bytes(out, whole || byte < 0x80 ? string : "?", 1);
    }
    text_add(out, "\"");
}

/* `, "key": ` or, at the beginning of an object, without the comma. */
static void add_key(struct text *out, const char *key)
{
    char last = out->length > 0 ? out->bytes[out->length - 1] : '{';
    text_addf(out, "%s\"%s\": ", last == '{' || last == '\n' ? "" : ", ", key);
}

static void add_text(struct text *out, const char *key, const char *value)
{
    add_key(out, key);
    if (value == NULL || value[0] == '\0')
        text_add(out, "null");
    else
        add_string(out, value);
}

static void add_count(struct text *out, const char *key, size_t value)
{
    add_key(out, key);
    text_addf(out, "%zu", value);
}

static void add_number(struct text *out, const char *key, double value)
{
    char digits[32];
    add_key(out, key);
    text_add(out, isfinite(value) ? number_exact(value, digits, sizeof digits) : "null");
}

static void add_truth(struct text *out, const char *key, bool value)
{
    add_key(out, key);
    text_add(out, value ? "true" : "false");
}

static void add_codes(const struct measure *m, struct text *out)
{
    add_key(out, "error_codes");
    text_add(out, "[");
    for (size_t i = 0; i < m->n_codes; i++) {
        text_add(out, i > 0 ? ", {" : "{");
        add_number(out, "value", m->code[i].value);
        add_count(out, "count", m->code[i].n);
        add_text(out, "written_by", m->code[i].known);
        text_add(out, "}");
    }
    text_add(out, "]");
}

static void add_column(const struct draft_log *log, size_t i, bool points, struct text *out)
{
    const struct draft_column *column = &log->columns[i];
    const struct guess *guess = &column->guess;
    const struct measure *m = &column->measure;
    const struct points_column *point =
        points ? points_seen_column(log->sample.head.name[i]) : NULL;
    bool channel = !points && guess->kind == GUESS_CHANNEL;
    text_add(out, "    {");
    add_text(out, "name", log->sample.head.name[i]);
    add_truth(out, "time", clock_uses(&log->clock, i));
    if (points)
        add_text(out, "channel", point == NULL ? NULL : point->head);
    else
        add_text(out, "channel", channel ? channel_row(guess->channel)->word : NULL);
    add_text(out, "reason", guess->why);
    add_truth(out, "used", points ? point != NULL : channel && log->chosen[guess->channel] == i);
    add_text(out, "unit",
             guess->unit != NULL     ? guess->unit->name
             : guess->pulses != NULL ? guess->pulses->name
                                     : NULL);
    add_text(out, "unit_reason", guess->unit_why);
    add_text(out, "unit_to_be_asked", guess->unit_ask);
    add_text(out, "cannot_be_named", column->trouble);
    add_count(out, "numbers", m->n);
    add_count(out, "missing", m->missing);
    add_count(out, "marked", m->marked);
    add_count(out, "text", m->odd);
    add_count(out, "outside", m->outside);
    add_number(out, "first", m->n > 0 ? m->first : NAN);
    add_number(out, "least", m->n > 0 ? m->least : NAN);
    add_number(out, "most", m->n > 0 ? m->most : NAN);
    add_codes(m, out);
    text_add(out, "}");
}

static void add_instant(struct text *out, const char *key, int64_t time_us, bool utc)
{
    char stamp[40];
    calendar_iso(time_us, 0, stamp, sizeof stamp);
    if (!utc)
        stamp[strcspn(stamp, "Z")] = '\0';
    add_text(out, key, stamp);
}

static void add_time(const struct draft_log *log, struct text *out)
{
    const struct clock *clock = &log->clock;
    text_add(out, ",\n  \"time\": ");
    if (!clock->found) {
        text_add(out, "null");
        return;
    }
    text_add(out, "{");
    add_text(out, "format", clock->format);
    add_text(out, "other_format", clock->other);
    add_text(out, "year_first_format", clock->year_first);
    add_text(out, "settled", clock->settled);
    add_truth(out, "zone_in_stamp", clock->in_stamp);
    add_count(out, "stamps", clock->n_stamps);
    add_count(out, "read", clock->n_read);
    add_instant(out, "first", clock->first_us, clock->in_stamp);
    add_instant(out, "last", clock->last_us, clock->in_stamp);
    add_number(out, "step_s", (double)clock->run.step_us * 1e-6);
    add_count(out, "rows_per_stamp", clock->run.rows_per_stamp);
    add_count(out, "steps", clock->run.n_steps);
    add_count(out, "even_steps", clock->run.n_even);
    add_count(out, "gaps", clock->run.n_gaps);
    add_number(out, "longest_gap_s",
               clock->run.n_gaps > 0 ? (double)clock->run.most_us * 1e-6 : NAN);
    add_count(out, "backward_steps", clock->run.n_back);
    add_count(out, "falls_by_an_hour", clock->run.n_falls);
    text_add(out, "}");
}

static void add_readings(const struct draft_log *log, size_t row, struct text *out)
{
    text_add(out, row > 0 ? ",\n    {" : "\n    {");
    add_count(out, "line", (size_t)log->sample.row[row].line);
    for (int ch = 0; ch < CH_LOGGED; ch++) {
        size_t column = log->chosen[ch];
        if (column >= log->sample.head.n)
            continue;
        add_key(out, channel_row((enum channel)ch)->word);
        text_add(out, "{");
        add_text(out, "raw", sample_cell(&log->sample, row, column));
        add_number(out, "si", draft_log_si(log, (enum channel)ch, row));
        text_add(out, "}");
    }
    text_add(out, "}");
}

static void add_dialect(const struct draft_log *log, bool points, struct text *out)
{
    const struct sample *sample = &log->sample;
    text_add(out, "  \"schema\": \"etabench draft\", \"version\": 1");
    add_text(out, "kind", points ? "points" : "log");
    add_key(out, "files");
    for (size_t i = 0; i < log->n_logs; i++) {
        text_add(out, i > 0 ? ", " : "[");
        add_string(out, path_base(log->logs[i]));
    }
    text_add(out, "]");
    add_text(out, "separator", dialect_separator_word(sample->dialect.separator));
    add_text(out, "decimal", dialect_decimal_word(sample->dialect.decimal));
    add_count(out, "names_on_line", (size_t)sample->head.line);
    add_count(out, "units_on_line", (size_t)sample->head.unit_line);
    add_count(out, "rows", sample->n_rows);
    add_truth(out, "all_rows", !sample->more);
    add_count(out, "bad_lines", sample->n_bad);
}

static void add_doubts(const struct draft_log *log, bool points, struct text *out)
{
    text_add(out, ",\n  \"doubts\": [");
    for (size_t i = 0; i < log->n_doubts && !points; i++) {
        text_add(out, i > 0 ? ", " : "");
        add_string(out, log->doubt[i]);
    }
    text_add(out, "]");
    add_text(out, "rules", log->homemade ? "homemade rig" : "ISO 9806:2017");
    add_text(out, "rules_reason", log->rules_why);
}

void draft_json_add(const struct draft_log *log, const char *description, struct text *out)
{
    bool points = points_seen(log);
    text_add(out, "{\n");
    add_dialect(log, points, out);
    text_add(out, ",\n  \"columns\": [\n");
    for (size_t i = 0; i < log->sample.head.n; i++) {
        add_column(log, i, points, out);
        text_add(out, i + 1 < log->sample.head.n ? ",\n" : "\n");
    }
    text_add(out, "  ]");
    add_time(log, out);
    add_doubts(log, points, out);
    text_add(out, ",\n  \"rows_shown\": [");
    for (size_t row = 0; row < log->sample.n_rows && row < ROWS_SHOWN && !points; row++)
        add_readings(log, row, out);
    text_add(out, "]");
    add_text(out, "description", description);
    text_add(out, "\n}\n");
}
