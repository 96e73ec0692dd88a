#include "run/log_set.h"

#include "run/setup_log.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void log_set_init(struct log_set *set)
{
    memset(set, 0, sizeof *set);
    for (size_t i = 0; i < LOGS_MOST; i++) {
        log_plan_init(&set->plan[i]);
        log_account_init(&set->account[i]);
    }
}

void log_set_free(struct log_set *set)
{
    for (size_t i = 0; i < LOGS_MOST; i++) {
        log_account_free(&set->account[i]);
        log_plan_free(&set->plan[i]);
    }
    log_set_init(set);
}

bool log_set_plan(struct log_set *set, const struct test_setup *setup, unsigned threads,
                  struct faults *faults)
{
    for (size_t i = 0; i < 1 + setup->n_other_logs; i++) {
        const struct log_section *log = setup_log(setup, i);
        log_section_label(log, set->label[i], sizeof set->label[i]);
        set->at[i] = log->head;
        set->ahead_us[i] = llround(log->ahead_s.value * 1e6);
        set->n++;
        if (!setup_log_plan(setup, i, &set->plan[i], faults))
            return false;
        set->plan[i].threads = threads;
    }
    return true;
}

bool log_set_read(struct log_set *set, struct sink *sinks, size_t n, struct faults *faults)
{
    struct join_log logs[LOGS_MOST];
    for (size_t i = 0; i < set->n; i++)
        logs[i] = (struct join_log){&set->plan[i], set->label[i], set->at[i], set->ahead_us[i]};
    return logs_read(logs, set->n, sinks, n, set->account, &set->joined, faults);
}

uint64_t log_set_bytes(const struct log_set *set)
{
    uint64_t bytes = 0;
    for (size_t i = 0; i < set->n; i++)
        bytes += set->account[i].bytes_total;
    return bytes;
}

const struct zone *log_set_zone(const struct log_set *set)
{
    return set->plan[0].zone;
}

const struct log_account *log_set_account(const struct log_set *set, enum channel channel)
{
    for (size_t i = 0; i < set->n; i++)
        if (set->account[i].channels[channel].present)
            return &set->account[i];
    return &set->account[0];
}

const struct log_channel *log_set_channel(const struct log_set *set, enum channel channel)
{
    return &log_set_account(set, channel)->channels[channel];
}

const char *log_set_prefix(const struct log_set *set, size_t i, char *out, size_t size)
{
    snprintf(out, size, "%s%s", set->n > 1 ? set->label[i] : "", set->n > 1 ? ": " : "");
    return out;
}

bool log_set_share(const struct log_set *a, enum channel of_a, const struct log_set *b,
                   enum channel of_b)
{
    const struct log_account *x = log_set_account(a, of_a), *y = log_set_account(b, of_b);
    for (size_t i = 0; i < x->n_files; i++)
        for (size_t k = 0; k < y->n_files; k++)
            if (text_same(x->files[i].sha256, y->files[k].sha256))
                return true;
    return false;
}
