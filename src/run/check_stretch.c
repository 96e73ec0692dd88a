#include "run/check_stretch.h"

#include "run/setup_log.h"
#include "window/derived.h"

#include <math.h>
#include <string.h>

static bool is_measured(const struct test_setup *setup, enum channel channel)
{
    return instrument_of_channel(setup->instruments, setup->n_instruments, channel) != NULL;
}

void stretch_init(struct stretch *stretch, const struct test_setup *setup,
                  const struct run_section *run)
{
    memset(stretch, 0, sizeof *stretch);
    stretch->start_us = run->check.start_us;
    stretch->end_us = run->check.end_us;
    if (run->kind == RUN_ZERO_CHECK) {
        static const enum channel needed[] = {CH_INLET, CH_OUTLET, CH_AMBIENT, CH_FLOW,
                                              CH_IRRADIANCE};
        for (size_t i = 0; i < LENGTH(needed); i++)
            stretch->needed[needed[i]] = is_measured(setup, needed[i]) || needed[i] == CH_FLOW;
        return;
    }
    for (size_t i = 0; i < run->check.thermometers.n; i++) {
        const struct instrument *in = instrument_find(setup->instruments, setup->n_instruments,
                                                      run->check.thermometers.items[i].text);
        if (in != NULL)
            stretch->needed[in->channel] = true;
    }
}

static bool whole(const struct stretch *stretch, const struct block *block, size_t i)
{
    for (int ch = 0; ch < CH_COUNT; ch++)
        if (stretch->needed[ch] && (!block->present[ch] || block->flag[ch][i] != FLAG_GOOD))
            return false;
    return true;
}

static void take_row(struct stretch *stretch, const struct block *block, size_t i)
{
    int64_t since_us = block->time_us[i] - stretch->start_us;
    double share = (double)since_us / (double)(stretch->end_us - stretch->start_us);
    size_t part = (size_t)(share * CHECK_PARTS);
    if (part >= CHECK_PARTS)
        part = CHECK_PARTS - 1;
    stretch->rows[part]++;
    for (int ch = 0; ch < CH_COUNT; ch++)
        if (stretch->needed[ch])
            stretch->sum[part][ch] += block->value[ch][i];
}

struct stretches {
    struct stretch *all;
    size_t n;
    const struct progress *progress;
    const struct log_set *logs;
};

static bool take(void *state, const struct block *block, struct faults *faults)
{
    struct stretches *stretches = state;
    (void)faults;
    progress_tell(stretches->progress, "reading for the checks", block->bytes_done,
                  log_set_bytes(stretches->logs));
    for (size_t s = 0; s < stretches->n; s++) {
        struct stretch *stretch = &stretches->all[s];
        if (block->n == 0 || block->time_us[block->n - 1] < stretch->start_us ||
            block->time_us[0] >= stretch->end_us)
            continue;
        for (size_t i = 0; i < block->n; i++)
            if (block->time_us[i] >= stretch->start_us && block->time_us[i] < stretch->end_us &&
                whole(stretch, block, i))
                take_row(stretch, block, i);
    }
    return true;
}

bool stretches_read(struct stretch *stretches, size_t n, const struct test_setup *setup,
                    struct log_set *logs, const struct progress *progress, struct faults *faults)
{
    struct stretches state = {stretches, n, progress, logs};
    struct sink sink = {.state = &state, .take = take};
    struct derived derived;
    bool outlet = setup->fluid_choice.meter_at.index == METER_AT_OUTLET;
    if (!derived_init(&derived, &setup->fluid, outlet, 0, &sink, 1, faults))
        return false;
    struct pulse_meter meter = setup_pulse_meter(setup, COUNTED_FLOW);
    derived_count(&derived, COUNTED_FLOW, &meter);
    struct sink first = derived_sink(&derived);
    bool good = log_set_read(logs, &first, 1, faults);
    derived_free(&derived);
    return good;
}

void stretch_parts(const struct stretch *stretch, struct check_parts *parts)
{
    double part_s = (double)(stretch->end_us - stretch->start_us) / 1e6 / CHECK_PARTS;
    parts->n = 0;
    for (size_t k = 0; k < CHECK_PARTS; k++) {
        if (stretch->rows[k] == 0)
            continue;
        parts->time_s[parts->n] = ((double)k + 0.5) * part_s;
        for (int ch = 0; ch < CH_COUNT; ch++)
            parts->mean[parts->n][ch] =
                stretch->needed[ch] ? stretch->sum[k][ch] / (double)stretch->rows[k] : NAN;
        parts->n++;
    }
}
