/* Lines, sections and entries: what libinih would have altered comes through letter for letter. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/text.h"
#include "description/reader.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;
static const char *const named[] = {"instrument", "run"};

static bool parse(struct description *description, const char *bytes, size_t n)
{
    faults_init(&faults);
    return description_parse(description, "d.txt", bytes, n, named, 2, &faults);
}

static void want_entry(const struct description *d, size_t i, const char *key, const char *value,
                       long line, long key_column, long value_column)
{
    assert_true(i < d->n_entries);
    const struct entry *entry = &d->entries[i];
    assert_string_equal(entry->key, key);
    assert_string_equal(entry->value, value);
    assert_int_equal(entry->line, line);
    assert_int_equal(entry->key_column, key_column);
    assert_int_equal(entry->value_column, value_column);
}

static void what_the_library_would_alter_comes_through(void **state)
{
    (void)state;
    static const char text[] = "# head\n"
                               "[ Steady   State ]  # a comment\n"
                               "Flow  Deviation=2 %\n"
                               "   indented = 1 ; not a comment\n"
                               "\ttabbed\t=\ta = b : c ]\t\n"
                               "[instrument  Sun;1 = x]\n"
                               "column = \"G\" [tilt] #1\n"
                               "hash#inside = x#y\n"
                               "\xc3\xa4 = 5 \xc2\xb0"
                               "C\n";
    struct description d;
    description_init(&d);
    assert_true(parse(&d, text, sizeof text - 1));
    assert_int_equal(d.n_sections, 2);
    assert_string_equal(d.sections[0].kind, "steady state");
    assert_string_equal(d.sections[0].name, "");
    assert_int_equal(d.sections[0].line, 2);
    assert_int_equal(d.sections[0].column, 3);
    assert_string_equal(d.sections[1].kind, "instrument");
    assert_string_equal(d.sections[1].name, "Sun;1 = x");
    assert_int_equal(d.n_entries, 6);
    want_entry(&d, 0, "flow deviation", "2 %", 3, 1, 17);
    want_entry(&d, 1, "indented", "1 ; not a comment", 4, 4, 15);
    want_entry(&d, 2, "tabbed", "a = b : c ]", 5, 2, 11);
    want_entry(&d, 3, "column", "\"G\" [tilt]", 7, 1, 10);
    want_entry(&d, 4, "hash#inside", "x#y", 8, 1, 15);
    want_entry(&d, 5, "\xc3\xa4",
               "5 \xc2\xb0"
               "C",
               9, 1, 5);
    assert_int_equal(d.sections[1].first, 3);
    assert_int_equal(d.sections[1].n, 3);
    description_free(&d);
    description_free(&d);
}

static void line_ends_and_byte_order_mark_do_not_matter(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "[a]\nx = 1\ny = 2\n",
        "\xEF\xBB\xBF[a]\r\nx = 1\r\ny = 2",
        "[a]\rx = 1\ry = 2\r",
    };
    for (size_t i = 0; i < 3; i++) {
        struct description d;
        description_init(&d);
        assert_true(parse(&d, texts[i], strlen(texts[i])));
        assert_int_equal(d.n_entries, 2);
        want_entry(&d, 0, "x", "1", 2, 1, 5);
        want_entry(&d, 1, "y", "2", 3, 1, 5);
        description_free(&d);
    }
}

/* SHA-256 of the bytes "[a]\nx = 1\n", as sha256sum prints it. */
static void hash_is_that_of_the_bytes(void **state)
{
    (void)state;
    struct description d;
    description_init(&d);
    assert_true(parse(&d, "[a]\nx = 1\n", 10));
    assert_string_equal(d.sha256,
                        "c2507fada1e1bf3a5006833bec38f02ced1c9ec870b62ceb191f2a2d99e738f2");
    description_free(&d);
}

static void lines_of_every_length_are_whole_or_refused(void **state)
{
    (void)state;
    for (size_t n = 150; n < 260; n++) {
        char text[400];
        char value[300];
        memset(value, 'v', n);
        value[n] = '\0';
        snprintf(text, sizeof text, "[a]\nk=%s\nz=1\n", value);
        struct description d;
        description_init(&d);
        bool fits = n + 2 <= DESCRIPTION_LINE;
        assert_int_equal(parse(&d, text, strlen(text)), fits);
        assert_int_equal(d.n_entries, fits ? 2 : 1);
        if (fits)
            assert_string_equal(d.entries[0].value, value);
        else
            assert_int_equal(faults.items[0].line, 2);
        want_entry(&d, d.n_entries - 1, "z", "1", 3, 1, 3);
        description_free(&d);
    }
}

static void names_of_every_length_are_whole_or_refused(void **state)
{
    (void)state;
    for (size_t n = 1; n < 80; n++) {
        char text[400];
        char name[100];
        memset(name, 'n', n);
        name[n] = '\0';
        snprintf(text, sizeof text, "[run %sA]\nx=1\n[run %sB]\n%s=2\n", name, name, name);
        struct description d;
        description_init(&d);
        bool fits = strlen("run ") + n + 1 <= DESCRIPTION_NAME;
        assert_int_equal(parse(&d, text, strlen(text)), fits);
        assert_int_equal(d.n_sections, fits ? 2 : 0);
        assert_int_equal(d.n_entries, fits ? 2 : 0);
        description_free(&d);
    }
}

/* A small generator of our own, so that a failure can be repeated. */
static unsigned draw(uint64_t *stream, unsigned below)
{
    *stream = *stream * 6364136223846793005U + 1442695040888963407U;
    return (unsigned)(*stream >> 33) % below;
}

/* Values of tricky characters, compared with what was put in. */
static void tricky_values_come_through(void **state)
{
    (void)state;
    static const char letters[] = ";:=[]#\"'\\%,a1 \t;;##";
    uint64_t stream = 20260621;
    for (int round = 0; round < 5000; round++) {
        char value[40];
        size_t n = 1 + draw(&stream, 30);
        for (size_t i = 0; i < n; i++)
            value[i] = letters[draw(&stream, sizeof letters - 1)];
        value[n] = '\0';
        char text[100];
        snprintf(text, sizeof text, "[run r]\nkey = x%s\n", value);
        char want[60];
        snprintf(want, sizeof want, "x%s", value);
        for (size_t i = 1; want[i] != '\0'; i++)
            if (want[i] == '#' && (want[i - 1] == ' ' || want[i - 1] == '\t'))
                want[i] = '\0';
        struct description d;
        description_init(&d);
        if (!parse(&d, text, strlen(text)) || d.n_entries != 1 ||
            strcmp(d.entries[0].value, text_trim(want)) != 0) {
            print_error("round %d: '%s' became '%s'\n", round, value,
                        d.n_entries > 0 ? d.entries[0].value : "(nothing)");
            fail();
        }
        description_free(&d);
    }
}

/* Whatever the bytes are: no crash, and refused with at least one fault or read in full. */
static void broken_bytes_give_faults(void **state)
{
    (void)state;
    static const char good[] = "[collector]\nname = plate; A # x\n  gross area = 2.05 m2\r\n"
                               "[instrument sun]\nunit = W/m\xc2\xb2\n[run a]\nkind = efficiency\n";
    uint64_t stream = 7;
    size_t refused = 0;
    for (int round = 0; round < 20000; round++) {
        char text[sizeof good];
        memcpy(text, good, sizeof good);
        for (unsigned k = 1 + draw(&stream, 6); k > 0; k--)
            text[draw(&stream, sizeof good - 1)] =
                draw(&stream, 2) ? (char)draw(&stream, 256) : "\n[]=#; "[draw(&stream, 7)];
        struct description d;
        description_init(&d);
        bool read = parse(&d, text, draw(&stream, sizeof good));
        refused += !read;
        assert_int_equal(read, faults_errors(&faults) == 0);
        assert_true(faults.worst < FAULT_MACHINE);
        description_free(&d);
    }
    assert_in_range(refused, 5000, 20000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_the_library_would_alter_comes_through),
        cmocka_unit_test(line_ends_and_byte_order_mark_do_not_matter),
        cmocka_unit_test(hash_is_that_of_the_bytes),
        cmocka_unit_test(lines_of_every_length_are_whole_or_refused),
        cmocka_unit_test(names_of_every_length_are_whole_or_refused),
        cmocka_unit_test(tricky_values_come_through),
        cmocka_unit_test(broken_bytes_give_faults),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
