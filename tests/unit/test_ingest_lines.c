#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/csv.h"
#include "ingest/lines.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;

/* All lines of a text, joined as "[number:text]". A line of another kind shows as "!". */
static void join_lines(const char *bytes, size_t n, char *out, size_t size)
{
    struct lines lines;
    struct line line;
    enum line_status status;
    size_t length = 0;
    faults_init(&faults);
    out[0] = '\0';
    assert_true(lines_open_memory(&lines, "text", bytes, n, &faults));
    while ((status = lines_next(&lines, &line, &faults)) != LINE_END) {
        assert_int_equal(line.bytes[line.n], '\n');
        length += (size_t)snprintf(out + length, size - length, "[%ld:%s%.*s]", line.number,
                                   status == LINE_TEXT ? "" : "!", (int)line.n, line.bytes);
    }
    lines_close(&lines);
    lines_close(&lines);
}

static void line_ends_of_every_kind_are_known(void **state)
{
    static const struct {
        const char *name;
        const char *text;
        const char *lines;
    } rows[] = {
        {"LF", "a,b\n1,2\n", "[1:a,b][2:1,2]"},
        {"CR LF", "a,b\r\n1,2\r\n", "[1:a,b][2:1,2]"},
        {"CR", "a,b\r1,2\r", "[1:a,b][2:1,2]"},
        {"no end after the last", "a,b\n1,2", "[1:a,b][2:1,2]"},
        {"blank ones are counted", "\n\r\n\ra\n\n", "[1:][2:][3:][4:a][5:]"},
        {"mixed", "a\rb\nc\r\nd", "[1:a][2:b][3:c][4:d]"},
        {"CR LF LF", "a\r\n\nb", "[1:a][2:][3:b]"},
        {"byte order mark", "\xEF\xBB\xBFtime\n1", "[1:time][2:1]"},
        {"a mark elsewhere stays", "a\n\xEF\xBB\xBFz", "[1:a][2:\xEF\xBB\xBFz]"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char out[200];
        join_lines(rows[i].text, strlen(rows[i].text), out, sizeof out);
        if (strcmp(out, rows[i].lines) != 0)
            fail_msg("%s: %s, not %s", rows[i].name, out, rows[i].lines);
    }
}

static void a_nul_byte_is_told(void **state)
{
    static const char text[] =
        "good line of a log,17.25\nb\0d\nlast,3.5,and a few more letters of text\n";
    struct lines lines;
    struct line line;
    (void)state;
    faults_init(&faults);
    assert_true(lines_open_memory(&lines, "text", text, sizeof text - 1, &faults));
    assert_int_equal(lines_next(&lines, &line, &faults), LINE_TEXT);
    assert_int_equal(lines_next(&lines, &line, &faults), LINE_NUL);
    assert_int_equal(line.n, 3);
    assert_int_equal(lines_next(&lines, &line, &faults), LINE_TEXT);
    assert_int_equal(line.number, 3);
    assert_int_equal(lines_next(&lines, &line, &faults), LINE_END);
    lines_close(&lines);
}

/* Lines of random lengths and ends, cut by every kind of buffer border, against a plain splitter.
 */
static void lines_do_not_depend_on_the_buffer(void **state)
{
    enum { BYTES = 3000000 };
    char *text = malloc(BYTES);
    uint32_t random = 71;
    size_t i = 0;
    (void)state;
    assert_non_null(text);
    while (i < BYTES) {
        random = random * 1664525U + 1013904223U;
        size_t length = random >> 26 == 0 ? random % 200000 : random % 90;
        for (size_t k = 0; k < length && i < BYTES; k++, i++)
            text[i] = (char)('a' + i % 26);
        if (i < BYTES)
            text[i++] = random & 0x100 ? '\n' : '\r';
        if (i < BYTES && (random & 0x300) == 0)
            text[i++] = '\n';
    }
    struct lines lines;
    struct line line;
    size_t at = 0;
    long number = 0;
    faults_init(&faults);
    assert_true(lines_open_memory(&lines, "text", text, BYTES, &faults));
    while (lines_next(&lines, &line, &faults) == LINE_TEXT) {
        size_t n = 0;
        while (at + n < BYTES && text[at + n] != '\n' && text[at + n] != '\r')
            n++;
        if (line.number != ++number || line.n != n || memcmp(line.bytes, text + at, n) != 0)
            fail_msg("line %ld: %zu bytes, not %zu", number, line.n, n);
        at += n;
        at += at + 1 < BYTES && text[at] == '\r' && text[at + 1] == '\n' ? 2 : 1;
    }
    assert_true(at >= BYTES);
    assert_true(number > 1000);
    assert_true(lines.capacity < 400000);
    lines_close(&lines);
    free(text);
}

/* A line of 10 MB costs no more memory than one of 1 MiB, and the next line is whole. */
static void an_over_long_line_is_skipped(void **state)
{
    static const struct {
        size_t n;
        enum line_status status;
    } rows[] = {{LINE_BYTES_MAX - 1, LINE_TEXT},     {LINE_BYTES_MAX, LINE_TEXT},
                {LINE_BYTES_MAX + 1, LINE_TOO_LONG}, {LINE_BYTES_MAX + 2, LINE_TOO_LONG},
                {LINE_BYTES_MAX + 3, LINE_TOO_LONG}, {10000000, LINE_TOO_LONG}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        size_t n = rows[i].n;
        char *text = malloc(n + 16);
        struct lines lines;
        struct line line;
        assert_non_null(text);
        memcpy(text, "head\r\n", 6);
        memset(text + 6, 'x', n);
        memcpy(text + 6 + n, "\r\ntail\n", 7);
        faults_init(&faults);
        assert_true(lines_open_memory(&lines, "text", text, n + 13, &faults));
        assert_int_equal(lines_next(&lines, &line, &faults), LINE_TEXT);
        if (lines_next(&lines, &line, &faults) != rows[i].status)
            fail_msg("%zu bytes", n);
        assert_int_equal(line.bytes[line.n], '\n');
        assert_int_equal(lines_next(&lines, &line, &faults), LINE_TEXT);
        assert_int_equal(line.number, 3);
        assert_int_equal(line.n, 4);
        assert_memory_equal(line.bytes, "tail", 4);
        assert_int_equal(lines_next(&lines, &line, &faults), LINE_END);
        assert_true(lines.capacity <= LINE_BYTES_MAX + 16);
        lines_close(&lines);
        free(text);
    }
}

/* An over-long line without an end, at the file's end. */
static void an_over_long_last_line_ends(void **state)
{
    size_t n = 2 * LINE_BYTES_MAX + 77;
    char *text = malloc(n);
    struct lines lines;
    struct line line;
    (void)state;
    assert_non_null(text);
    memset(text, 'y', n);
    faults_init(&faults);
    assert_true(lines_open_memory(&lines, "text", text, n, &faults));
    assert_int_equal(lines_next(&lines, &line, &faults), LINE_TOO_LONG);
    assert_int_equal(lines_next(&lines, &line, &faults), LINE_END);
    lines_close(&lines);
    free(text);
}

/* SHA-256 of "abc": FIPS 180-4's published example. The mark and the line ends count as read. */
static void the_hash_is_that_of_the_bytes(void **state)
{
    char path[] = "testdata/good/logs/abc.txt";
    char hex[HASH_HEX_SIZE];
    struct lines lines;
    struct line line;
    (void)state;
    faults_init(&faults);
    assert_true(lines_open(&lines, path, true, &faults));
    assert_int_equal(lines_next(&lines, &line, &faults), LINE_TEXT);
    assert_false(line.finished);
    assert_int_equal(lines_next(&lines, &line, &faults), LINE_END);
    lines_digest(&lines, hex);
    assert_string_equal(hex, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    lines_close(&lines);
}

struct taken {
    char text[400];
    size_t n;
};

static void take(void *state, size_t number, const char *bytes, size_t n)
{
    struct taken *taken = state;
    taken->n += (size_t)snprintf(taken->text + taken->n, sizeof taken->text - taken->n, "%zu=%.*s|",
                                 number, (int)n, bytes);
}

static void lines_are_cut_into_fields(void **state)
{
    static const struct {
        const char *line;
        char separator;
        enum csv_status status;
        const char *fields;
        size_t bad;
    } rows[] = {
        {"a,b,c", ',', CSV_ROW, "0=a|1=b|2=c|", 0},
        {"1;21,5;3", ';', CSV_ROW, "0=1|1=21,5|2=3|", 0},
        {"1\t\t3", '\t', CSV_ROW, "0=1|1=|2=3|", 0},
        {"\t\t", '\t', CSV_ROW, "0=|1=|2=|", 0},
        {" a , b ", ',', CSV_ROW, "0=a|1=b|", 0},
        {"\"a,b\",\"say \"\"x\"\"\"", ',', CSV_ROW, "0=a,b|1=say \"x\"|", 0},
        {"a,b,", ',', CSV_ROW, "0=a|1=b|2=|", 0},
        {"=\"0830\",=\"1,5\", =\"x\"", ',', CSV_ROW, "0=0830|1=1,5|2=x|", 0},
        {"\"a,=b\",=c,d=", ',', CSV_ROW, "0=a,=b|1==c|2=d=|", 0},
        {"=\"a", ',', CSV_OPEN_QUOTE, "", 0},
        {"b=\"a\",c", ',', CSV_STRAY_QUOTE, "", 2},
        {"a,=\"b\"x", ',', CSV_STRAY_QUOTE, "0=a|", 6},
        {"", ',', CSV_BLANK, "", 0},
        {"  ", ',', CSV_BLANK, "", 0},
        {"a,\"b,c", ',', CSV_OPEN_QUOTE, "0=a|", 2},
        {"\"b", ',', CSV_OPEN_QUOTE, "", 0},
        {"a,5\" pipe,c", ',', CSV_STRAY_QUOTE, "0=a|", 3},
        {"\"b\" x,c", ',', CSV_STRAY_QUOTE, "", 4},
    };
    (void)state;
    struct taken taken;
    struct csv csv;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char line[64];
        size_t bad = 0;
        size_t n = strlen(rows[i].line);
        memset(&taken, 0, sizeof taken);
        faults_init(&faults);
        snprintf(line, sizeof line, "%s\n", rows[i].line);
        assert_true(csv_open(&csv, rows[i].separator, take, &taken, &faults));
        enum csv_status status = csv_line(&csv, line, n, &bad);
        if (status != rows[i].status || strcmp(taken.text, rows[i].fields) != 0 ||
            bad != rows[i].bad)
            fail_msg("'%s': status %d, fields %s, bad %zu", rows[i].line, (int)status, taken.text,
                     bad);
        /* Whatever came before, the next line is read as if it were the first. */
        memset(&taken, 0, sizeof taken);
        snprintf(line, sizeof line, "x%cy\n", rows[i].separator);
        assert_int_equal(csv_line(&csv, line, 3, &bad), CSV_ROW);
        assert_string_equal(taken.text, "0=x|1=y|");
        csv_shut(&csv);
        csv_shut(&csv);
    }
}

static void ignore(void *state, size_t number, const char *bytes, size_t n)
{
    (void)state;
    (void)number;
    (void)bytes;
    (void)n;
}

static void huge_rows_are_refused(void **state)
{
    static const struct {
        const char *name;
        char fill;
        size_t n;
        enum csv_status status;
    } rows[] = {{"field of 60 KiB", 'x', 60 * 1024, CSV_ROW},
                {"field of 70 KiB", 'x', 70 * 1024, CSV_FIELD_TOO_LONG},
                {"1024 fields", ',', 1023, CSV_ROW},
                {"1025 fields", ',', 1024, CSV_TOO_MANY}};
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char *line = malloc(rows[i].n + 1);
        struct csv csv;
        size_t bad;
        assert_non_null(line);
        memset(line, rows[i].fill, rows[i].n);
        line[rows[i].n] = '\n';
        faults_init(&faults);
        assert_true(csv_open(&csv, ',', ignore, NULL, &faults));
        if (csv_line(&csv, line, rows[i].n, &bad) != rows[i].status)
            fail_msg("%s", rows[i].name);
        csv_shut(&csv);
        free(line);
    }
}

static void fields_are_found_again(void **state)
{
    static const char line[] = "a, \"b,c\" ,,d";
    size_t start = 0;
    size_t length = 0;
    (void)state;
    assert_true(csv_field_span(line, strlen(line), ',', 0, &start, &length));
    assert_true(start == 0 && length == 1);
    assert_true(csv_field_span(line, strlen(line), ',', 1, &start, &length));
    assert_true(start == 3 && length == 5);
    assert_true(csv_field_span(line, strlen(line), ',', 2, &start, &length));
    assert_true(start == 10 && length == 0);
    assert_true(csv_field_span(line, strlen(line), ',', 3, &start, &length));
    assert_true(start == 11 && length == 1);
    assert_false(csv_field_span(line, strlen(line), ',', 4, &start, &length));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(line_ends_of_every_kind_are_known),
        cmocka_unit_test(a_nul_byte_is_told),
        cmocka_unit_test(lines_do_not_depend_on_the_buffer),
        cmocka_unit_test(an_over_long_line_is_skipped),
        cmocka_unit_test(an_over_long_last_line_ends),
        cmocka_unit_test(the_hash_is_that_of_the_bytes),
        cmocka_unit_test(lines_are_cut_into_fields),
        cmocka_unit_test(huge_rows_are_refused),
        cmocka_unit_test(fields_are_found_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
