#include "run/reduction_log.h"

#include "run/checks.h"
#include "run/setup_counts.h"
#include "run/setup_heat.h"
#include "run/setup_log.h"
#include "run/sun_means.h"
#include "run/swaps.h"
#include "run/words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool tell_progress(void *state, const struct block *block, struct faults *faults)
{
    const struct reduction *r = state;
    (void)faults;
    progress_tell(r->progress, r->angles_refused ? "reading again" : "reading", block->bytes_done,
                  log_set_bytes(&r->logs));
    return true;
}

/* The chain: reader -> derived channels -> windows and timeline. */
static bool read_chain(struct reduction *r, struct derived *derived, struct faults *faults)
{
    struct sink sinks[] = {
        derived_sink(derived), night_sink(&r->night), {.state = r, .take = tell_progress}};
    if (!log_set_read(&r->logs, sinks, 3, faults))
        return false;
    /* The means change hands: the points are the windows. */
    r->means = (struct means_list){r->finder.means, r->finder.n_windows, r->finder.capacity};
    r->finder.means = NULL;
    return true;
}

/* Both are initialised before either may fail, so that reduction_free can free them. */
static bool begin(struct reduction *r, struct faults *faults)
{
    struct rules judged_by = r->rules;
    judged_by.rule[RULE_INCIDENCE_MOST].value.on &= !r->keeps_oblique;
    bool good = finder_init(&r->finder, &judged_by, log_set_zone(&r->logs), faults);
    good &= timeline_init(&r->timeline, faults);
    r->from_log = true;
    for (size_t i = 0; i < r->setup.log.n_exclusions; i++)
        good = good && finder_exclude(&r->finder, r->setup.log.exclusions[i].start_us,
                                      r->setup.log.exclusions[i].end_us, faults);
    return good && swaps_keep_apart(r, faults);
}

/* Under a lamp it is dark when the lamp is off, whatever the sun does; and of a place that the
 * sunshine contradicts nobody knows when it is night. */
static void know_night(struct reduction *r)
{
    const struct site *site = &r->setup.site;
    night_init(&r->night);
    if (!r->angles.lamp && !r->angles_refused && site_has_place(site))
        night_place(&r->night, site->latitude_rad.value, site->longitude_rad.value,
                    site->altitude_m.value);
}

/* In: angles   by which derived channels are formed
 *     n_sinks  2: windows and timeline; 3: clear days as well */
static bool read_with(struct reduction *r, const struct angles *angles, size_t n_sinks,
                      struct derived *derived, struct faults *faults)
{
    struct sink sinks[] = {finder_sink(&r->finder), timeline_sink(&r->timeline),
                           clear_days_sink(&r->clear_days)};
    const struct fluid_choice *choice = &r->setup.fluid_choice;
    if (!derived_init(derived, &r->setup.fluid, choice->meter_at.index == METER_AT_OUTLET,
                      llround(choice->transit_s.value * 1e6), sinks, n_sinks, faults))
        return false;
    for (int k = 0; k < COUNTED; k++) {
        struct pulse_meter meter = setup_pulse_meter(&r->setup, (enum counted_kind)k);
        derived_count(derived, (enum counted_kind)k, &meter);
        if (meter.form != PULSES_NONE && meter.form != PULSES_RATE)
            finder_count(&r->finder, (enum counted_kind)k, meter.per_pulse);
    }
    if (setup_heat_by_meter(&r->setup))
        finder_need(&r->finder, CH_METERED);
    derived_know_angles(derived, angles);
    know_night(r);
    bool good = read_chain(r, derived, faults);
    memcpy(r->pulses, derived->pulses, sizeof r->pulses);
    derived_free(derived);
    return good;
}

static bool read_once(struct reduction *r, struct faults *faults)
{
    struct derived derived;
    if (!log_set_plan(&r->logs, &r->setup, r->threads, faults) || !begin(r, faults))
        return false;
    r->clock_asked = setup_clock_can_be_asked(&r->setup);
    clear_days_init(&r->clear_days, r->setup.site.longitude_rad.value);
    r->finder.weigh_incidence = setup_angles_from_sun(&r->setup);
    if (!read_with(r, &r->angles, r->clock_asked ? 3 : 2, &derived, faults))
        return false;
    r->angles = derived.angles;
    return checks_same_log(&r->checks_logs, &r->logs, faults) &&
           setup_sun_fits(&r->setup, log_set_channel(&r->logs, CH_IRRADIANCE), faults) &&
           setup_counts_fit(&r->setup, COUNTED_FLOW, &r->pulses[COUNTED_FLOW], faults) &&
           setup_counts_fit(&r->setup, COUNTED_HEAT, &r->pulses[COUNTED_HEAT], faults);
}

/* As without a [site]. The doubts and the clear days of the first reading stay. */
static bool read_again(struct reduction *r, struct faults *faults)
{
    struct log_set first = r->logs;
    struct angles none;
    struct derived derived;
    angles_init(&none);
    finder_free(&r->finder);
    timeline_free(&r->timeline);
    means_list_free(&r->means);
    log_set_init(&r->logs);
    bool good = log_set_plan(&r->logs, &r->setup, r->threads, faults);
    /* begin() also where there is no plan: what is freed later must be initialised. */
    good = begin(r, faults) && good && read_with(r, &none, 2, &derived, faults) &&
           checks_same_log(&first, &r->logs, faults);
    log_set_free(&first);
    return good;
}

/* Whether the sunshine contradicts [site] or the clock so far that no angle is formed. */
static void ask_clock(struct reduction *r)
{
    const struct site *site = &r->setup.site;
    bool checked = site->clock_checked.at.given && site->clock_checked.index == 0;
    sun_clock(&r->setup, &r->clear_days, &r->clock);
    enum clock_verdict verdict = r->clock.answer.verdict;
    r->angles_refused = (verdict == CLOCK_ZONE || verdict == CLOCK_ELSEWHERE) && !checked;
    r->setup.sun_refused = r->angles_refused;
}

/* Taken at half of the sunshine, two steps of a coarse total take so long, s. */
static double two_steps_s(const struct reduction *r)
{
    double g_W_m2 = 0;
    for (size_t i = 0; i < r->means.n; i++)
        g_W_m2 += r->means.items[i].mean[CH_IRRADIANCE] / (double)r->means.n;
    return 2 * r->finder.step[COUNTED_HEAT] / (0.5 * g_W_m2 * r->setup.collector.area_m2);
}

/* Leaving such windows out would leave out those with the least heat. */
static bool heat_is_told(const struct reduction *r, struct faults *faults)
{
    const struct instrument *meter =
        instrument_of_channel(r->setup.instruments, r->setup.n_instruments, CH_METERED);
    size_t few = r->finder.few[COUNTED_HEAT];
    char window[WORDS_SIZE], needed[WORDS_SIZE];
    if (few == 0 || !setup_heat_by_meter(&r->setup))
        return true;
    const struct stated *at = &meter->resolution.at;
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(r->setup.path, at->line, at->column));
    fault_field(fault, "[instrument %s]", meter->name);
    fault_found(fault,
                "in %zu of %zu windows of %s the heat meter's total makes fewer than two steps of "
                "%.3g %s: they have no heat",
                few, r->finder.n_windows,
                words_duration(finder_window_s(&r->finder), window, sizeof window),
                meter->resolution.value / meter->unit->scale, meter->unit->name);
    fault_expected(fault, "windows with two steps or more, which take about %s at half of the "
                          "sunshine: a longer 'window' in [steady state]",
                   words_duration(60 * ceil(two_steps_s(r) / 60), needed, sizeof needed));
    fault_hint(fault, "or a finer output of the meter: Wh, a pulse output, or its heat of the "
                      "moment in kW");
    return false;
}

bool reduction_log_read(struct reduction *r, struct faults *faults)
{
    if (!read_once(r, faults))
        return false;
    if (r->clock_asked)
        ask_clock(r);
    if (!r->angles_refused)
        return heat_is_told(r, faults);
    /* What there is to say of the log has been said; it is said again only if it fails now. */
    struct faults *again = malloc(sizeof *again);
    if (again == NULL)
        return fault_memory(faults);
    faults_init(again);
    bool good = read_again(r, again);
    if (!good)
        faults_join(faults, again);
    free(again);
    return good && heat_is_told(r, faults);
}
