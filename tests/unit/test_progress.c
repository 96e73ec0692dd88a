/* The words of the progress line, and what a reader tells on its way. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/progress.h"
#include "cmd/progress_line.h"
#include "run/words.h"

#include <string.h>

static void the_line_says_how_far_and_how_long(void **state)
{
    (void)state;
    static const struct {
        const char *doing;
        uint64_t done;
        uint64_t total;
        double elapsed_s;
        const char *words;
    } rows[] = {
        {"reading", 430, 1000, 9.0, "reading 43 %, about 12 s to go"},
        {"reading", 999, 1000, 30.0, "reading 100 %, about 1 s to go"},
        {"reading", 100, 1000, 120.0, "reading 10 %, about 18 min to go"},
        {"reading", 0, 1000, 5.0, "reading 0 %"},
        {"reading", 500, 1000, 0.7, "reading 50 %"},
        {"reading", 1700, 1000, 5.0, "reading 100 %"}, /* a log that grows meanwhile */
        {"drawing", 3, 8, 1.5, "drawing 38 %, about 2 s to go"},
        {"drawing", 3, 0, 1.5, "drawing"},
        {"reading", UINT64_C(9000000000000000000), UINT64_C(18000000000000000000), 2.0,
         "reading 50 %, about 2 s to go"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char words[120];
        progress_line_words(rows[i].doing, rows[i].done, rows[i].total, rows[i].elapsed_s, words,
                            sizeof words);
        if (strcmp(words, rows[i].words) != 0)
            print_message("row %zu: '%s'\n", i, words);
        assert_string_equal(words, rows[i].words);
    }
}

static void nobody_may_want_to_know(void **state)
{
    (void)state;
    progress_tell(NULL, "reading", 1, 2); /* must not crash */
    struct progress_line line;
    progress_line_begin(&line, false);
    struct progress progress = progress_line_progress(&line);
    progress_tell(&progress, "reading", 1, 2);
    assert_false(line.shown);
    progress_line_end(&line);
    progress_line_end(&line);
}

static void numbers_in_sentences_have_their_minus(void **state)
{
    (void)state;
    char out[WORDS_SIZE];
    static const struct {
        double value;
        int places;
        const char *words;
    } fixed[] = {
        {-0.0012, 4, "−0.0012"}, {0.0632, 4, "0.0632"}, {-0.00001, 4, "0.0000"},
        {-0.00006, 4, "−0.0001"}, {-12.34, 1, "−12.3"}, {0, 0, "0"},
    };
    for (size_t i = 0; i < sizeof fixed / sizeof fixed[0]; i++)
        assert_string_equal(words_fixed(fixed[i].value, fixed[i].places, out, sizeof out),
                            fixed[i].words);
    assert_string_equal(words_pm(-0.0123, 0.0045, "W", out, sizeof out), "−0.0123 ± 0.0045 W");
    assert_string_equal(words_pm(-0.00001, 0.0045, "", out, sizeof out), "0.0000 ± 0.0045");
    static const struct {
        int64_t offset_s;
        const char *words;
    } zones[] = {{0, "UTC"}, {3600, "UTC+1"}, {-5 * 3600, "UTC−5"}, {20700, "UTC+5:45"},
                 {-12600, "UTC−3:30"}};
    for (size_t i = 0; i < sizeof zones / sizeof zones[0]; i++)    {
        struct zone zone;
        zone_fixed(&zone, zones[i].offset_s);
        assert_string_equal(words_zone(&zone, out, sizeof out), zones[i].words);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_line_says_how_far_and_how_long),
        cmocka_unit_test(nobody_may_want_to_know),
        cmocka_unit_test(numbers_in_sentences_have_their_minus),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
