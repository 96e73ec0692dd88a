#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "draft/draft.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Heads of the families of logs that people bring; all of them are invented, and what each must be
 * taken for, and what must be asked, was judged by hand. In a row '@' stands for minutes and
 * seconds, '~' for a digit that changes, '$' for the number of the row. */

#define LENGTH_OF(array) (sizeof(array) / sizeof((array)[0]))

enum { ROWS = 60, FOUND = 8, ASKED = 8 };

struct head_case {
    const char *name;
    const char *head;
    const char *row;
    const char *found[FOUND]; /* "inlet|T_in [degC]|degC": channel, column, unit ("" if asked) */
    const char *asked[ASKED]; /* "[log] time"; name and area of the collector are asked always */
};

#define ZONE "[log] time"

static const struct head_case cases[] = {
    {"ISO stamps, units in brackets",
     "time,T_in [degC],T_out [degC],T_amb [degC],flow [L/min],G [W/m2]\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,1.42,87~.3\n",
     {"inlet|T_in [degC]|degC", "outlet|T_out [degC]|degC", "ambient|T_amb [degC]|degC",
      "flow|flow [L/min]|L/min", "irradiance|G [W/m2]|W/m2"},
     {ZONE}},
    {"tabs, point",
     "time\tT_in (C)\tT_out (C)\tT_air (C)\tflow (L/h)\tsun (W/m2)\n",
     "2026-06-21 10:@\t23.4~\t31.7~\t19.8~\t85.2\t87~.3\n",
     {"flow|flow (L/h)|L/h", "irradiance|sun (W/m2)|W/m2"},
     {ZONE}},
    {"tabs, decimal comma",
     "Zeit;time\tT_in (C)\tT_out (C)\tT_air (C)\tflow (L/h)\tsun (W/m2)\n",
     "2026-06-21 10:@\t23,4~\t31,7~\t19,8~\t85,2\t87~,3\n",
     {"inlet|T_in (C)|degC", "flow|flow (L/h)|L/h"},
     {ZONE}},
    {"semicolons, decimal comma, points in the date",
     "Date;Time;Inlet \xc2\xb0"
     "C;Outlet \xc2\xb0"
     "C;Outside \xc2\xb0"
     "C;Flow l/min;Global tilted W/m\xc2\xb2\n",
     "21.06.2026;10:@;23,4~;31,7~;19,8~;1,42;87~,3\n",
     {"inlet|Inlet \xc2\xb0"
      "C|degC",
      "irradiance|Global tilted W/m\xc2\xb2|W/m2", "flow|Flow l/min|L/min"},
     {ZONE}},
    {"semicolons, decimal point",
     "stamp;Tin_C;Tout_C;Tamb_C;flow_L_min;G_W_m2\n",
     "2026-06-21T10:@;23.4~;31.7~;19.8~;1.42;87~.3\n",
     {"inlet|Tin_C|degC", "flow|flow_L_min|L/min", "irradiance|G_W_m2|W/m2"},
     {ZONE}},
    {"semicolons, no decimal sign at all",
     "stamp;in [degC];out [degC];air [degC];flow [L/h];G [W/m2]\n",
     "2026-06-21T10:@;23;32;2~;85;87~\n",
     {"inlet|in [degC]|degC", "outlet|out [degC]|degC"},
     {ZONE}},
    {"quoted fields",
     "\"time\",\"T in, degC\",\"T out, degC\",\"T air, degC\",\"flow, L/min\",\"sun, W/m2\"\n",
     "\"2026-06-21 10:@\",23.4~,31.7~,19.8~,1.42,87~.3\n",
     {"inlet|T in, degC|degC", "flow|flow, L/min|L/min"},
     {ZONE}},
    {"a row of units",
     "time,T_in,T_out,T_air,Flow,Sun\n,degC,degC,degC,L/min,W/m2\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,1.42,87~.3\n",
     {"inlet|T_in|degC", "flow|Flow|L/min", "irradiance|Sun|W/m2"},
     {ZONE}},
    {"rows of units and of averaging, a wrapped counter",
     "\"TIMESTAMP\",\"RECORD\",\"SlrW_Avg\",\"AirT\",\"T_in\",\"T_out\",\"Flow\",\"WS\"\n"
     "\"TS\",\"RN\",\"W/m^2\",\"Deg C\",\"Deg C\",\"Deg C\",\"L/min\",\"meters/second\"\n"
     "\"\",\"\",\"Avg\",\"Smp\",\"Smp\",\"Smp\",\"Smp\",\"Smp\"\n",
     "\"2026-06-21 10:@\",$,81~.3,21.3,30.0~,38.2,2.1,\"NAN\"\n",
     {"irradiance|SlrW_Avg|W/m2", "ambient|AirT|degC", "inlet|T_in|degC", "flow|Flow|L/min",
      "wind|WS|m/s"},
     {ZONE}},
    {"units that contradict each other",
     "time,T_in [degC],T_out [degC],T_air [degC],flow [L/min],G "
     "[W/m2]\n,degF,degC,degC,L/min,W/m2\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,1.42,87~.3\n",
     {"inlet|T_in [degC]|", "outlet|T_out [degC]|degC"},
     {ZONE, "[instrument inlet] unit"}},
    {"comments above, micro-controller",
     "# rig 2, firmware 1.7\n# started\ntime,t_in,t_out,t_amb,lpm,sun\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,1.42,87~\n",
     {"inlet|t_in|degC", "outlet|t_out|degC", "ambient|t_amb|degC", "irradiance|sun|W/m2",
      "flow|lpm|L/min"},
     {ZONE}},
    {"thermometers without names",
     "time,T1,T2,T3,G,flow_L_min\n",
     "2026-06-21 10:@,4~.25,5~.5,19.8~,87~,1.42\n",
     {"inlet|T1|degC", "outlet|T2|degC", "ambient|T3|degC", "irradiance|G|W/m2"},
     {ZONE}},
    {"two thermometers without names",
     "time,T_air,T1,T2,G,flow_L_min\n",
     "2026-06-21 10:@,19.8~,31.7~,23.4~,87~,1.42\n",
     {"inlet|T2|degC", "outlet|T1|degC", "ambient|T_air|degC"},
     {ZONE}},
    {"thermometers that cannot be told apart",
     "time,T1,T2,T3,G,flow_L_min\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,87~,1.42\n",
     {"irradiance|G|W/m2"},
     {ZONE, "[instrument air] column", "[instrument air] unit", "[instrument inlet] column",
      "[instrument inlet] unit", "[instrument outlet] column", "[instrument outlet] unit"}},
    {"sunshine without a name",
     "time,T_in_C,T_out_C,T_amb_C,flow_L_min,ch7\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,1.42,87~\n",
     {"irradiance|ch7|W/m2"},
     {ZONE}},
    {"US units in the names",
     "Date,Time,Tin_F,Tout_F,Tamb_F,Flow gpm,sun (BTU/(h ft2)),wind (mph)\n",
     "06/21/26,02:@ PM,73.4,91.~,69.8,0.51,27~,4.2\n",
     {"inlet|Tin_F|degF", "flow|Flow gpm|gal/min", "irradiance|sun (BTU/(h ft2))|BTU/(h ft2)",
      "wind|wind (mph)|mile/h"},
     {ZONE}},
    {"US units that the numbers tell",
     "Time,T in,T out,T air,flow [gpm],G [W/m2]\n",
     "2026-06-21 10:@,85.4,95.~,68.~,0.51,87~\n",
     {"inlet|T in|degF", "outlet|T out|degF", "ambient|T air|degF"},
     {ZONE}},
    {"warm water, cold air: degC or degF",
     "Time,T in,T out,T air,flow [L/min],G [W/m2]\n",
     "2026-06-21 10:@,55.4,65.~,28.~,1.51,87~\n",
     {"inlet|T in|", "outlet|T out|", "ambient|T air|"},
     {ZONE, "[instrument inlet] unit", "[instrument outlet] unit", "[instrument air] unit"}},
    {"a dull day or another unit",
     "Time,T_in_F,T_out_F,T_air_F,flow [gpm],sun\n",
     "2026-06-21 10:@,85.4,95.~,68.~,0.51,27~\n",
     {"irradiance|sun|"},
     {ZONE, "[instrument sun] unit"}},
    {"sunshine in kilowatts",
     "Time,T_in_C,T_out_C,T_air_C,flow [L/min],sun\n",
     "2026-06-21 10:@,25.4,35.~,18.~,1.51,0.87~\n",
     {"irradiance|sun|kW/m2"},
     {ZONE}},
    {"flow in litres an hour, by the heat",
     "Time,T_in_C,T_out_C,T_air_C,flow,G [W/m2]\n",
     "2026-06-21 10:@,25.4,41.~,18.~,75.3,87~\n",
     {"flow|flow|L/h"},
     {ZONE}},
    {"flow in litres or gallons a minute",
     "Time,T_in_C,T_out_C,T_air_C,flow,G [W/m2]\n",
     "2026-06-21 10:@,25.4,33.~,18.~,1.51,87~\n",
     {"flow|flow|"},
     {ZONE, "[instrument flow] unit"}},
    {"a pulse counter",
     "time,T_in_C,T_out_C,T_amb_C,flow_pulses,G_W_m2\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,10$,87~\n",
     {"flow|flow_pulses|pulses"},
     {ZONE, "[instrument flow] litres per pulse"}},
    {"a frequency of a turbine",
     "time,T_in_C,T_out_C,T_amb_C,flow (Hz),G_W_m2\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,10.7,87~\n",
     {"flow|flow (Hz)|Hz"},
     {ZONE, "[instrument flow] litres per pulse"}},
    {"a pyranometer's millivolts",
     "time,T_in_C,T_out_C,T_amb_C,flow_L_min,pyranometer_mV\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,1.42,11.~\n",
     {"irradiance|pyranometer_mV|W/m2"},
     {ZONE, "[instrument sun] gain"}},
    {"a mass flow meter beside another one",
     "time,T_in_C,T_out_C,T_amb_C,mass flow [kg/h],G_W_m2,flow [L/min]\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,85.4,87~,1.42\n",
     {"flow|flow [L/min]|L/min"},
     {ZONE}},
    {"a mass flow meter alone",
     "time,T_in_C,T_out_C,T_amb_C,mass flow [kg/h],G_W_m2\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,85.4,87~\n",
     {"mass flow|mass flow [kg/h]|kg/h"},
     {ZONE}},
    {"zone in the stamps",
     "time,T_in_C,T_out_C,T_amb_C,flow_L_min,G_W_m2\n",
     "2026-06-21T10:@+02:00,23.4~,31.7~,19.8~,1.42,87~\n",
     {"inlet|T_in_C|degC"},
     {NULL}},
    {"battery, gusts and a tank are not the collector's",
     "time,T_in_C,T_out_C,T_amb_C,flow_L_min,G_W_m2,battery_V,wind gust [m/s],T_tank_C\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,1.42,87~,12.7,4.2,55.1\n",
     {"inlet|T_in_C|degC"},
     {ZONE}},
    {"diffuse light and angle",
     "time,T_in_C,T_out_C,T_amb_C,flow_L_min,G [W/m2],G diffuse [W/m2],Angle of incidence [deg]\n",
     "2026-06-21 10:@,23.4~,31.7~,19.8~,1.42,87~,104.~,11.2\n",
     {"diffuse|G diffuse [W/m2]|W/m2", "incidence|Angle of incidence [deg]|deg",
      "irradiance|G [W/m2]|W/m2"},
     {ZONE}},
    {"a spreadsheet's empty columns and error texts",
     "Time;T in C;T out C;T air C;flow l/h;sun W/m2;;\n",
     "21/06/2026 10:@;23,4~;31,7~;19,8~;85,2;87~;;#N/A\n",
     {"inlet|T in C|degC", "flow|flow l/h|L/h"},
     {ZONE}},
    {"kelvin",
     "time,inlet [K],outlet [K],ambient [K],flow [m3/h],irradiance [kW/m2]\n",
     "2026-06-21 10:@,303.4,311.7,292.~,0.085,0.87~\n",
     {"inlet|inlet [K]|K", "flow|flow [m3/h]|m3/h", "irradiance|irradiance [kW/m2]|kW/m2"},
     {ZONE}},
    {"milliseconds since the start",
     "millis,T_in_C,T_out_C,T_amb_C,flow_L_min,G_W_m2\n",
     "1$000,23.4~,31.7~,19.8~,1.42,87~\n",
     {"inlet|T_in_C|degC"},
     {ZONE, "[log] start"}},
    {"seconds since 1970",
     "ts,T_in_C,T_out_C,T_amb_C,flow_L_min,G_W_m2\n",
     "1782036$,23.4~,31.7~,19.8~,1.42,87~\n",
     {"inlet|T_in_C|degC"},
     {NULL}},
    {"a spreadsheet's days, decimal comma",
     "Time;T_in_C;T_out_C;T_amb_C;flow_L_min;G_W_m2\n",
     "46194,5$;23,4~;31,7~;19,8~;1,42;87~\n",
     {"inlet|T_in_C|degC"},
     {ZONE}},
    {"names of months",
     "Time,T_in_C,T_out_C,T_amb_C,flow_L_min,G_W_m2\n",
     "21-Jun-2026 10:@,23.4~,31.7~,19.8~,1.42,87~\n",
     {"inlet|T_in_C|degC"},
     {ZONE}},
    {"day or month first",
     "Date,Time,T_in_C,T_out_C,T_amb_C,flow_L_min,G_W_m2\n",
     "06/07/2026,10:@,23.4~,31.7~,19.8~,1.42,87~\n",
     {"inlet|T_in_C|degC"},
     {ZONE}},
};

static struct faults faults;
static char path[128];

static int set_up(void **state)
{
    (void)state;
    const char *tmp = getenv("TMPDIR");
    snprintf(path, sizeof path, "%s/draft-heads-XXXXXX", tmp != NULL ? tmp : P_tmpdir);
    int fd = mkstemp(path);
    return fd < 0 || close(fd) != 0;
}

static int tear_down(void **state)
{
    (void)state;
    return unlink(path);
}

static void put_row(const char *row, int i, FILE *file)
{
    for (const char *c = row; *c != '\0'; c++) {
        if (*c == '@')
            fprintf(file, "%02d:%02d", i / 4, i % 4 * 15);
        else if (*c == '~')
            fprintf(file, "%d", i * 7 % 10);
        else if (*c == '$')
            fprintf(file, "%03d", i);
        else
            fputc(*c, file);
    }
}

static void put_log(const struct head_case *row)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    fputs(row->head, file);
    for (int i = 0; i < ROWS; i++)
        put_row(row->row, i, file);
    assert_int_equal(fclose(file), 0);
}

/* The value of a key in a section whose text begins at `at`; "" if it is asked for. */
static const char *value_of(const char *at, const char *key, char out[128])
{
    const char *end = strstr(at, "\n[");
    char head[32];
    snprintf(head, sizeof head, "\n%-13s =", key);
    const char *line = strstr(at, head);
    out[0] = '\0';
    if (line == NULL || (end != NULL && line > end))
        return "absent";
    line += strlen(head);
    size_t n = strcspn(line, "\n");
    for (size_t i = 0; i + 1 < n; i++)
        if (line[i] == ' ' && line[i + 1] == '#')
            n = i;
    snprintf(out, 128, "%.*s", (int)n, line);
    return text_trim(out);
}

static void check_found(const struct head_case *row, const char *want, const char *description)
{
    char found[300], channel[32], column[128], unit[128], measures[64];
    snprintf(channel, sizeof channel, "%.*s", (int)strcspn(want, "|"), want);
    snprintf(measures, sizeof measures, "\nmeasures      = %s ", channel);
    const char *at = strstr(description, measures);
    if (at == NULL)
        fail_msg("%s: no instrument measures %s in\n%s", row->name, channel, description);
    snprintf(found, sizeof found, "%s|%s|%s", channel, value_of(at, "column", column),
             value_of(at, "unit", unit));
    if (strcmp(found, want) != 0)
        fail_msg("%s: found %s, expected %s", row->name, found, want);
}

static void check_asked(const struct head_case *row, const char *understood)
{
    const char *list = strstr(understood, "\nTo be filled in by hand");
    assert_non_null(list);
    size_t lines = 0, wanted = 2;
    for (const char *at = strstr(list, "\n  ["); at != NULL; at = strstr(at + 1, "\n  ["))
        lines++;
    for (size_t i = 0; i < ASKED && row->asked[i] != NULL; i++) {
        char line[80];
        snprintf(line, sizeof line, "\n  %s: ", row->asked[i]);
        wanted++;
        if (strstr(list, line) == NULL)
            fail_msg("%s: %s is not asked for in %s", row->name, row->asked[i], list);
    }
    if (row->asked[ASKED - 1] == NULL && lines != wanted)
        fail_msg("%s: %zu places to fill in, expected %zu:%s", row->name, lines, wanted, list);
}

static void heads_of_all_families(void **state)
{
    (void)state;
    assert_true(LENGTH_OF(cases) >= 30);
    for (size_t i = 0; i < LENGTH_OF(cases); i++) {
        const char *logs[] = {path};
        struct text understood = {0}, description = {0};
        put_log(&cases[i]);
        faults_init(&faults);
        if (!draft_write(logs, 1, NULL, NULL, &understood, &description, NULL, &faults)) {
            faults_print(&faults, "test", stderr);
            fail_msg("%s: no draft", cases[i].name);
        }
        for (size_t k = 0; k < FOUND && cases[i].found[k] != NULL; k++)
            check_found(&cases[i], cases[i].found[k], text_string(&description));
        check_asked(&cases[i], text_string(&understood));
        text_free(&understood);
        text_free(&description);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heads_of_all_families),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
