/* A whole test: a description, and below lines such as '=== a.csv' the logs and tables that it
 * names, from reading to the last sentence of the report. Whatever they hold, every row and every
 * reading is accounted for, windows follow on each other, and their means, a meter's totals and the
 * nights are finite. */
#include "run/reduction_document.h"
#include "run/run.h"
#include "tests/fuzz/fuzz.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

const char *const fuzz_name = "reduction";
const int fuzz_inputs_least = 19;

enum { PATH_SIZE = 300, NAME_MOST = 16 };

static const char *const names[] = {"test.txt", "a.csv", "b.csv", "c.csv", "points.csv"};
enum { NAMES = sizeof names / sizeof names[0] };

static char folder[PATH_SIZE - NAME_MOST];

static void must(bool good)
{
    if (!good)
        abort();
}

static const char *path_of(size_t i, char path[PATH_SIZE])
{
    snprintf(path, PATH_SIZE, "%s/%s", folder, names[i]);
    return path;
}

static void clear(void)
{
    char path[PATH_SIZE];
    for (size_t i = 0; i < NAMES; i++)
        unlink(path_of(i, path));
}

static void remove_folder(void)
{
    clear();
    rmdir(folder);
}

static void open_folder(void)
{
    const char *above = getenv("TMPDIR");
    if (folder[0] != '\0')
        return;
    snprintf(folder, sizeof folder, "%s/fuzz-XXXXXX", above == NULL ? "/tmp" : above);
    must(mkdtemp(folder) != NULL);
    atexit(remove_folder);
}

static void write_part(size_t i, const char *bytes, size_t n)
{
    char path[PATH_SIZE];
    FILE *file = fopen(path_of(i, path), "wb");
    must(file != NULL && fwrite(bytes, 1, n, file) == n && fclose(file) == 0);
}

/* Returns: the name's number; NAMES if the line is no head of a part. */
static size_t head_of(const char *line, size_t n)
{
    static const char mark[] = "=== ";
    size_t length = sizeof mark - 1;
    if (n < length || memcmp(line, mark, length) != 0)
        return NAMES;
    for (size_t i = 1; i < NAMES; i++)
        if (strlen(names[i]) == n - length && memcmp(names[i], line + length, n - length) == 0)
            return i;
    return NAMES;
}

static void write_parts(const char *bytes, size_t size)
{
    const char *end = bytes + size, *from = bytes;
    size_t part = 0;
    for (const char *line = bytes; line < end;) {
        const char *line_end = memchr(line, '\n', (size_t)(end - line));
        size_t head = line_end == NULL ? NAMES : head_of(line, (size_t)(line_end - line));
        if (head < NAMES) {
            write_part(part, from, (size_t)(line - from));
            part = head;
            from = line_end + 1;
        }
        line = line_end == NULL ? end : line_end + 1;
    }
    write_part(part, from, (size_t)(end - from));
}

static void check_account(const struct log_account *account)
{
    uint64_t rows = account->rows_used;
    for (size_t i = 0; i < ROW_REFUSALS; i++)
        rows += account->refused[i];
    must(rows == account->rows_read);
    for (size_t ch = 0; ch < CH_LOGGED; ch++) {
        uint64_t readings = 0;
        for (size_t flag = 0; flag < FLAG_COUNT; flag++)
            readings += account->channels[ch].count[flag];
        must(!account->channels[ch].present || readings == account->rows_used);
    }
}

static void check_means(const struct means_list *list, bool from_log)
{
    for (size_t i = 0; i < list->n; i++) {
        const struct means *means = &list->items[i];
        must(!from_log || means->start_us < means->end_us);
        must(!from_log || i == 0 || list->items[i - 1].end_us <= means->start_us);
        for (size_t ch = 0; ch < CH_COUNT; ch++)
            must(!means->has[ch] ||
                 (isfinite(means->mean[ch]) && means->u[ch] >= 0 && isfinite(means->u[ch])));
    }
}

static void check_nights(const struct night *night)
{
    for (size_t i = 0; i < NIGHT_CHANNELS; i++) {
        const struct night_found *found = &night->channel[i].found;
        if (found->nights > 0)
            must(found->all.n > 0 && isfinite(found->all.mean) && found->all.squares >= 0 &&
                 found->least <= found->most && found->all.first_us <= found->all.last_us);
    }
}

static void check(const struct reduction *r)
{
    for (size_t i = 0; i < r->logs.n; i++)
        check_account(&r->logs.account[i]);
    check_means(&r->means, r->from_log);
    check_nights(&r->night);
    for (int k = 0; k < COUNTED; k++)
        must(r->pulses[k].finest >= 0 && r->pulses[k].rises <= r->pulses[k].good);
}

/* A Monte Carlo would take all the time there is, and numbers drawn are test_efficiency_draws's. */
static void forbid_draws(struct test_setup *setup)
{
    for (size_t i = 0; i < setup->n_runs; i++) {
        setup->runs[i].draws_asked = true;
        setup->runs[i].draws = 0;
    }
}

static void check_document(const struct document *doc)
{
    for (size_t i = 0; i < doc->n_numbers; i++) {
        const struct number *number = &doc->numbers[i];
        must(isfinite(number->value) && !(number->low > number->high) && !(number->u < 0));
    }
}

/* What is worked out of the readings, and said. */
static void perform(struct reduction *r, struct faults *faults)
{
    struct document doc;
    must(document_init(&doc, "efficiency", "fuzz", faults));
    size_t before = faults->n;
    if (reduction_document(r, &doc, faults)) {
        bool good = runs_perform(r, &doc, faults);
        must(good || faults->n > before);
        check_document(&doc);
    }
    document_free(&doc);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct faults faults;
    char path[PATH_SIZE];
    struct reduction *r = malloc(sizeof *r);
    must(r != NULL);
    open_folder();
    clear();
    write_parts((const char *)data, size);
    faults_init(&faults);
    reduction_init(r);
    r->threads = 1;
    bool good = reduction_describe(r, path_of(0, path), &faults);
    if (good) {
        forbid_draws(&r->setup);
        good = reduction_read(r, &faults);
    }
    must(good == !faults_any(&faults));
    if (good) {
        check(r);
        perform(r, &faults);
    }
    reduction_free(r);
    free(r);
    return 0;
}
