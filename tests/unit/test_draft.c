/* Drafts as they are written, and filled in. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "run/setup.h"
#include "tests/unit/aid_draft.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LENGTH_OF(array) (sizeof(array) / sizeof((array)[0]))

static struct faults faults;

/* The value a person might write for a key; NULL: the line is of the time. */
static const char *answer(const char *section, const char *key)
{
    static const struct {
        const char *section; /* NULL: any */
        const char *key;
        const char *value;
    } rows[] = {
        {"[collector]", "name", "Plate Z"},
        {"[collector]", "gross area", "2.37 m2"},
        {"[instrument sun]", "unit", "W/m2"},
        {"[instrument sun]", "gain", "91.49"},
        {"[instrument flow]", "unit", "L/min"},
        {"[instrument flow]", "gain", "0.1333"},
        {"[instrument flow]", "litres per pulse", "0.0022 L"},
        {"[instrument wind]", "unit", "m/s"},
        {"[instrument sky]", "unit", "W/m2"},
        {"[instrument angle]", "unit", "deg"},
        {NULL, "unit", "degC"},
        {"[log]", "start", "2026-06-14 09:12:00"},
        {"[instrument sun]", "column", "6"},
        {"[instrument air]", "column", "4"},
        {"[instrument inlet]", "column", "2"},
        {"[instrument flow]", "column", "5"},
        {"[instrument outlet]", "column", "T9"},
        {"[log]", "time", "when, ISO 8601, UTC+1"},
    };
    for (size_t i = 0; i < LENGTH_OF(rows); i++)
        if ((rows[i].section == NULL || strcmp(rows[i].section, section) == 0) &&
            strcmp(rows[i].key, key) == 0)
            return rows[i].value;
    return NULL;
}

/* Puts an answer for every mark. Returns: how many there were. */
static size_t fill_in(const char *name, const char *draft_text, struct text *out)
{
    char section[64] = "";
    size_t n = 0;
    for (const char *line = draft_text; *line != '\0';) {
        char whole[400], key[64] = "";
        size_t length = strcspn(line, "\n");
        assert_true(length < sizeof whole);
        memcpy(whole, line, length);
        whole[length] = '\0';
        line += length + 1;
        if (whole[0] == '[')
            snprintf(section, sizeof section, "%.*s", (int)sizeof section - 1, whole);
        char *mark = strstr(whole, "# FILL IN: ");
        if (whole[0] == '#' || mark == NULL) {
            text_addf(out, "%s\n", whole);
            continue;
        }
        n++;
        sscanf(whole, "%63[^=]", key);
        char *zone = strstr(whole, "UTC+?");
        if (zone != NULL && zone < mark) {
            text_addf(out, "%.*sUTC-3:30 %s\n", (int)(zone - whole), whole, zone + 5);
            continue;
        }
        const char *value = answer(section, text_trim(key));
        if (value == NULL)
            fail_msg("%s: nothing to fill in for %s %s", name, section, key);
        text_addf(out, "%s = %s\n", text_trim(key), value);
    }
    return n;
}

static const char good_head[] = "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,"
                                "G [W/m2]\n";
#define ROW_A "2026-06-21 10:15:30,23.41,31.72,19.83,1.427,871.3\n"
#define ROW_B "2026-06-21 10:16:00,23.44,31.69,19.91,1.431,873.9\n"

struct draft_row {
    const char *name;
    const char *log;
    const char *second;
    size_t marks;         /* places to fill in */
    const char *parts[4]; /* of the description */
    const char *said[4];  /* of what was understood */
};

static const struct draft_row drafts[] = {
    {"all units in the heads",
     "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n" ROW_A ROW_B,
     NULL,
     3,
     {"time          = time, ISO 8601, UTC+?", "column        = flow_L_min",
      "unit          = L/min", "file          = a.csv"},
     {"A row every 30 s", "'1.427' L_min -> 0.0000237833 m3/s", "[log] time: the zone",
      "first 23.41, smallest 23.41, largest 23.44; 2 numbers, 0 empty, 0 not a number"}},
    {"a signal, no wind, a comment above",
     "# a logger's remark\ntime_local,t_in_C,t_out_C,t_amb_C,pyranometer_mV,flow_L_min,battery_V\n"
     "2026-04-09T11:31:00,19.9,25.1,17.68,11.3,1.427,12.97\n",
     NULL,
     4,
     {"# gain        = 81.3", "unit          = W/m2              # of gain * number + add",
      "# Columns that are not used: battery_V", "# kind        = pyranometer class A"},
     {"irradiance as a signal in mV: its gain is needed", "needs its gain",
      "not used ('battery' is none of the collector's readings)", "Looked at: all 1 row."}},
    {"zone in the stamps",
     "when,Tin,Tout,Tamb,flow,G\n2026-06-21T10:15:30+02:00,23.4,31.7,19.8,1.4,871\n",
     NULL,
     3,
     {"time          = when, ISO 8601, in stamp", NULL},
     {"The first is 2026-06-21T08:15:30 in UTC", NULL}},
    {"Z is a zone too",
     "when,Tin,Tout,Tamb,flow,G\n2026-06-21T10:15:30Z,23.4,31.7,19.8,1.4,871\n",
     NULL,
     3,
     {"ISO 8601, in stamp", NULL},
     {"unit not said", NULL}},
    {"day first, settled by 13",
     "Date,Time,T in (C),T out (C),T air (C),flow (L/h),sun (W/m2)\n"
     "12/06/2026,10:15:30,23.4,31.7,19.8,85.1,871\n13/06/2026,10:15:30,23.4,31.7,19.8,85.1,871\n",
     NULL,
     3,
     {"time          = Date + Time, %d/%m/%Y %H:%M:%S, UTC+?", NULL},
     {"reads 2 of 2 stamps", "A row every 24 h", NULL}},
    {"month first, settled by 13",
     "Date,Time,T in (C),T out (C),T air (C),flow (L/h),sun (W/m2)\n"
     "06/12/2026,10:15,23.4,31.7,19.8,85.1,871\n06/13/2026,10:15,23.4,31.7,19.8,85.1,871\n",
     NULL,
     3,
     {"time          = Date + Time, %m/%d/%Y %H:%M, UTC+?", NULL},
     {NULL}},
    {"the month's name first, the year behind a comma",
     "time;T_in [degC];T_out [degC];T_amb [degC];flow_L_min;G [W/m2]\n"
     "June 21, 2026 10:15:30;23.4;31.7;19.8;1.4;871\n",
     NULL,
     3,
     {"time          = time, %b %d, %Y %H:%M:%S, UTC+?", NULL},
     {"The first is 2026-06-21T10:15:30", NULL}},
    {"the month's name first, twelve hours",
     "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n"
     "Jun 21 2026 2:15:30 PM,23.4,31.7,19.8,1.4,871\n",
     NULL,
     3,
     {"time          = time, %b %d %Y %I:%M:%S %p, UTC+?", NULL},
     {"The first is 2026-06-21T14:15:30", NULL}},
    {"day and hour without any sign between",
     "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n"
     "20260621101530,23.4,31.7,19.8,1.4,871\n20260621101600,23.4,31.7,19.8,1.4,871\n",
     NULL,
     3,
     {"time          = time, %Y%m%d%H%M%S, UTC+?", NULL},
     {"The first is 2026-06-21T10:15:30 by", "A row every 30 s", NULL}},
    {"the same to the minute",
     "stamp,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n"
     "202606211015,23.4,31.7,19.8,1.4,871\n202606211016,23.4,31.7,19.8,1.4,871\n",
     NULL,
     3,
     {"time          = stamp, %Y%m%d%H%M, UTC+?", NULL},
     {"The first is 2026-06-21T10:15:00 by", "A row every 60 s", NULL}},
    {"days of a spreadsheet, which may count from 1904", /* 1,462 days later: four years and a day
                                                          */
     "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n"
     "44732.4166666667,23.4,31.7,19.8,1.4,871\n44732.4167824074,23.4,31.7,19.8,1.4,871\n",
     NULL,
     3,
     {"time          = time, spreadsheet days, UTC+?", "If it was on 2026-06-21",
      "then write 'spreadsheet days 1904'", NULL},
     {"The first is 2022-06-20T10:00:00",
      "from 1904, as old spreadsheets may, the first is on 2026-06-21", NULL}},
    {"settled by the second log",
     "Date,Time,T in (C),T out (C),T air (C),flow (L/h),sun (W/m2)\n"
     "06/12/2026,10:15,23.4,31.7,19.8,85.1,871\n",
     "Date,Time,T in (C),T out (C),T air (C),flow (L/h),sun (W/m2)\n"
     "06/13/2026,10:15,23.4,31.7,19.8,85.1,871\n",
     3,
     {"%m/%d/%Y %H:%M, UTC+?", "file          = b.csv", NULL},
     {"of the logs together", NULL}},
    {"day or month first: both",
     "stamp,T in (C),T out (C),T air (C),flow (L/h),sun (W/m2)\n"
     "06/12/2026 10:15,23.4,31.7,19.8,85.1,871\n",
     NULL,
     3,
     {"time          = stamp, %d/%m/%Y %H:%M, UTC+?",
      "# time        = stamp, %m/%d/%Y %H:%M, UTC+?", "# Day first or month first?", NULL},
     {"Day first or month first? No number above 12 tells", NULL}},
    {"points between: day first, said as a guess",
     "stamp,T in (C),T out (C),T air (C),flow (L/h),sun (W/m2)\n"
     "5.6.26 10:15,23.4,31.7,19.8,85.1,871\n",
     NULL,
     3,
     {"time          = stamp, %d.%m.%y %H:%M, UTC+?",
      "# time        = stamp, %m.%d.%y %H:%M, UTC+?", "# guess: the day stands first, as is usual",
      NULL},
     {"Day first is a guess: no number above 12 tells", "If the month does: %m.%d.%y %H:%M", NULL}},
    {"points between, which number is the year",
     "stamp,T in (C),T out (C),T air (C),flow (L/h),sun (W/m2)\n"
     "05.06.07 10:15,23.4,31.7,19.8,85.1,871\n",
     NULL,
     3,
     {"time          = stamp, %d.%m.%y %H:%M, UTC+?",
      "# time        = stamp, %y.%m.%d %H:%M, UTC+?",
      "# guess: the day stands first, the year last, as", NULL},
     {"Day first is a guess", "That the year stands last is a guess: %y.%m.%d %H:%M reads as many",
      NULL}},
    {"points between, month first, settled by 21",
     "stamp,T in (C),T out (C),T air (C),flow (L/h),sun (W/m2)\n"
     "06.21.2026 10:15,23.4,31.7,19.8,85.1,871\n",
     NULL,
     3,
     {"time          = stamp, %m.%d.%Y %H:%M, UTC+?", NULL},
     {"Day and month are settled: a number above 12 stands where the day is", NULL}},
    {"short, dashes between: three ways",
     "stamp,T in (C),T out (C),T air (C),flow (L/h),sun (W/m2)\n"
     "05-06-07 10:15,23.4,31.7,19.8,85.1,871\n",
     NULL,
     3,
     {"# time        = stamp, %m-%d-%y %H:%M, UTC+?",
      "# time        = stamp, %y-%m-%d %H:%M, UTC+?",
      "# Day first or month first, or the year? The rows do not tell", NULL},
     {"Day first or month first?", "That the year stands last is not sure: %y-%m-%d", NULL}},
    {"short, dashes between: day or year first",
     "stamp,T in (C),T out (C),T air (C),flow (L/h),sun (W/m2)\n"
     "21-06-26 10:15,23.4,31.7,19.8,85.1,871\n",
     NULL,
     3,
     {"# FILL IN: day first here; the zone", "# time        = stamp, %y-%m-%d %H:%M, UTC+?",
      "# Year first or day first? The rows do not tell", NULL},
     {"a number above 12 stands where the day is", "That the year stands last is not sure", NULL}},
    {"a row that has no stamp",
     "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n" ROW_A ROW_B
     "Average,23.41,31.72,19.83,1.427,871.3\n",
     NULL,
     3,
     {NULL},
     {"ISO 8601 reads 2 of 3 stamps; the first that it does not read is 'Average', on line 4. The",
      NULL}},
    {"a unit in which no number can be",
     "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [kW/m2]\n" ROW_A ROW_B,
     NULL,
     3,
     {"# 2 of the 2 numbers are impossible in kW/m2: are they W/m2?", NULL},
     {"    2 of the 2 numbers are impossible in kW/m2: are they W/m2?",
      "'871.3' kW/m2 -> 871300 W/m2 (impossible)", NULL}},
    {"a single number that cannot be",
     "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n" ROW_A ROW_B
     "2026-06-21 10:16:30,23.41,31.72,-71.3,1.427,871.3\n",
     NULL,
     3,
     {"# 1 of the 3 numbers is impossible in degC (ambient is between -60 and 70): does it mean",
      NULL},
     {"'-71.3' degC -> -71.3 degC (impossible)", NULL}},
    {"twelve hours",
     "stamp,T in (F),T out (F),T air (F),flow (gpm),sun (BTU/(h ft2))\n"
     "6/21/26 02:15:30 PM,73.4,91.7,69.8,0.51,271\n",
     NULL,
     3,
     {"%m/%d/%y %I:%M:%S %p, UTC+?", "unit          = gal/min", "unit          = degF", NULL},
     {"2026-06-21T14:15:30", NULL}},
    {"two columns claim the inlet",
     "time,A T in [degC],T out [degC],T air [degC],flow [L/min],G [W/m2],B T in [degF]\n"
     "2026-06-21 10:15:30,23.41,31.72,19.83,1.427,871.3,77.1\n",
     NULL,
     3,
     {"column        = A T in [degC]", "# column      = B T in [degF]", "# unit        = degF",
      NULL},
     {"left out: 'A T in [degC]' was taken", NULL}},
    {"a word wins over a unit alone",
     "time,Q7 [W/m2],T in [degC],T out [degC],T air [degC],flow [L/min],pyranometer [W/m2]\n"
     "2026-06-21 10:15:30,412.7,23.41,31.72,19.83,1.427,871.3\n",
     NULL,
     3,
     {"column        = pyranometer [W/m2]", "# column      = Q7 [W/m2]", NULL},
     {NULL}},
    {"no outlet, seconds since 1970",
     "unix,T_in [degC],T9,T_amb [degC],flow_L_min,G [W/m2]\n"
     "1782036930,23.41,31.72,19.83,1.427,871.3\n",
     NULL,
     4,
     {"time          = unix, Unix time, UTC", "no column was recognised as outlet temperature",
      NULL},
     {"Unix time reads 1 of 1 stamps. The first is 2026-06-21T10:15:30 in UTC", NULL}},
    {"a logger without a clock, switched on twice",
     "millis,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n"
     "1007,23.41,31.72,19.83,1.427,871\n11007,23.41,31.72,19.83,1.427,871\n"
     "998,23.41,31.72,19.83,1.427,871\n10998,23.41,31.72,19.83,1.427,871\n",
     NULL,
     4,
     {"time          = millis, milliseconds since start, UTC+?",
      "start         = ", "# The count falls 1 time in what was looked at", NULL},
     {"falls 1 time, the first on line 4: each fall is a power-up", NULL}},
    {"three rows under each minute",
     "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n"
     "2026-06-21 10:14,23.41,31.72,19.83,1.427,871\n2026-06-21 10:15,23.41,31.72,19.83,1.427,871\n"
     "2026-06-21 10:15,23.41,31.72,19.83,1.427,871\n2026-06-21 10:15,23.41,31.72,19.83,1.427,871\n"
     "2026-06-21 10:16,23.41,31.72,19.83,1.427,871\n2026-06-21 10:16,23.41,31.72,19.83,1.427,871\n"
     "2026-06-21 10:16,23.41,31.72,19.83,1.427,871\n2026-06-21 10:17,23.41,31.72,19.83,1.427,871\n"
     "2026-06-21 10:17,23.41,31.72,19.83,1.427,871\n2026-06-21 10:17,23.41,31.72,19.83,1.427,871\n"
     "2026-06-21 10:18,23.41,31.72,19.83,1.427,871\n",
     NULL,
     3,
     {"rows per stamp = 3", NULL},
     {"3 rows under each stamp, a stamp every 60 s.", NULL}},
    {"no names at all",
     ROW_A ROW_B,
     NULL,
     11,
     {"names         = none", NULL},
     {"6 columns without names, called by number", NULL}},
    {"names behind a remark's sign, below a title",
     "Roof logger 3,\n# time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n" ROW_A
         ROW_B,
     NULL,
     3,
     {"column        = T_in [degC]", NULL},
     {"6 columns, named on line 2; above the names 1 line of something else.", NULL}},
    {"station lines above, units and averaging below",
     "\"STATION\",\"roof\",\"9\",\"1.2\"\n\"TIMESTAMP\",\"T_in\",\"T_out\",\"AirT\",\"Flow\","
     "\"SlrW\"\n"
     "\"TS\",\"degC\",\"degC\",\"degC\",\"L/min\",\"W/"
     "m^2\"\n\"\",\"Smp\",\"Smp\",\"Smp\",\"Avg\",\"Avg\"\n" ROW_A ROW_B,
     NULL,
     3,
     {"column        = SlrW", NULL},
     {"named on line 2, units on line 3; above the names 1 line of something else; below them 1 "
      "line",
      NULL}},
    {"odd cells are counted and named",
     "time,T_in [degC],T_out [degC],T_amb [degC],flow_L_min,G [W/m2]\n" ROW_A
     "2026-06-21 10:16:00,ERR,-127,,NAN,873.9\n"
     "2026-06-21 10:16:30,\"23.4\"x,31.6,19.9,1.4,870\n" ROW_B,
     NULL,
     3,
     {"column        = T_in [degC]", "missing       = NAN, NA, ERR, -127", NULL},
     {"2 numbers, 0 empty, 1 'ERR' or the like, 0 not a number",
      "-127 stands 1 time exactly, first on line 3: an error code? (so write a digital",
      "2 numbers, 1 empty, 0 not a number",
      "1 line could not be cut into fields (the first is line 4)"}},
    {"a mass flow is named as such",
     "time,T_in [degC],T_out [degC],T_amb [degC],mass flow [kg/h],G [W/m2],flow meter [L/min]\n"
     "2026-06-21 10:15:30,23.41,31.72,19.83,85.6,871.3,1.427\n",
     NULL,
     3,
     {"column        = flow meter [L/min]", NULL},
     {"There are a flow meter ('flow meter [L/min]') and one that weighs", NULL}},
    {"a mass flow alone",
     "time,T_in [degC],T_out [degC],T_amb [degC],mass flow [kg/h],G [W/m2]\n"
     "2026-06-21 10:15:30,23.41,31.72,19.83,85.6,871.3\n",
     NULL,
     3,
     {"measures      = mass flow", "column        = mass flow [kg/h]", NULL},
     {NULL}},
    {"names that a description cannot hold",
     "time,T_in [degC],T_in [degC],T in # 3 [degC],supply [degC],T_out [degC],T_amb [degC],"
     "flow_L_min,G [W/m2]\n"
     "2026-06-21 10:15:30,1,2,3,23.41,31.72,19.83,1.427,871.3\n",
     NULL,
     3,
     {"column        = supply [degC]", NULL},
     {"its name stands more than once", "which begins a comment in a description", NULL}},
};

static void check_filled(const struct draft_row *row, const char *text)
{
    struct text filled = {0};
    struct test_setup setup;
    size_t marks = fill_in(row->name, text, &filled);
    if (marks != row->marks)
        fail_msg("%s: %zu marks, expected %zu in\n%s", row->name, marks, row->marks, text);
    setup_init(&setup);
    faults_init(&faults);
    if (!setup_parse("filled.txt", text_string(&filled), filled.length, &setup, &faults)) {
        faults_print(&faults, "test", stderr);
        fail_msg("%s: refused after filling in\n%s", row->name, text_string(&filled));
    }
    if (setup.collector.area_m2 != 2.37)
        aid_draft_fail(row->name, "area", "not as filled in");
    setup_free(&setup);
    text_free(&filled);
}

static void drafts_are_accepted_once_filled_in(void **state)
{
    (void)state;
    for (size_t i = 0; i < LENGTH_OF(drafts); i++) {
        const struct draft_row *row = &drafts[i];
        struct text understood = {0}, description = {0};
        if (!aid_draft(row->log, row->second, &understood, &description, &faults)) {
            faults_print(&faults, "test", stderr);
            fail_msg("%s: no draft", row->name);
        }
        for (size_t k = 0; k < 4 && row->parts[k] != NULL; k++)
            aid_draft_want(row->name, text_string(&description), row->parts[k]);
        for (size_t k = 0; k < 4 && row->said[k] != NULL; k++)
            aid_draft_want(row->name, text_string(&understood), row->said[k]);
        check_filled(row, text_string(&description));
        text_free(&understood);
        text_free(&description);
    }
}

/* As drafted, a description is refused at each mark, with what to write there. */
static void a_draft_is_refused_until_filled_in(void **state)
{
    (void)state;
    struct text understood = {0}, description = {0}, log = {0};
    struct test_setup setup;
    text_addf(&log, "%s%s", good_head, ROW_A);
    assert_true(aid_draft(text_string(&log), NULL, &understood, &description, &faults));
    setup_init(&setup);
    faults_init(&faults);
    assert_false(
        setup_parse("draft.txt", text_string(&description), description.length, &setup, &faults));
    static const char *const found[] = {"'name' has no value", "'gross area' has no value",
                                        "still lacks the zone"};
    for (size_t i = 0; i < LENGTH_OF(found); i++) {
        bool said = false;
        for (size_t k = 0; k < faults.n; k++)
            said = said || (strstr(faults.items[k].found, found[i]) != NULL &&
                            faults.items[k].line > 0 && faults.items[k].hint[0] != '\0');
        if (!said)
            aid_draft_fail("refused", "not said", found[i]);
    }
    setup_free(&setup);
    text_free(&log);
    text_free(&understood);
    text_free(&description);
}

static void only_the_first_rows_are_read(void **state)
{
    (void)state;
    struct text understood = {0}, description = {0}, log = {0};
    text_add(&log, good_head);
    for (int i = 0; i < 1003; i++)
        text_addf(&log, "2026-06-21 %02d:%02d:%02d,23.4,31.7,19.8,1.427,871.3\n", 10 + i / 3600,
                  i / 60 % 60, i % 60);
    assert_true(aid_draft(text_string(&log), NULL, &understood, &description, &faults));
    aid_draft_want("rows", text_string(&understood), "Looked at: all 1003 rows.");
    aid_draft_want("rows", text_string(&understood), "ISO 8601 reads 1003 of 1003 stamps.");
    aid_draft_want("rows", text_string(&understood), "A row every 1 s.\n");
    text_free(&log);
    text_free(&understood);
    text_free(&description);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drafts_are_accepted_once_filled_in),
        cmocka_unit_test(a_draft_is_refused_until_filled_in),
        cmocka_unit_test(only_the_first_rows_are_read),
    };
    return cmocka_run_group_tests(tests, aid_draft_begin, aid_draft_end);
}
