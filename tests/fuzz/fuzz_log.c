/* A log: the first line says how it is to be read (letters of `options`), the rest is the log.
 * Whatever it holds, the blocks are in order of time and bounded, what is called good is finite and
 * the rest is no number, and every row and reading is accounted for. A blank before each line keeps
 * it from being read quickly, by shape or in batches: the readings are the same, bit by bit. */
#include "base/units.h"
#include "ingest/reader.h"
#include "tests/fuzz/fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

const char *const fuzz_name = "log";
const int fuzz_inputs_least = 72;

enum { ROWS_KEPT = 4096 };

struct seen {
    int64_t last_us;
    bool any;
    size_t rows;
    size_t kept; /* the first rows */
    int64_t time_us[ROWS_KEPT];
    double value[ROWS_KEPT][CH_LOGGED];
};

static void keep(struct seen *seen, const struct block *block)
{
    for (size_t i = 0; i < block->n && seen->kept < ROWS_KEPT; i++, seen->kept++) {
        seen->time_us[seen->kept] = block->time_us[i];
        for (size_t ch = 0; ch < CH_LOGGED; ch++)
            seen->value[seen->kept][ch] = block->present[ch] ? block->value[ch][i] : 0;
    }
}

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
    keep(seen, block);
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
    bool apart = has(options, n, '3');
    const char *form = apart                  ? "%Y %j %H%M"
                       : has(options, n, 'd') ? "%d/%m/%Y %H:%M:%S"
                       : has(options, n, 'p') ? "%m/%d/%y %I:%M %p"
                                              : "ISO 8601";
    const char *first = apart ? "Year" : has(options, n, '2') ? "Date" : "Time";
    const char *second = apart ? "Day" : has(options, n, '2') ? "Time" : NULL;
    bool good = log_plan_add_file(plan, path, faults) &&
                log_plan_set_time(plan, first, second, form, faults) &&
                (!apart || log_plan_add_time(plan, "Time", faults)) &&
                log_plan_add_missing(plan, "NAN", faults) &&
                log_plan_add_missing(plan, "-9999", faults);
    for (size_t i = 0; i < sizeof columns / sizeof columns[0] && good; i++)
        good = log_plan_add_column(
            plan, columns[i].channel, columns[i].name,
            unit_find(columns[i].unit, channel_row(columns[i].channel)->dimension), 1, 0, faults);
    return good;
}

/* Reads it. Returns: whether it is a good log. */
static bool read_bytes(const uint8_t *options, size_t n_options, const uint8_t *bytes, size_t n,
                       struct seen *seen)
{
    static struct faults faults;
    struct log_plan plan;
    struct log_account account;
    struct sink sink = {.state = seen, .take = look};
    char path[FUZZ_PATH_SIZE];
    int fd = fuzz_file(bytes, n, path);
    memset(seen, 0, sizeof *seen);
    faults_init(&faults);
    if (!fill(&plan, options, n_options, path, &faults))
        abort();
    bool good = log_read(&plan, &sink, 1, &account, &faults);
    if (good == faults_any(&faults) || (good && seen->rows != account.rows_used))
        abort();
    if (good)
        check(&account);
    log_account_free(&account);
    log_plan_free(&plan);
    close(fd);
    return good;
}

/* Text of one byte a letter, in which a blank before a line changes nothing: no quoted field runs
 * on, no line is filled with NUL. */
static bool is_plain(const uint8_t *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (bytes[i] >= 0x7f || bytes[i] == '"' ||
            (bytes[i] < ' ' && bytes[i] != '\n' && bytes[i] != '\r' && bytes[i] != '\t'))
            return false;
    return true;
}

static size_t put_blanks(const uint8_t *bytes, size_t n, uint8_t *out)
{
    size_t length = 0;
    for (size_t i = 0; i < n; i++) {
        bool begins = i == 0 || bytes[i - 1] == '\n';
        if (begins && bytes[i] != '\n' && bytes[i] != '\r' && bytes[i] != '#')
            out[length++] = ' ';
        out[length++] = bytes[i];
    }
    return length;
}

static void must_be_same(const struct seen *a, const struct seen *b)
{
    if (a->rows != b->rows || memcmp(a->time_us, b->time_us, a->kept * sizeof a->time_us[0]) != 0)
        abort();
    for (size_t i = 0; i < a->kept; i++)
        for (size_t ch = 0; ch < CH_LOGGED; ch++)
            if (memcmp(&a->value[i][ch], &b->value[i][ch], sizeof a->value[i][ch]) != 0 &&
                !(isnan(a->value[i][ch]) && isnan(b->value[i][ch])) &&
                (a->value[i][ch] != 0 || b->value[i][ch] != 0))
                abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct seen seen, other;
    const uint8_t *line_end = size > 0 ? memchr(data, '\n', size) : NULL;
    if (line_end == NULL)
        return 0;
    size_t head = (size_t)(line_end - data), n = size - head - 1;
    const uint8_t *bytes = line_end + 1;
    bool good = read_bytes(data, head, bytes, n, &seen);
    if (!is_plain(bytes, n))
        return 0;
    uint8_t *with_blanks = malloc(2 * n + 1);
    if (with_blanks == NULL)
        abort();
    size_t length = put_blanks(bytes, n, with_blanks);
    bool other_good = read_bytes(data, head, with_blanks, length, &other);
    if (good && other_good)
        must_be_same(&seen, &other);
    free(with_blanks);
    return 0;
}
