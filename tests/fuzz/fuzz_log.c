/* A log: the first line says how it is to be read (letters of `options`), the rest is the log.
 * Whatever it holds, the blocks are in order of time and bounded, what is called good is finite and
 * the rest is no number, and every row and reading is accounted for. */
#include "base/units.h"
#include "ingest/reader.h"
#include "tests/fuzz/fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

const char *const fuzz_name = "log";
const int fuzz_inputs_least = 60;

struct seen {
    int64_t last_us;
    bool any;
    size_t rows;
};

static bool look(void *state, const struct block *block, struct faults *faults)
{
    struct seen *seen = state;
    (void)faults;
    if (block->n == 0 || block->n > BLOCK_ROWS)
        abort();
    for (size_t i = 0; i < block->n; i++) {
        if (seen->any && block->time_us[i] <= seen->last_us)
            abort();
        seen->last_us = block->time_us[i];
        seen->any = true;
    }
    for (size_t ch = 0; ch < CH_LOGGED; ch++)
        for (size_t i = 0; block->present[ch] && i < block->n; i++)
            if ((block->flag[ch][i] == FLAG_GOOD) != (isfinite(block->value[ch][i]) != 0))
                abort();
    seen->rows += block->n;
    return true;
}

static void check(const struct log_account *account)
{
    uint64_t rows = account->rows_used;
    for (size_t i = 0; i < ROW_REFUSALS; i++)
        rows += account->refused[i];
    if (rows != account->rows_read)
        abort();
    for (size_t ch = 0; ch < CH_LOGGED; ch++) {
        uint64_t readings = 0;
        for (size_t flag = 0; flag < FLAG_COUNT; flag++)
            readings += account->channels[ch].count[flag];
        if (account->channels[ch].present && readings != account->rows_used)
            abort();
    }
}

static bool has(const uint8_t *data, size_t n, char letter)
{
    return memchr(data, letter, n) != NULL;
}

static bool fill(struct log_plan *plan, const uint8_t *options, size_t n, const char *path,
                 struct faults *faults)
{
    static const struct {
        enum channel channel;
        const char *name, *unit;
    } columns[] = {{CH_IRRADIANCE, "G tilt", "W/m2"},
                   {CH_AMBIENT, "T air", "degC"},
                   {CH_INLET, "T in", "degC"},
                   {CH_OUTLET, "T out", "degC"},
                   {CH_FLOW, "Flow", "L/min"}};
    log_plan_init(plan);
    plan->separator = has(options, n, ';') ? ';' : has(options, n, 't') ? '\t' : ',';
    plan->decimal = has(options, n, 'c') && plan->separator != ',' ? ',' : '.';
    plan->zone_in_stamp = has(options, n, 'z');
    const char *form = has(options, n, 'd')   ? "%d/%m/%Y %H:%M:%S"
                       : has(options, n, 'p') ? "%m/%d/%y %I:%M %p"
                                              : "ISO 8601";
    const char *second = has(options, n, '2') ? "Date" : NULL;
    bool good = log_plan_add_file(plan, path, faults) &&
                log_plan_set_time(plan, second == NULL ? "Time" : second,
                                  second == NULL ? NULL : "Time", form, faults) &&
                log_plan_add_missing(plan, "NAN", faults) &&
                log_plan_add_missing(plan, "-9999", faults);
    for (size_t i = 0; i < sizeof columns / sizeof columns[0] && good; i++)
        good = log_plan_add_column(
            plan, columns[i].channel, columns[i].name,
            unit_find(columns[i].unit, channel_row(columns[i].channel)->dimension), 1, 0, faults);
    return good;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct faults faults;
    struct log_plan plan;
    struct log_account account;
    struct seen seen = {0};
    struct sink sink = {.state = &seen, .take = look};
    char path[FUZZ_PATH_SIZE];
    const uint8_t *line_end = size > 0 ? memchr(data, '\n', size) : NULL;
    if (line_end == NULL)
        return 0;
    size_t head = (size_t)(line_end - data);
    int fd = fuzz_file(line_end + 1, size - head - 1, path);
    faults_init(&faults);
    if (!fill(&plan, data, head, path, &faults))
        abort();
    bool good = log_read(&plan, &sink, 1, &account, &faults);
    if (good == faults_any(&faults) || (good && seen.rows != account.rows_used))
        abort();
    if (good)
        check(&account);
    log_account_free(&account);
    log_plan_free(&plan);
    close(fd);
    return 0;
}
