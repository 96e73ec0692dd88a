/* Points tables typed by hand: what is understood, and what is refused, where. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_folder.h"
#include "aid_near.h"
#include "base/calendar.h"
#include "point/points_table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct faults faults;
static char *folder;

static int set_up(void **state)
{
    (void)state;
    faults_init(&faults);
    folder = aid_folder();
    return folder == NULL ? -1 : 0;
}

static int tear_down(void **state)
{
    (void)state;
    aid_remove(folder);
    free(folder);
    return 0;
}

static bool read(const char *text, struct means_list *list)
{
    char path[300], hex[HASH_HEX_SIZE];
    aid_write(folder, "points.csv", text, strlen(text), path);
    faults_init(&faults);
    means_list_init(list);
    return points_read(list, path, hex, &faults);
}

/* Each unit by its definition. */
static void units_and_order_are_the_tables_own(void **unused)
{
    (void)unused;
    static const char text[] =
        "# typed by the blue table\n"
        "\n"
        "flow [L/h],point,outlet [degF],wind [km/h],inlet [K],ambient [degC],irradiance [W/m2],"
        "u outlet [K],u flow [L/h],remarks of ours,group\n"
        "72.9,cold,96.8,10.8,295.65,19.75,913.5,0.125,0.36,\"a cloud, far off\",Blue\n"
        "108,,104,,300.15,20.5,901,,,,\n";
    struct means_list list;
    assert_true(read(text, &list));
    assert_int_equal(list.n, 2);
    const struct means *m = &list.items[0];
    assert_string_equal(m->name, "cold");
    assert_string_equal(m->group, "Blue");
    aid_near_relative("flow", m->mean[CH_FLOW], 72.9e-3 / 3600, 1e-14);
    aid_near("outlet", m->mean[CH_OUTLET], 36.0, 1e-12);
    aid_near("inlet", m->mean[CH_INLET], 22.5, 1e-12);
    aid_near("ambient", m->mean[CH_AMBIENT], 19.75, 0);
    aid_near("wind", m->mean[CH_WIND], 3.0, 1e-14);
    aid_near("irradiance", m->mean[CH_IRRADIANCE], 913.5, 0);
    aid_near("u outlet", m->u[CH_OUTLET], 0.125, 0);
    aid_near_relative("u flow", m->u[CH_FLOW], 1e-7, 1e-12);
    assert_true(m->has[CH_WIND] && !m->has[CH_HEAT] && !m->has[CH_DIFFUSE]);
    assert_false(m->timed || m->reduced);
    assert_true(isnan(m->drift_K_s));
    m = &list.items[1];
    assert_string_equal(m->name, "row 5");
    assert_string_equal(m->group, "");
    assert_false(m->has[CH_WIND]);
    aid_near("u outlet, none", m->u[CH_OUTLET], 0, 0);
    means_list_free(&list);
    means_list_free(&list);
}

static void times_sessions_and_counts_arrive(void **unused)
{
    (void)unused;
    struct means_list list;
    assert_true(read("point,start,end,readings,irradiance [W/m2],ambient [degC],inlet [degC],"
                     "outlet [degC],flow [m3/s],heat [W],drift [K/min]\n"
                     "a,2026-06-21T10:15:00Z,2026-06-21T10:25:00Z,60,900,20,30,40,1e-5,411.5,0.3\n"
                     "b,2026-06-22T01:15:00+02:00,,,900,20,30,40,1e-5,,\n",
                     &list));
    const struct means *a = &list.items[0], *b = &list.items[1];
    assert_true(a->timed && b->timed);
    assert_int_equal(a->end_us - a->start_us, 600 * INT64_C(1000000));
    assert_int_equal(a->readings, 60);
    assert_int_equal(b->readings, 0);
    assert_int_equal(b->start_us - a->start_us, 13 * 3600 * INT64_C(1000000));
    assert_int_equal(b->end_us, b->start_us);
    assert_int_equal(a->session, b->session); /* 21 June in UTC, both */
    assert_int_equal(a->session, calendar_day(a->start_us, 0));
    aid_near("heat", a->mean[CH_HEAT], 411.5, 0);
    assert_false(b->has[CH_HEAT]);
    aid_near_relative("drift", a->drift_K_s, 0.005, 1e-14);
    means_list_free(&list);
    assert_true(read("session,irradiance [W/m2],efficiency,T*,u efficiency,u T*\n"
                     "-3,900,0.625,0.03125,0.0123,0.0004\n",
                     &list));
    a = &list.items[0];
    assert_true(a->reduced);
    assert_int_equal(a->session, -3);
    aid_near("eta", a->eta, 0.625, 0);
    aid_near("x", a->x, 0.03125, 0);
    aid_near("u eta", a->u_eta, 0.0123, 0);
    aid_near("u x", a->u_x, 0.0004, 0);
    means_list_free(&list);
}

/* In a table that has the five means, efficiency and T* are results and not read, whatever they
 * are. */
static void results_are_not_read_back(void **unused)
{
    (void)unused;
    struct means_list list;
    assert_true(read("irradiance [W/m2],ambient [degC],inlet [degC],outlet [degC],flow [L/min],"
                     "efficiency,T*\n900,20,30,40,1.5,62 %,about 0.02\n",
                     &list));
    assert_false(list.items[0].reduced);
    aid_near("eta", list.items[0].eta, 0, 0);
    means_list_free(&list);
}

#define HEADS "irradiance [W/m2],ambient [degC],inlet [degC],outlet [degC],flow [L/min]"

static void wrong_tables_are_refused_with_their_place(void **unused)
{
    (void)unused;
    static const struct {
        const char *name;
        const char *text;
        long line, column;
        const char *found;
    } rows[] = {
        {"nothing", "", 0, 0, "is empty"},
        {"heads alone", HEADS "\n", 0, 0, "the points table holds no point"},
        {"no unit", "irradiance [W/m2],ambient [degC],inlet,outlet [degC],flow [L/min]\n", 1, 34,
         "the head 'inlet' does not say its unit"},
        {"wrong unit", "irradiance [W/m2],ambient [degC],inlet [bar],outlet [degC],flow [L/min]\n",
         1, 34, "'bar' is not a unit of temperature"},
        {"slip in a head", "irradiance [W/m2],ambient [degC],inlett [degC]\n", 1, 34,
         "'inlett' is not a column of a points table"},
        {"twice", HEADS ",inlet [degC]\n", 1, 74, "the column 'inlet' stands twice"},
        {"lacking", "irradiance [W/m2],ambient [degC],inlet [degC]\n", 1, 0,
         "the points table lacks 'outlet', 'flow'"},
        {"no number", HEADS "\n900,20,30,4O,1.5\n", 2, 11, "'4O' is not a number"},
        {"decimal comma", HEADS "\n900,20,30,\"40,5\",1.5\n", 2, 11, "'40,5' is not a number"},
        {"boiling", HEADS "\n900,20,30,4000,1.5\n", 2, 11,
         "outlet is 4000 degC, outside of what a collector test can hold"},
        {"empty cell", HEADS "\n900,20,,40,1.5\n", 2, 0, "there is no inlet"},
        {"short row", HEADS "\n900,20,30\n", 2, 0, "there is no outlet"},
        {"name twice", "point," HEADS "\na,900,20,30,40,1.5\na,901,20,30,40,1.5\n", 3, 0,
         "this name stands twice"},
        {"negative u", "u inlet [K]," HEADS "\n-0.1,900,20,30,40,1.5\n", 2, 1,
         "the uncertainty 'u inlet' is negative"},
        {"open quote", HEADS "\n900,20,\"30,40,1.5\n", 2, 8,
         "a quote is opened here and not closed on this line"},
        {"percent", "irradiance [W/m2],efficiency,T*\n900,62,0.03\n", 2, 5, "62 is no efficiency"},
        {"half a reading", "readings," HEADS "\n59.5,900,20,30,40,1.5\n", 2, 1,
         "59.5 is not a whole number from 0 to 1e15"},
        {"endless session", "session," HEADS "\n1e300,900,20,30,40,1.5\n", 2, 1,
         "1e+300 is not a whole number from -1e+15 to 1e15"},
        {"time without zone", "start," HEADS "\n2026-06-21T10:15:00,900,20,30,40,1.5\n", 2, 1,
         NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct means_list list;
        if (read(rows[i].text, &list))
            fail_msg("%s: was accepted", rows[i].name);
        const struct fault *fault = &faults.items[0];
        if (faults.n == 0 || (rows[i].found != NULL && strcmp(fault->found, rows[i].found) != 0))
            fail_msg("%s: said '%s', wanted '%s'", rows[i].name, fault->found, rows[i].found);
        if (fault->line != rows[i].line || fault->column != rows[i].column)
            fail_msg("%s: at %ld:%ld, wanted %ld:%ld", rows[i].name, fault->line, fault->column,
                     rows[i].line, rows[i].column);
        assert_int_equal(faults_status(&faults), 3);
        means_list_free(&list);
    }
}

/* All faults of a file in one go. */
static void every_fault_is_listed(void **unused)
{
    (void)unused;
    struct means_list list;
    assert_false(read(HEADS "\n900,20,x,40,1.5\n900,y,30,40,z\n900,20,30,40,1.5\n", &list));
    assert_int_equal(faults.n, 3);
    assert_int_equal(faults.items[1].line, 3);
    assert_int_equal(faults.items[2].column, 13);
    means_list_free(&list);
}

static void summaries_stand_below_all_points(void **unused)
{
    (void)unused;
#define ROW ",900,20,30,40,1.5\n"
    static const struct {
        const char *name, *text;
        size_t n, said;
        enum fault_kind kind; /* of the first that is said */
    } rows[] = {
        {"group first",
         "group,point," HEADS "\nMax,1" ROW "Max,2" ROW "Ben,1" ROW "Total,1" ROW "Total,2" ROW, 5,
         0, FAULT_NOTE},
        {"no column of names", "group," HEADS "\nBen" ROW "Mean" ROW "Mean" ROW, 3, 0, FAULT_NOTE},
        {"first point", "point," HEADS "\nMax" ROW "Ben" ROW, 2, 1, FAULT_NOTE},
        {"group behind", "point,group," HEADS "\nBen,Max" ROW "Tom,Max" ROW, 2, 0, FAULT_NOTE},
        {"name behind", "group,point," HEADS "\nA,Ben" ROW "A,Max" ROW, 2, 0, FAULT_NOTE},
        {"two below", "point," HEADS "\nBen" ROW "Mean:" ROW "\n# rest\nMax" ROW, 1, 2,
         FAULT_WARNING},
        {"below groups", "group,point," HEADS "\nMax,1" ROW "Max,2" ROW "Mean,1.5" ROW, 2, 1,
         FAULT_WARNING},
        {"between and below", "point," HEADS "\nBen" ROW "Mean" ROW "Tom" ROW "Max" ROW, 3, 2,
         FAULT_NOTE},
    };
#undef ROW
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct means_list list;
        if (!read(rows[i].text, &list))
            fail_msg("%s: refused: %s", rows[i].name, faults.items[0].found);
        if (list.n != rows[i].n || faults.n != rows[i].said)
            fail_msg("%s: %zu points, %zu said", rows[i].name, list.n, faults.n);
        if (faults.n > 0 && faults.items[0].kind != rows[i].kind)
            fail_msg("%s: said '%s'", rows[i].name, faults.items[0].found);
        means_list_free(&list);
    }
}

/* Inlet 30, outlet 37.5 degC: a rise of 7.5 K about 33.75 degC, compared to 0.35 K and half of the
 * last digit typed. */
static void worked_out_columns_may_be_rounded(void **unused)
{
    (void)unused;
    static const struct {
        const char *head, *cell, *found; /* NULL: accepted */
    } rows[] = {
        {"rise [K]", "8", NULL},
        {"rise [K]", "8.0", "the rise is typed as 8.0 K, but inlet and outlet give 7.500 K"},
        {"rise [K]", "7.8", NULL},
        {"rise [K]", "9", "the rise is typed as 9 K, but inlet and outlet give 7.500 K"},
        {"rise [K]", "9e0", "the rise is typed as 9 K, but inlet and outlet give 7.500 K"},
        {"rise [K]", "8e0", "the rise is typed as 8 K, but inlet and outlet give 7.500 K"},
        {"rise [K]", "10", "the rise is typed as 10 K, but inlet and outlet give 7.500 K"},
        {"rise [degF]", "14", NULL},
        {"rise [degF]", "12.5",
         "the rise is typed as 12.5 degF, but inlet and outlet give "
         "13.50 degF"},
        {"mean [degC]", "33", NULL},
        {"mean [degC]", "33.0",
         "the mean is typed as 33.0 degC, but inlet and outlet give "
         "33.75 degC"},
        {"mean [degF]", "90",
         "the mean is typed as 90 degF, but inlet and outlet give "
         "92.75 degF"},
        {"mean [degF]", "93", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct means_list list;
        char text[200];
        snprintf(text, sizeof text, "%s,%s\n900,20,30,37.5,1.5,%s\n", HEADS, rows[i].head,
                 rows[i].cell);
        bool good = read(text, &list);
        const char *found = good ? "accepted" : faults.items[0].found;
        if (strcmp(found, rows[i].found == NULL ? "accepted" : rows[i].found) != 0)
            fail_msg("%s %s: %s", rows[i].head, rows[i].cell, found);
        means_list_free(&list);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(units_and_order_are_the_tables_own),
        cmocka_unit_test(times_sessions_and_counts_arrive),
        cmocka_unit_test(results_are_not_read_back),
        cmocka_unit_test(wrong_tables_are_refused_with_their_place),
        cmocka_unit_test(every_fault_is_listed),
        cmocka_unit_test(summaries_stand_below_all_points),
        cmocka_unit_test(worked_out_columns_may_be_rounded),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
