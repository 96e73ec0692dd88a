/* Key tables: every example that the help shows is accepted by the reading, and the help shows
 * all. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "domain/channel.h"
#include "run/setup.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;
static const char *const named[] = {"instrument", "run"};

/* A struct with one field of each kind that the tables below fill. */
struct target {
    struct stated_number length_m;
    struct stated_text word;
    struct stated_list words;
    struct stated_choice colour;
    struct stated_range span;
};

static const char *const colours[] = {"black paint", "blue"};

static const struct schema_row rows[] = {
    {.key = "length",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_LENGTH,
     .required = true,
     .limits = {0.0, 10.0, true},
     .offset = offsetof(struct target, length_m),
     .help = "how long",
     .example = "2 m",
     .by_default = NULL},
    {.key = "word",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct target, word),
     .help = "a word",
     .example = "w",
     .by_default = "none"},
    {.key = "words",
     .kind = VALUE_TEXT,
     .repeat = true,
     .offset = offsetof(struct target, words),
     .help = "words",
     .example = "w"},
    {.key = "colour",
     .kind = VALUE_CHOICE,
     .choices = colours,
     .n_choices = 2,
     .offset = offsetof(struct target, colour),
     .help = "colour",
     .example = "blue"},
    {.key = "span",
     .kind = VALUE_RANGE,
     .dimension = DIM_SPEED,
     .offset = offsetof(struct target, span),
     .help = "span",
     .example = "1 to 5 m/s"},
};
static const struct schema schema = {"thing", false, "A thing.", rows, LENGTH(rows)};

static bool read_thing(const char *text, struct target *target)
{
    struct description d;
    description_init(&d);
    faults_init(&faults);
    memset(target, 0, sizeof *target);
    assert_true(description_parse(&d, "d.txt", text, strlen(text), named, 2, &faults));
    bool good = schema_read(&schema, &d, &d.sections[0], target, &faults);
    assert_int_equal(good, faults_errors(&faults) == 0);
    schema_sort_faults(&faults, 0);
    description_free(&d);
    return good;
}

static void values_reach_their_fields(void **state)
{
    (void)state;
    struct target t;
    assert_true(read_thing("[thing]\nwords = one, two\nspan = 3.6 to 7.2 km/h\nlength = 73 cm\n"
                           "words = three\ncolour = Black Paint\n",
                           &t));
    assert_true(t.length_m.at.given && t.length_m.value > 0.72999 && t.length_m.value < 0.73001);
    assert_int_equal(t.length_m.at.line, 4);
    assert_int_equal(t.length_m.at.column, 10);
    assert_false(t.word.at.given);
    assert_int_equal(t.words.n, 2);
    assert_string_equal(t.words.items[0].text, "one, two");
    assert_string_equal(t.words.items[1].text, "three");
    assert_int_equal(t.words.items[1].at.line, 5);
    assert_int_equal(t.colour.index, 0);
    assert_true(t.span.low > 0.999 && t.span.high < 2.001);
    stated_list_free(&t.words);
    stated_list_free(&t.words);
}

static void all_faults_come_in_one_go_and_in_order(void **state)
{
    (void)state;
    struct target t;
    assert_false(read_thing("[thing]\nspan = 5 to 1 m/s\nlenght = 2 m\nword = a\nword = b\n"
                            "colour = blew\n",
                            &t));
    static const struct {
        long line;
        const char *found;
    } want[] = {
        {1, "[thing] has no 'length'"},          {2, "'5 to 1 m/s' runs backwards"},
        {3, "'lenght' is not a key of [thing]"}, {5, "'word' appears twice in its section"},
        {6, "'blew' is not one of the choices"},
    };
    assert_int_equal(faults.n, LENGTH(want));
    for (size_t i = 0; i < LENGTH(want); i++) {
        assert_int_equal(faults.items[i].line, want[i].line);
        assert_string_equal(faults.items[i].found, want[i].found);
    }
    assert_string_equal(faults.items[2].expected, "one of: length, word, words, colour, span");
    assert_string_equal(faults.items[2].hint, "did you mean 'length'?");
    assert_string_equal(t.word.text, "a");
}

static void help_shows_the_whole_section(void **state)
{
    (void)state;
    struct text out = {0};
    schema_help(&schema, &out);
    assert_string_equal(text_string(&out), "[thing]\n# A thing.\n"
                                           "# length = 2 m\n#     how long; required\n"
                                           "# word = w\n#     a word; default: none\n"
                                           "# words = w\n#     words; may be repeated\n"
                                           "# colour = blue\n#     colour: black paint, blue\n"
                                           "# span = 1 to 5 m/s\n#     span\n");
    text_free(&out);
}

/* Whether a section that holds the example alone has no fault but what else is required. */
static bool accepts(const struct schema *of, const struct schema_row *row, const char *before)
{
    static struct test_setup setup;
    char text[800];
    snprintf(text, sizeof text, "[%s%s]\n%s%s = %s\n", of->kind, of->named ? " n" : "", before,
             row->key, row->example);
    faults_init(&faults);
    setup_init(&setup);
    setup_parse("d.txt", text, strlen(text), &setup, &faults);
    setup_free(&setup);
    long line = 2;
    for (const char *c = before; *c != '\0'; c++)
        line += *c == '\n' ? 1 : 0;
    for (size_t i = 0; i < faults.n; i++)
        if (faults.items[i].line == line && faults.items[i].kind > FAULT_WARNING &&
            strstr(faults.items[i].found, "without") == NULL &&
            strstr(faults.items[i].found, "cannot be matched") == NULL &&
            strstr(faults.items[i].found, "no section [log ") == NULL)
            return false;
    return true;
}

/* An instrument's example need only suit one channel, that of a fraction one fluid; an error of a
 * curve goes with its value, a lead with its thermometer, a swap with an id. */
static bool accepts_somewhere(const struct schema *of, const struct schema_row *row)
{
    if (strcmp(of->kind, "fluid") == 0 && strncmp(row->key, "fraction", 8) == 0)
        return accepts(of, row, "name = propylene glycol\n");
    if (strcmp(of->kind, "curve") == 0 && strcmp(row->key, "a2 error") == 0)
        return accepts(of, row, "a2 = 0.0137 W/(m2 K2)\n");
    if (strcmp(of->kind, "curve") == 0 && strncmp(row->key, "diffuse", 7) == 0)
        return accepts(of, row, strstr(row->key, "error") != NULL ? "diffuse modifier = 0.94\n"
                                                                  : "sunshine = beam\n");
    if (!of->named || strcmp(of->kind, "instrument") != 0 || strcmp(row->key, "measures") == 0)
        return accepts(of, row, "");
    for (size_t i = 0; i < CH_LOGGED; i++) {
        char before[80];
        bool lead = strcmp(row->key, "lead") == 0, swap = strcmp(row->key, "swap") == 0;
        snprintf(before, sizeof before, "measures = %s\n%s", channel_word_table[i],
                 lead ? "resistance = Pt100\n" : swap ? "id = FM-1\n" : "");
        if (accepts(of, row, before))
            return true;
    }
    return false;
}

static void every_example_is_accepted(void **state)
{
    (void)state;
    size_t n;
    size_t examples = 0;
    const struct schema *const *schemas = setup_schemas(&n);
    for (size_t i = 0; i < n; i++) {
        for (size_t j = 0; j < schemas[i]->n; j++) {
            const struct schema_row *row = &schemas[i]->rows[j];
            examples++;
            if (!accepts_somewhere(schemas[i], row))
                fail_msg("[%s] %s = %s: %s", schemas[i]->kind, row->key, row->example,
                         faults.items[0].found);
        }
    }
    assert_int_equal(n, 21);
    assert_int_equal(examples, 231);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(values_reach_their_fields),
        cmocka_unit_test(all_faults_come_in_one_go_and_in_order),
        cmocka_unit_test(help_shows_the_whole_section),
        cmocka_unit_test(every_example_is_accepted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
