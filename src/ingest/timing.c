#include "ingest/timing.h"

#include "base/calendar.h"

#include <stdio.h>

/* A count of milliseconds in 32 bits begins anew after 49.7 days. */
#define WRAP_US ((INT64_C(1) << 32) * 1000)

static unsigned rows_per_stamp(const struct timing *timing)
{
    return timing->plan->timing.rows_per_stamp;
}

void timing_init(struct timing *timing, const struct row_form *form, struct log_account *account)
{
    const struct log_timing *stated = &form->plan->timing;
    *timing = (struct timing){.plan = form->plan, .counts = stamp_since_start(&form->stamp)};
    if (stated->rows_per_stamp > 1) {
        account->stamp_step_us = account->step_us;
        account->step_us /= stated->rows_per_stamp;
    }
    int64_t interval_us = stated->interval_us > 0 ? stated->interval_us : account->step_us;
    timing->shift_us = stated->side == STAMPS_START ? interval_us / 2
                       : stated->side == STAMPS_END ? -(interval_us / 2)
                                                    : 0;
    account->shift_us = timing->shift_us;
    for (size_t i = 0; i < stated->n_sets; i++)
        timing->ahead_us += stated->sets[i].by_us;
    timing->moves = timing->shift_us != 0 || stated->n_sets > 0 || stated->rows_per_stamp > 1;
}

static bool is_wrap(const struct timing *timing, const struct log_account *account,
                    int64_t count_us)
{
    return timing->count_us < WRAP_US && count_us + WRAP_US - timing->count_us <= account->gap_us;
}

bool timing_place(struct timing *timing, struct rows *rows, struct log_account *account)
{
    const struct log_timing *stated = &timing->plan->timing;
    int64_t count_us = rows->time_us;
    if (!timing->counted) {
        account->power_ups = 1;
        timing->base_us = stated->n_starts > 0 ? stated->starts_us[0] : 0;
    } else if (count_us < timing->count_us && is_wrap(timing, account, count_us)) {
        account->wraps++;
        timing->base_us += WRAP_US;
    } else if (count_us < timing->count_us) {
        account->power_ups++;
        timing->power_up++;
        if (timing->power_up < stated->n_starts)
            timing->base_us = stated->starts_us[timing->power_up];
    }
    timing->counted = true;
    timing->count_us = count_us;
    rows->time_us = rows->again_us = timing->base_us + count_us;
    return timing->power_up < stated->n_starts;
}

/* Returns: false if the row's part of its stamp's step cannot be told. */
static bool spread(struct timing *timing, const struct log_account *account, int64_t *time_us,
                   enum row_refusal *refusal)
{
    int64_t stamp_us = *time_us;
    if (!timing->any || stamp_us != timing->group_us) {
        int64_t step_us = stamp_us - timing->group_us;
        timing->whole_group = timing->any && step_us == account->stamp_step_us;
        timing->group_us = stamp_us;
        timing->in_group = 0;
    }
    unsigned k = timing->in_group++;
    if (!timing->whole_group)
        *refusal = ROW_PART;
    else if (k >= rows_per_stamp(timing))
        *refusal = ROW_DUPLICATE;
    else
        *time_us += account->stamp_step_us * k / rows_per_stamp(timing);
    return timing->whole_group && k < rows_per_stamp(timing);
}

/* Whether a row is the first after the clock was set. A clock that was put back shows it by
 * falling; its later stamps may be below shown_us for a while. */
static bool passes(const struct timing *timing, const struct clock_set *set, int64_t clock_us)
{
    bool fell = timing->any && set->by_us < 0 && clock_us < timing->clock_us &&
                timing->clock_us >= set->shown_us + set->by_us;
    return clock_us > set->shown_us || fell;
}

/* Whether the stamps around it allow it: time must have gone on between them, and a clock that was
 * put back must fall unless the logger paused. */
static bool bears_out(const struct timing *timing, const struct clock_set *set,
                      const struct log_account *account, int64_t clock_us)
{
    int64_t leap_us = clock_us - timing->clock_us;
    bool goes_on = leap_us > 0 && leap_us <= account->gap_us;
    return leap_us > set->by_us && !(set->by_us < 0 && goes_on);
}

static void contradict(struct timing *timing, const struct clock_set *set, int64_t clock_us,
                       const struct log_account *account, struct log_place now,
                       struct faults *faults)
{
    const struct zone *zone = timing->plan->zone;
    char before[40], after[40];
    struct place at = fault_at(account->files[now.file].path, now.line, 0);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    timing->contradicted = true;
    fault_found(
        fault,
        "the stamps do not show the clock being put %s by %g s: they go on from %s (%s:%ld) "
        "to %s",
        set->by_us < 0 ? "back" : "forward",
        (double)(set->by_us < 0 ? -set->by_us : set->by_us) / 1e6,
        zone_iso(zone, timing->clock_us, before, sizeof before),
        account->files[timing->last.file].path, timing->last.line,
        zone_iso(zone, clock_us, after, sizeof after));
    fault_hint(fault,
               "look at 'clock set' on line %ld of the description: it holds what the clock showed "
               "when it was set, before that, and by how much it was put forward (+) or back (-)",
               set->at.line);
}

static void nothing_before(struct timing *timing, const struct clock_set *set,
                           struct faults *faults)
{
    char shown[40];
    struct fault *fault = fault_new(faults, FAULT_INPUT, set->at);
    timing->contradicted = true;
    fault_found(fault, "no row of the log lies before %s, when the clock is said to have been set",
                zone_iso(timing->plan->zone, set->shown_us, shown, sizeof shown));
    fault_hint(fault,
               "mind the day; if the log begins later, take the line out: only rows before it "
               "are corrected");
}

static void settle_sets(struct timing *timing, struct log_account *account, int64_t clock_us,
                        struct log_place now, struct faults *faults)
{
    const struct log_timing *stated = &timing->plan->timing;
    while (timing->set < stated->n_sets && passes(timing, &stated->sets[timing->set], clock_us)) {
        const struct clock_set *set = &stated->sets[timing->set++];
        timing->ahead_us -= set->by_us;
        account->sets++;
        if (!timing->any)
            nothing_before(timing, set, faults);
        else if (!bears_out(timing, set, account, clock_us))
            contradict(timing, set, clock_us, account, now, faults);
    }
}

bool timing_move(struct timing *timing, struct rows *rows, struct log_account *account,
                 struct log_place now, enum row_refusal *refusal, struct faults *faults)
{
    int64_t clock_us = rows->time_us;
    bool good = rows_per_stamp(timing) < 2 || spread(timing, account, &rows->time_us, refusal);
    settle_sets(timing, account, clock_us, now, faults);
    rows->time_us += timing->ahead_us + timing->shift_us;
    timing->any = true;
    timing->clock_us = clock_us;
    timing->last = now;
    return good;
}

bool timing_end(struct timing *timing, const struct log_account *account, struct faults *faults)
{
    const struct log_timing *stated = &timing->plan->timing;
    if (!timing->counted || stated->n_starts <= account->power_ups)
        return !timing->contradicted;
    struct fault *fault = fault_new(faults, FAULT_INPUT, stated->starts_at);
    fault_found(fault, "%zu starts are stated, but the count of the log begins %d time%s",
                stated->n_starts, (int)account->power_ups, account->power_ups == 1 ? "" : "s");
    fault_hint(fault, "state one 'start' for each time that the logger was switched on, in order");
    return false;
}
