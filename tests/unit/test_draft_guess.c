#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "domain/words.h"
#include "draft/guess.h"

#include <string.h>

#define LENGTH_OF(array) (sizeof(array) / sizeof((array)[0]))

static void fail_row(const char *name, const char *what, const char *found)
{
    fail_msg("%s: %s: %s", name, what, found);
}

/* Heads as people write them; what each must be taken for was judged by hand. */
static void heads_are_understood(void **state)
{
    static const struct {
        const char *head;
        enum guess_kind kind;
        enum channel channel;
        const char *unit; /* NULL: none */
        bool raw;
    } rows[] = {
        {"T_in [degC]", GUESS_CHANNEL, CH_INLET, "degC", false},
        {"T in (\xc2\xb0"
         "C)",
         GUESS_CHANNEL, CH_INLET, "degC", false},
        {"t_in_C", GUESS_CHANNEL, CH_INLET, "degC", false},
        {"Tin", GUESS_CHANNEL, CH_INLET, NULL, false},
        {"Ti [degC]", GUESS_CHANNEL, CH_INLET, "degC", false},
        {"T_i", GUESS_CHANNEL, CH_INLET, NULL, false},
        {"tIn_F", GUESS_CHANNEL, CH_INLET, "degF", false},
        {"cold water", GUESS_CHANNEL, CH_INLET, NULL, false},
        {"Supply temp, \xc2\xb0"
         "C",
         GUESS_CHANNEL, CH_INLET, "degC", false},
        {"T_solar_in [K]", GUESS_CHANNEL, CH_INLET, "K", false},
        {"TOut", GUESS_CHANNEL, CH_OUTLET, NULL, false},
        {"To", GUESS_CHANNEL, CH_OUTLET, NULL, false},
        {"from to", GUESS_NONE, CH_COUNT, NULL, false},
        {"Return (\xe2\x84\x83)", GUESS_CHANNEL, CH_OUTLET, "degC", false},
        {"hot_C", GUESS_CHANNEL, CH_OUTLET, "degC", false},
        {"outside air", GUESS_CHANNEL, CH_AMBIENT, NULL, false},
        {"t_amb_C", GUESS_CHANNEL, CH_AMBIENT, "degC", false},
        {"T_a", GUESS_CHANNEL, CH_AMBIENT, NULL, false},
        {"G tilt", GUESS_CHANNEL, CH_IRRADIANCE, NULL, false},
        {"G_W_m2", GUESS_CHANNEL, CH_IRRADIANCE, "W/m2", false},
        {"solar (W/m\xc2\xb2)", GUESS_CHANNEL, CH_IRRADIANCE, "W/m2", false},
        {"sun (BTU/(h ft2))", GUESS_CHANNEL, CH_IRRADIANCE, "BTU/(h ft2)", false},
        {"sun_Wm2", GUESS_CHANNEL, CH_IRRADIANCE, "W/m2", false},
        {"Irradiance in plane", GUESS_CHANNEL, CH_IRRADIANCE, NULL, false},
        {"pyranometer_mV", GUESS_CHANNEL, CH_IRRADIANCE, NULL, true},
        {"Q7 [W/m2]", GUESS_CHANNEL, CH_IRRADIANCE, "W/m2", false},
        {"G diffuse", GUESS_CHANNEL, CH_DIFFUSE, NULL, false},
        {"Diffus [W/m2]", GUESS_CHANNEL, CH_DIFFUSE, "W/m2", false},
        {"solar radiation, diffuse", GUESS_CHANNEL, CH_DIFFUSE, NULL, false},
        {"G_d [W/m2]", GUESS_CHANNEL, CH_DIFFUSE, "W/m2", false},
        {"flow_L_min", GUESS_CHANNEL, CH_FLOW, "L/min", false},
        {"vfr_l_per_min", GUESS_CHANNEL, CH_FLOW, "L/min", false},
        {"flow in [m\xc2\xb3/h]", GUESS_CHANNEL, CH_FLOW, "m3/h", false},
        {"Flow gpm", GUESS_CHANNEL, CH_FLOW, "gal/min", false},
        {"FlowLPM", GUESS_CHANNEL, CH_FLOW, "L/min", false},
        {"SolarWm2", GUESS_CHANNEL, CH_IRRADIANCE, "W/m2", false},
        {"TinDegC", GUESS_CHANNEL, CH_INLET, "degC", false},
        {"SolarkWm2", GUESS_CHANNEL, CH_IRRADIANCE, "kW/m2", false},
        {"FlowmLmin", GUESS_CHANNEL, CH_FLOW, "mL/min", false},
        {"FlowKgH", GUESS_CHANNEL, CH_MASS_FLOW, "kg/h", false},
        {"Flow_gs", GUESS_CHANNEL, CH_MASS_FLOW, "g/s", false},
        {"FlowStreamLPM", GUESS_CHANNEL, CH_FLOW, NULL, false},
        {"SolarRad", GUESS_CHANNEL, CH_IRRADIANCE, NULL, false},
        {"InletF", GUESS_CHANNEL, CH_INLET, NULL, false},
        {"WindMean", GUESS_CHANNEL, CH_WIND, NULL, false},
        {"flow_pulses", GUESS_CHANNEL, CH_FLOW, NULL, true},
        {"flow (Hz)", GUESS_CHANNEL, CH_FLOW, NULL, true},
        {"wind_m_s", GUESS_CHANNEL, CH_WIND, "m/s", false},
        {"air speed m/s", GUESS_CHANNEL, CH_WIND, "m/s", false},
        {"L/min", GUESS_CHANNEL, CH_FLOW, "L/min", false},
        {"l/h", GUESS_CHANNEL, CH_FLOW, "L/h", false},
        {"gpm", GUESS_CHANNEL, CH_FLOW, "gal/min", false},
        {"W/m2", GUESS_CHANNEL, CH_IRRADIANCE, "W/m2", false},
        {"m/s", GUESS_CHANNEL, CH_WIND, "m/s", false},
        {"wind_ms", GUESS_CHANNEL, CH_WIND, "m/s", false},
        {"Windspeed ms", GUESS_CHANNEL, CH_WIND, "m/s", false},
        {"delay_ms", GUESS_NONE, CH_COUNT, NULL, false},
        {"t_ms", GUESS_NONE, CH_COUNT, NULL, false},
        {"Gdiff_Wm2", GUESS_CHANNEL, CH_DIFFUSE, "W/m2", false},
        {"G_diff [W/m2]", GUESS_CHANNEL, CH_DIFFUSE, "W/m2", false},
        {"T diff [K]", GUESS_NONE, CH_COUNT, "K", false},
        {"Angle of incidence [deg]", GUESS_CHANNEL, CH_INCIDENCE, "deg", false},
        {"T in (deg)", GUESS_CHANNEL, CH_INLET, NULL, false},
        {"flow [kg/h]", GUESS_CHANNEL, CH_MASS_FLOW, "kg/h", false},
        {"m dot [kg/h]", GUESS_CHANNEL, CH_MASS_FLOW, "kg/h", false},
        {"mass flow [kg/h]", GUESS_CHANNEL, CH_MASS_FLOW, "kg/h", false},
        {"solar power [kW]", GUESS_OTHER_UNIT, CH_IRRADIANCE, NULL, false},
        {"Water total (m3)", GUESS_CHANNEL, CH_FLOW, "m3", false},
        {"V_total_L", GUESS_CHANNEL, CH_FLOW, "L", false},
        {"counter [gal]", GUESS_CHANNEL, CH_FLOW, "gal", false},
        {"tank volume (L)", GUESS_NONE, CH_COUNT, NULL, false},
        {"T_in_L", GUESS_CHANNEL, CH_INLET, NULL, false},
        {"X (m3)", GUESS_NONE, CH_COUNT, "m3", false},
        {"Heat total (kWh)", GUESS_CHANNEL, CH_METERED, "kWh", false},
        {"E_total_kWh", GUESS_CHANNEL, CH_METERED, "kWh", false},
        {"heat meter MJ", GUESS_CHANNEL, CH_METERED, "MJ", false},
        {"Thermal power [kW]", GUESS_CHANNEL, CH_METERED, "kW", false},
        {"pump energy (kWh)", GUESS_NONE, CH_COUNT, NULL, false},
        {"PV power (kW)", GUESS_NONE, CH_COUNT, NULL, false},
        {"heat", GUESS_NONE, CH_COUNT, NULL, false},
        {"fan (W)", GUESS_NONE, CH_COUNT, "W", false},
        {"T1", GUESS_NONE, CH_COUNT, NULL, false},
        {"logger_T_C", GUESS_NONE, CH_COUNT, NULL, false},
        {"battery_V", GUESS_NONE, CH_COUNT, NULL, false},
        {"wind direction", GUESS_NONE, CH_COUNT, NULL, false},
        {"T_in_max", GUESS_NONE, CH_COUNT, NULL, false},
        {"T flow", GUESS_NONE, CH_COUNT, NULL, false},
        {"pump", GUESS_NONE, CH_COUNT, NULL, false},
    };
    (void)state;
    for (size_t i = 0; i < LENGTH_OF(rows); i++) {
        struct guess guess;
        guess_column(rows[i].head, "", &guess);
        const char *unit = guess.unit == NULL ? "none" : guess.unit->name;
        if (guess.kind != rows[i].kind || guess.raw != rows[i].raw)
            fail_row(rows[i].head, "kind", guess.why);
        if (guess.channel != rows[i].channel)
            fail_row(rows[i].head, "channel",
                     guess.channel == CH_COUNT ? "none" : channel_row(guess.channel)->word);
        if (strcmp(unit, rows[i].unit == NULL ? "none" : rows[i].unit) != 0)
            fail_row(rows[i].head, "unit", unit);
        if (guess.kind != GUESS_NONE && guess.why[0] == '\0')
            fail_row(rows[i].head, "why", "not said");
    }
}

/* A row of the table that another row always hides would be dead: each must be able to speak. */
static void every_word_speaks(void **state)
{
    (void)state;
    size_t n;
    const struct word_row *rows = words_table(&n);
    assert_true(n > 30);
    for (size_t i = 0; i < n; i++) {
        struct name_words words;
        struct word_claim claims[CH_LOGGED];
        words_cut(rows[i].words, &words);
        words_claims(&words, claims);
        if (claims[rows[i].channel].weight < rows[i].weight)
            fail_row(rows[i].words, "its own channel", "not claimed");
        if (words_refusal(&words) != NULL)
            fail_row(rows[i].words, "refused by", words_refusal(&words));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heads_are_understood),
        cmocka_unit_test(every_word_speaks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
