#include "ingest/repeat.h"

#include "base/calendar.h"

/* Whether no gap lies between two instants. */
static bool continues(const struct log_account *account, int64_t from_us, int64_t to_us)
{
    return to_us > from_us && (account->gap_us == 0 || to_us - from_us <= account->gap_us);
}

static const char *path_of(const struct log_account *account, struct log_place place)
{
    return account->files[place.file].path;
}

/* The stamps run on past the hour without a fall: nobody put this clock back. */
static bool say_never_back(const struct repeat *repeat, const struct log_account *account,
                           const struct zone *zone, struct log_place now, struct faults *faults)
{
    char clock[40];
    int64_t change_us = repeat->first_us + repeat->shift_us;
    const struct zone_change *change = zone_change_within(zone, repeat->first_us, change_us);
    if (change != NULL)
        change_us = change->at_s * US_PER_S;
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(path_of(account, now), now.line, 0));
    fault_found(fault,
                "the stamps run past the hour that the clock of '%s' shows twice (it begins at "
                "%s:%ld) without falling back",
                zone->name, path_of(account, repeat->first), repeat->first.line);
    int64_t offset_s = zone_offset_s(zone, change_us - 1);
    fault_expected(fault, "stamps that fall back once, at %s",
                   calendar_iso(change_us, offset_s, clock, sizeof clock));
    fault_hint(fault, "if the clock stays on one offset all year, state that in 'time' of [log], "
                      "such as 'UTC+1'");
    return false;
}

static bool say_either(const struct repeat *repeat, const struct log_account *account,
                       const struct zone *zone, struct log_place now, struct faults *faults)
{
    struct place at = fault_at(path_of(account, repeat->first), repeat->first.line, 0);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault,
                "the clock of '%s' shows this hour twice, and the rows up to %s:%ld do not tell "
                "which is meant",
                zone->name, path_of(account, now), now.line);
    fault_hint(fault, "delete the rows of that hour, or give the log with fixed offsets");
    return false;
}

/* The rows that were taken as first pass, now that the next row's instant is known. */
static bool close_open(struct repeat *repeat, const struct rows *rows,
                       const struct log_account *account, struct log_place now,
                       struct faults *faults)
{
    const struct zone *zone = rows->form->plan->zone;
    bool after = continues(account, repeat->last_us + repeat->shift_us, rows->time_us);
    repeat->open = false;
    if (repeat->joined && !after)
        return true;
    return repeat->joined ? say_never_back(repeat, account, zone, now, faults)
                          : say_either(repeat, account, zone, now, faults);
}

static void note_fall(struct log_account *account, struct log_place before, struct log_place now)
{
    if (account->falls++ == 0) {
        account->before_fall = before;
        account->after_fall = now;
    }
}

/* A row of the stretch after an earlier row of the log. */
static void settle_after(struct repeat *repeat, struct rows *rows, struct log_account *account,
                         struct log_place before, struct log_place now)
{
    int64_t last_us = repeat->last_us;
    int64_t shift_us = rows->again_us - rows->time_us;
    if (last_us < rows->time_us)
        return;
    bool second = zone_change_within(rows->form->plan->zone, last_us, rows->again_us) == NULL;
    if (!second && !continues(account, last_us, rows->again_us))
        return; /* a stray stamp: the reader finds it backward */
    if (!second)
        note_fall(account, before, now);
    rows->time_us += shift_us;
    repeat->open = false;
}

bool repeat_row(struct repeat *repeat, struct rows *rows, struct log_account *account, bool any,
                struct log_place before, struct log_place now, struct faults *faults)
{
    bool twice = rows->again_us != rows->time_us;
    bool good = true;
    bool beyond = repeat->open && rows->time_us > repeat->first_us + repeat->shift_us;
    if (repeat->open && (!twice || beyond) && rows->time_us > repeat->last_us)
        good = close_open(repeat, rows, account, now, faults);
    if (!twice)
        return good;
    if (any)
        settle_after(repeat, rows, account, before, now);
    if (rows->time_us != rows->again_us && !repeat->open &&
        (!any || rows->time_us > repeat->last_us)) {
        *repeat = (struct repeat){.open = true,
                                  .joined = any && continues(account, repeat->last_us,
                                                             rows->time_us),
                                  .last_us = repeat->last_us,
                                  .first_us = rows->time_us,
                                  .shift_us = rows->again_us - rows->time_us,
                                  .first = now};
    }
    return good;
}

bool repeat_end(struct repeat *repeat, const struct log_account *account, struct log_place last,
                const struct zone *zone, struct faults *faults)
{
    bool good = !repeat->open || repeat->joined;
    repeat->open = false;
    return good || say_either(repeat, account, zone, last, faults);
}
