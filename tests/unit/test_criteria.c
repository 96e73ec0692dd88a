/* Criteria of a whole test: the figures of each set, how they are overridden, and verdicts by
 * counting. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "base/calendar.h"
#include "run/rules_section.h"
#include "run/test_criteria.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults *faults;
static struct test_setup *setup;

static int set_up(void **state)
{
    (void)state;
    faults = calloc(1, sizeof *faults);
    setup = malloc(sizeof *setup);
    if (faults == NULL || setup == NULL)
        return 1;
    faults_init(faults);
    setup_init(setup);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    setup_free(setup);
    free(setup);
    free(faults);
    return 0;
}

/* Entered a second time from the notes: "r" read, "m" from memory, "o" our own. */
enum { SETS = 4 };
static const char *const set_names[SETS] = {"ISO 9806:2017", "ISO 9806-1:1994", "ASHRAE 93",
                                            "homemade rig"};
static const struct {
    const char *key, *printed[SETS], *marks;
} figures[] = {
    {"temperatures", {"4", "4", "4", "3"}, "mrmo"},
    {"points at each", {"4", "4", "4", "2"}, "mrmo"},
    {"points in all", {"16", "16", "16", "6"}, "mrmo"},
    {"near air", {"3 K", "3 K", "3 K", "5 K"}, "mroo"},
    {"reach at least", {"40 K", "off", "off", "20 K"}, "mrmo"},
    {"warmest at least", {"off", "70 degC", "off", "off"}, "mrmo"},
    {"gap at most", {"50 %", "50 %", "50 %", "off"}, "oooo"},
    {"noon difference", {"0", "0", "0", "off"}, "mrmo"},
    {"flow between points", {"10 %", "10 %", "off", "20 %"}, "mrmo"},
    {"air at most", {"off", "off", "30 degC", "off"}, "mrmo"},
};

static void figures_of_the_sets_print_as_written(void **state)
{
    (void)state;
    size_t n;
    assert_int_equal(sizeof figures / sizeof figures[0], CRITERION_COUNT);
    const char *const *sets = rules_sets(&n);
    assert_int_equal(n, SETS);
    for (size_t s = 0; s < SETS; s++) {
        struct criteria criteria;
        assert_string_equal(sets[s], set_names[s]);
        criteria_init(&criteria, sets[s]);
        for (size_t i = 0; i < CRITERION_COUNT; i++) {
            const struct criterion_row *row = criterion_find(figures[i].key);
            if (row == NULL || row->id != i)
                fail_msg("%s: no such row", figures[i].key);
            const struct criterion *criterion = &criteria.criterion[i];
            char text[RULE_TEXT_SIZE];
            criterion_text(row->id, criterion->figure, text, sizeof text);
            char mark = "rmo"[criterion->mark];
            if (strcmp(text, figures[i].printed[s]) != 0 || mark != figures[i].marks[s])
                fail_msg("%s, %s: '%s' (%c)", sets[s], figures[i].key, text, mark);
            assert_true(strlen(criterion->source) > 10);
            assert_false(criterion->overridden);
            if (!criteria_override(&criteria, row, text, fault_at(NULL, 0, 0), faults))
                fail_msg("%s = %s: %s", row->key, text, faults->items[0].found);
            assert_true(criterion->overridden);
        }
    }
    assert_null(criterion_find("points"));
}

static void overrides_are_read_in_any_unit(void **state)
{
    (void)state;
    static const struct {
        const char *key, *value;
        double figure;     /* SI by hand; NaN: off */
        const char *found; /* NULL: accepted */
    } rows[] = {
        {"temperatures", "3", 3, NULL},
        {"near air", "9 degF", 5, NULL},
        {"warmest at least", "167 degF", 75, NULL},
        {"gap at most", "37.5 %", 0.375, NULL},
        {"NOON DIFFERENCE", "1", 1, NULL},
        {"reach at least", "OFF", NAN, NULL},
        {"temperatures", "3.5", 0, "temperatures: '3.5' is not a whole number"},
        {"temperatures", "0", 0, "'0' is out of range"},
        {"points in all", "16 points", 0, "'16 points' is not a number"},
        {"near air", "3", 0, "'3' has no unit"},
        {"near air", "-1 K", 0, "'-1 K' is out of range"},
        {"flow between points", "10 L/min", 0, "'L/min' is a unit of volume flow, not of"},
        {"noon difference", "none", 0, "'none' is not a number"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct criteria criteria, before;
        criteria_init(&criteria, set_names[0]);
        before = criteria;
        faults_init(faults);
        const struct criterion_row *row = criterion_find(rows[i].key);
        assert_non_null(row);
        const struct criterion *criterion = &criteria.criterion[row->id];
        bool good =
            criteria_override(&criteria, row, rows[i].value, fault_at("a.txt", 7, 3), faults);
        if (good != (rows[i].found == NULL))
            fail_msg("%s = %s: accepted %d", rows[i].key, rows[i].value, good);
        if (good) {
            assert_int_equal(criterion->on, !isnan(rows[i].figure));
            if (criterion->on)
                aid_near(rows[i].value, criterion->figure, rows[i].figure, 1e-9);
            continue;
        }
        if (strncmp(faults->items[0].found, rows[i].found, strlen(rows[i].found)) != 0)
            fail_msg("%s = %s: '%s'", rows[i].key, rows[i].value, faults->items[0].found);
        assert_int_equal(faults->items[0].line, 7);
        assert_memory_equal(&criteria, &before, sizeof before);
    }
}

enum { POINTS_MAX = 24 };
static struct {
    size_t n;
    struct means means[POINTS_MAX];
    struct point points[POINTS_MAX];
} test;

/* A point of water at t_mean, its middle so many minutes after noon at 15 degrees east. */
static void add(double t_mean_degC, double ambient_degC, double flow_kg_s, int noon_min)
{
    struct means *means = &test.means[test.n];
    struct point *point = &test.points[test.n++];
    assert_true(test.n <= POINTS_MAX);
    memset(means, 0, sizeof *means);
    memset(point, 0, sizeof *point);
    means->has[CH_AMBIENT] = means->timed = true;
    means->mean[CH_AMBIENT] = ambient_degC;
    means->start_us = (20620 * INT64_C(86400) + 11 * 3600 + 60 * noon_min - 300) * US_PER_S;
    means->end_us = means->start_us + 600 * US_PER_S;
    point->means = means;
    point->value.t_mean_degC = t_mean_degC;
    point->value.difference_K = t_mean_degC - ambient_degC;
    point->value.g_W_m2 = 913;
    point->value.mass_kg_s = flow_kg_s;
}

/* Sixteen points at four temperatures, two before and two after noon at each: all that is asked. */
static void add_whole_test(void)
{
    static const double rise_K[] = {-0.7, 20.9, 41.3, 61.9};
    test.n = 0;
    for (size_t i = 0; i < 16; i++)
        add(24.1 + rise_K[i / 4] + 0.1 * (double)(i % 4), 24.1, i == 5 ? 0.0417 : 0.0401,
            i % 2 == 0 ? -75 : 75);
}

static void judge(const char *set, double longitude_deg, struct criterion_verdict *verdict)
{
    struct criteria criteria;
    struct design design;
    criteria_init(&criteria, set);
    design_audit(&design, test.points, test.n, longitude_deg * M_PI / 180);
    test_criteria_judge(&criteria, &design, test.points, test.n, verdict);
}

/* States in the order of the criteria: y met, n not met, u not judged, - off. */
static void expect(const char *name, const struct criterion_verdict *verdict, const char *states)
{
    for (size_t i = 0; i < CRITERION_COUNT; i++)
        if ("ynu-"[verdict[i].state] != states[i])
            fail_msg("%s: %s is %s (%g)", name, criterion_row((enum criterion_id)i)->key,
                     criterion_word(verdict[i].state), verdict[i].found);
}

static void a_whole_test_meets_its_set(void **state)
{
    (void)state;
    struct criterion_verdict verdict[CRITERION_COUNT];
    add_whole_test();
    judge("ISO 9806:2017", 15, verdict);
    expect("2017", verdict, "yyyyy-yyy-");
    /* levels at -0.55, 21.05, 41.45 and 62.05 K; 15 flows of 0.0401 and one of 0.0417: mean 0.0402
     */
    aid_near("temperatures", verdict[CRITERION_LEVELS].found, 4, 0);
    aid_near("each", verdict[CRITERION_EACH].found, 4, 0);
    aid_near("all", verdict[CRITERION_POINTS].found, 16, 0);
    aid_near("near", verdict[CRITERION_NEAR_AIR].found, 0.55, 1e-9);
    aid_near("reach", verdict[CRITERION_REACH].found, 62.2, 1e-9);
    aid_near("warmest", verdict[CRITERION_WARMEST].found, 86.3, 1e-9);
    aid_near("gap", verdict[CRITERION_GAP].found, 21.6 / 62.6, 1e-9);
    aid_near("noon", verdict[CRITERION_NOON].found, 0, 0);
    aid_near("flow", verdict[CRITERION_FLOW].found, 0.0015 / 0.0402, 1e-9);
    aid_near("air", verdict[CRITERION_AIR].found, 24.1, 1e-12);
    judge("ISO 9806-1:1994", 15, verdict);
    expect("1994", verdict, "yyyy-yyyy-");
    judge("ASHRAE 93", 15, verdict);
    expect("ASHRAE 93", verdict, "yyyy--yy-y");
    judge("homemade rig", 15, verdict);
    expect("homemade rig", verdict, "yyyyy---y-");
}

static void each_criterion_fails_by_itself(void **state)
{
    (void)state;
    struct criterion_verdict verdict[CRITERION_COUNT];
    add_whole_test();
    for (size_t i = 0; i < 16; i += 4)
        test.points[i].left_out = true; /* one before noon at each */
    judge("ISO 9806:2017", 15, verdict);
    expect("twelve points", verdict, "ynnyy-yny-");
    aid_near("each", verdict[CRITERION_EACH].found, 3, 0);
    aid_near("noon", verdict[CRITERION_NOON].found, 1, 0);

    add_whole_test();
    add(24.1 + 51.3, 24.1, 0.0401, 75); /* a fifth temperature with one point spoils no count */
    judge("ISO 9806:2017", 15, verdict);
    expect("a fifth temperature", verdict, "yyyyy-yny-");
    aid_near("each", verdict[CRITERION_EACH].found, 4, 0);

    add_whole_test();
    for (size_t i = 0; i < 4; i++) {
        test.points[i].value.difference_K = 3.7;
        test.points[i].value.t_mean_degC = 27.8;
    }
    judge("ISO 9806:2017", 15, verdict);
    expect("3.7 K off the air", verdict, "yyyny-yyy-");
    judge("homemade rig", 15, verdict);
    expect("3.7 K on a rig", verdict, "yyyyy---y-");

    add_whole_test();
    for (size_t i = 0; i < 16; i++)
        test.means[i].mean[CH_AMBIENT] += 6.0; /* 30.1 degC: the water is 6 K nearer */
    judge("ASHRAE 93", 15, verdict);
    aid_near("hot air", verdict[CRITERION_AIR].found, 30.1, 1e-9);
    assert_int_equal(verdict[CRITERION_AIR].state, CRITERION_NOT_MET);

    add_whole_test();
    test.points[9].value.mass_kg_s = 0.0451; /* mean 0.0405125: 11.3 % above it */
    judge("ISO 9806:2017", 15, verdict);
    expect("another flow", verdict, "yyyyy-yyn-");
}

/* A run on the inlet basis: levels go by the inlet, the distance to the air by the mean. */
static void the_mean_counts_for_the_distance_to_the_air(void **state)
{
    (void)state;
    struct criterion_verdict verdict[CRITERION_COUNT];
    add_whole_test();
    for (size_t i = 0; i < 16; i++)
        test.points[i].value.difference_K -= 4.1; /* half of the rise */
    judge("ISO 9806:2017", 15, verdict);
    aid_near("near", verdict[CRITERION_NEAR_AIR].found, 0.55, 1e-9);
    aid_near("reach", verdict[CRITERION_REACH].found, 62.2, 1e-9);
}

static void what_cannot_be_known_is_not_judged(void **state)
{
    (void)state;
    struct criterion_verdict verdict[CRITERION_COUNT];
    add_whole_test();
    judge("ISO 9806:2017", NAN, verdict);
    expect("no longitude", verdict, "yyyyy-yuy-");
    assert_string_equal(verdict[CRITERION_NOON].why, "longitude or times not stated");

    test.n = 0;
    judge("ISO 9806-1:1994", 15, verdict);
    expect("no point", verdict, "nnnu-uuuu-");

    test.n = 0;
    for (size_t i = 0; i < 3; i++) {
        add(NAN, NAN, NAN, 0);
        test.means[i].reduced = true;
        test.means[i].has[CH_AMBIENT] = test.means[i].timed = false;
        test.points[i].value.difference_K = 1.3 * (double)i;
    }
    judge("ISO 9806-1:1994", 15, verdict);
    expect("reduced points of one temperature", verdict, "nnny-uuuu-");
}

static void settle(const char *rules, const char *checked)
{
    setup_init(setup);
    faults_init(faults);
    strcpy(setup->rules, rules);
    strcpy(setup->checked, checked);
    setup->checked_at = fault_at("plate.txt", 41, 25);
}

static void a_copy_is_named_with_who_and_when(void **state)
{
    (void)state;
    static const struct {
        const char *rules, *checked;
        const char *found; /* NULL: accepted */
    } rows[] = {
        {"", "ISO 9806:2017 copy no. 12, by A. Tester, 2026-03-01", NULL},
        {"ASHRAE 93", "ashrae 93-2010, printed, page by page, by A. Tester , 2026-03-01", NULL},
        {"", "", NULL},
        {"ISO 9806-1:1994", "ISO 9806:2017, by A. Tester, 2026-03-01",
         "'ISO 9806:2017, by A. Tester, 2026-03-01' is not a copy of the rules in use"},
        {"", "ISO 9806:2017", "'ISO 9806:2017' says neither by whom nor when"},
        {"", "ISO", "'ISO' is not a copy of the rules in use"},
        {"", "ISO 9806:2017, 2026-03-01",
         "'ISO 9806:2017, 2026-03-01' does not say by whom it was compared"},
        {"", "ISO 9806:2017, by , 2026-03-01",
         "'ISO 9806:2017, by , 2026-03-01' does not say by whom it was compared"},
        {"", "ISO 9806:2017, by A. Tester, in March", "'in March' is not a date"},
        {"", "ISO 9806:2017, by A. Tester, 2026-02-29", "there is no day '2026-02-29'"},
        {"homemade rig", "homemade rig, by A. Tester, 2026-03-01",
         "the rules 'homemade rig' are this program's own: no copy can bear them out"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct rules rules;
        struct criteria criteria;
        settle(rows[i].rules, rows[i].checked);
        bool good = rules_section_settle(setup, &rules, &criteria, faults);
        if (good != (rows[i].found == NULL))
            fail_msg("'%s': accepted %d", rows[i].checked, good);
        if (!good && (faults->n != 1 || strcmp(faults->items[0].found, rows[i].found) != 0))
            fail_msg("'%s': '%s'", rows[i].checked, faults->items[0].found);
        assert_int_equal(good ? 41 : faults->items[0].line, 41);
        if (good)
            assert_int_equal(rules.checked != NULL, rows[i].checked[0] != '\0');
    }
}

static void the_table_lists_all(void **state)
{
    (void)state;
    struct rules rules;
    struct criteria criteria;
    struct text text = {0};
    settle("", "");
    assert_true(rules_section_settle(setup, &rules, &criteria, faults));
    assert_true(criteria_override(&criteria, criterion_row(CRITERION_EACH), "3",
                                  fault_at(NULL, 0, 0), faults));
    criteria_table(&criteria, &rules, &text);
    const char *out = text_string(&text);
    assert_non_null(strstr(out, "points at each         at least 3 "));
    assert_non_null(strstr(out, "overridden by the description; the set says 4"));
    for (int id = 0; id < CRITERION_COUNT; id++)
        assert_non_null(strstr(out, criterion_row((enum criterion_id)id)->label));
    for (const char *line = out; *line != '\0'; line += strcspn(line, "\n") + 1)
        if (strcspn(line, "\n") > 100)
            fail_msg("%.*s", (int)strcspn(line, "\n"), line);
    text_free(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(figures_of_the_sets_print_as_written, set_up, tear_down),
        cmocka_unit_test_setup_teardown(overrides_are_read_in_any_unit, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_whole_test_meets_its_set, set_up, tear_down),
        cmocka_unit_test_setup_teardown(each_criterion_fails_by_itself, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_mean_counts_for_the_distance_to_the_air, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(what_cannot_be_known_is_not_judged, set_up, tear_down),
        cmocka_unit_test_setup_teardown(a_copy_is_named_with_who_and_when, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_table_lists_all, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
