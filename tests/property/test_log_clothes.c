/* Whatever a log is packed in, cut into or written as, its readings are the same to the last bit.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/text.h"
#include "tests/unit/aid_ingest.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

enum { ROWS = 9001, COLUMNS = 6, PIECES_MAX = 9, TRIALS = 6 };

static const char *const names[COLUMNS] = {"Time", "G tilt", "T air", "T in", "T out", "Flow"};

static struct faults faults;
static struct kept base;
static struct kept kept;
static char *folder;
static uint32_t random_state;

static uint32_t draw(uint32_t below)
{
    random_state = random_state * 1664525U + 1013904223U;
    return (random_state >> 8) % below;
}

/* A field of a row: the same for the same seed of the log. */
static void field_text(uint32_t log, size_t row, size_t column, char out[40])
{
    uint32_t x = (log + 77U) * 2654435761U ^ (uint32_t)(row * 40503U + column * 7919U);
    x ^= x >> 13;
    x *= 2246822519U;
    x ^= x >> 16;
    size_t s = row * 7 + (row > ROWS / 2 ? 3600 : 0);
    static const double least[COLUMNS] = {0, 700, 20, 30, 40, 2};
    if (column == 0)
        snprintf(out, 40, "2026-06-%02zuT%02zu:%02zu:%02zu", 3 + s / 86400, s / 3600 % 24,
                 s / 60 % 60, s % 60);
    else if (x % 301 == 0)
        strcpy(out, x % 2 == 0 ? "" : "NAN");
    else
        snprintf(out, 40, "%.*f", (int)(x % 4), least[column] + (double)(x % 9973) / 1000.0);
}

struct form {
    size_t order[COLUMNS];
    const char *line_end;
    bool quoted;
};

static void add_line(struct text *out, const struct form *form, uint32_t log, size_t row)
{
    for (size_t i = 0; i < COLUMNS; i++) {
        char field[40];
        if (row == ROWS)
            snprintf(field, sizeof field, "%s", names[form->order[i]]);
        else
            field_text(log, row, form->order[i], field);
        const char *quote = form->quoted ? "\"" : "";
        text_addf(out, "%s%s%s%s", i == 0 ? "" : ",", quote, field, quote);
    }
    text_add(out, form->line_end);
}

enum packing { PLAIN, GZIP, UTF_16 };

static void write_piece(const char *path, const struct text *text, enum packing packing)
{
    if (packing == GZIP) {
        gzFile out = gzopen(path, "wb6");
        assert_non_null(out);
        assert_int_equal(gzwrite(out, text->bytes, (unsigned)text->length), text->length);
        assert_int_equal(gzclose(out), Z_OK);
        return;
    }
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    for (size_t i = 0; i < text->length; i++) {
        fputc(text->bytes[i], out);
        if (packing == UTF_16)
            fputc(0, out);
    }
    assert_int_equal(fclose(out), 0);
}

/* Which rows a file holds, each once: first to end of all, or those of these that were
 * dealt to it. */
struct share {
    size_t first, end;
    const uint8_t *dealt; /* by row: the number of a file; NULL: all */
    uint8_t number;
    const uint8_t *again; /* by row: the number of a second file, or of none */
};

static bool holds(const struct share *share, size_t row)
{
    return share->dealt == NULL || share->dealt[row] == share->number ||
           share->again[row] == share->number;
}

/* Writes a share of the rows and adds the file to the plan. */
static void add_piece(struct log_plan *plan, size_t number, const struct form *form, uint32_t log,
                      const struct share *share, enum packing packing)
{
    char path[300];
    struct text text = {0};
    add_line(&text, form, log, ROWS);
    for (size_t row = share->first; row < share->end; row++)
        if (holds(share, row))
            add_line(&text, form, log, row);
    assert_false(text.failed);
    snprintf(path, sizeof path, "%s/piece%zu", folder, number);
    write_piece(path, &text, packing);
    text_free(&text);
    if (number > 0)
        assert_true(log_plan_add_file(plan, path, &faults));
}

static void shuffle(size_t *items, size_t n)
{
    for (size_t i = n; i > 1; i--) {
        size_t k = draw((uint32_t)i);
        size_t item = items[i - 1];
        items[i - 1] = items[k];
        items[k] = item;
    }
}

static struct form plain_form(void)
{
    struct form form = {.line_end = "\n"};
    for (size_t i = 0; i < COLUMNS; i++)
        form.order[i] = i;
    return form;
}

static void read_into(struct log_plan *plan, struct kept *into, uint64_t overlapping)
{
    struct log_account account;
    struct sink sink = aid_sink(into);
    if (!log_read(plan, &sink, 1, &account, &faults)) {
        faults_print(&faults, "test", stderr);
        fail_msg("not read");
    }
    assert_int_equal(account.refused[ROW_OVERLAP], overlapping);
    assert_int_equal(account.rows_used, ROWS);
    log_account_free(&account);
    log_plan_free(plan);
}

/* The log in one plain file. */
static void read_base(uint32_t log)
{
    char path[300];
    struct log_plan plan;
    struct form form = plain_form();
    faults_init(&faults);
    snprintf(path, sizeof path, "%s/piece0", folder);
    aid_plan(&plan, path);
    add_piece(&plan, 0, &form, log, &(struct share){.end = ROWS}, PLAIN);
    read_into(&plan, &base, 0);
}

static void want_same(const char *what, int trial)
{
    bool same = kept.n == base.n && kept.gaps == base.gaps &&
                memcmp(kept.time_us, base.time_us, base.n * sizeof base.time_us[0]) == 0;
    for (size_t ch = 0; same && ch < CH_LOGGED; ch++)
        same = memcmp(kept.flag[ch], base.flag[ch], base.n) == 0 &&
               memcmp(kept.value[ch], base.value[ch], base.n * sizeof base.value[ch][0]) == 0;
    if (!same)
        fail_msg("%s, trial %d: other readings", what, trial);
}

/* Cuts the log into k pieces, each `overlap` rows into the next, in any order and form. */
static void read_pieces(uint32_t log, size_t k, size_t overlap)
{
    struct log_plan plan;
    size_t order[PIECES_MAX];
    aid_plan(&plan, "");
    free(plan.files[0]);
    plan.n_files = 0;
    for (size_t i = 0; i < k; i++)
        order[i] = i;
    shuffle(order, k);
    for (size_t i = 0; i < k; i++) {
        struct form form = plain_form();
        shuffle(form.order, COLUMNS);
        form.quoted = draw(2) == 0;
        form.line_end = draw(2) == 0 ? "\r\n" : "\n";
        size_t end = ROWS * (order[i] + 1) / k + overlap;
        struct share share = {ROWS * order[i] / k, end < ROWS ? end : ROWS, NULL, 0, NULL};
        add_piece(&plan, i + 1, &form, log, &share, (enum packing)draw(3));
    }
    read_into(&plan, &kept, overlap * (k - 1));
}

enum dealing { ROW_BY_ROW, ROUND_ROBIN, IN_RUNS };

/* Gives each row to a file; so many in a hundred to a second one too. Returns: how many of these.
 */
static uint64_t deal(uint8_t dealt[ROWS], uint8_t again[ROWS], size_t k, enum dealing dealing,
                     uint32_t percent)
{
    uint64_t twice = 0;
    for (size_t row = 0; row < ROWS; row++) {
        bool stays = dealing == IN_RUNS && row > 0 && draw(200) > 0;
        dealt[row] = (uint8_t)(stays                    ? dealt[row - 1]
                               : dealing == ROUND_ROBIN ? row % k
                                                        : draw((uint32_t)k));
        again[row] = UINT8_MAX;
        if (draw(100) < percent) {
            again[row] = (uint8_t)((dealt[row] + 1 + draw((uint32_t)k - 1)) % k);
            twice++;
        }
    }
    return twice;
}

/* Deals the log out to k files, each in another form. */
static void read_dealt(uint32_t log, size_t k, enum dealing dealing, uint32_t percent)
{
    static uint8_t dealt[ROWS], again[ROWS];
    struct log_plan plan;
    aid_plan(&plan, "");
    free(plan.files[0]);
    plan.n_files = 0;
    uint64_t twice = deal(dealt, again, k, dealing, percent);
    for (size_t i = 0; i < k; i++) {
        struct form form = plain_form();
        shuffle(form.order, COLUMNS);
        form.quoted = draw(2) == 0;
        form.line_end = draw(2) == 0 ? "\r\n" : "\n";
        struct share share = {0, ROWS, dealt, (uint8_t)i, again};
        add_piece(&plan, i + 1, &form, log, &share, (enum packing)draw(3));
    }
    read_into(&plan, &kept, twice);
}

static void dealing_changes_nothing(void **state)
{
    static const struct {
        const char *name;
        size_t files;
        enum dealing dealing;
        uint32_t percent;
    } rows[] = {
        {"row by row to 2 files", 2, ROW_BY_ROW, 0},
        {"row by row to 7 files, a third of the rows twice", 7, ROW_BY_ROW, 33},
        {"round robin to 2 files", 2, ROUND_ROBIN, 0},
        {"round robin to 3 files, some rows twice", 3, ROUND_ROBIN, 3},
        {"round robin to 23 files", 23, ROUND_ROBIN, 0},
        {"in runs to 2 files", 2, IN_RUNS, 0},
        {"in runs to 5 files, all rows twice", 5, IN_RUNS, 100},
    };
    (void)state;
    folder = aid_folder();
    assert_non_null(folder);
    for (int trial = 0; trial < TRIALS; trial++) {
        uint32_t log = (uint32_t)trial * 37U + 11U;
        random_state = log * 991U;
        read_base(log);
        for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
            faults_init(&faults);
            read_dealt(log, rows[i].files, rows[i].dealing, rows[i].percent);
            want_same(rows[i].name, trial);
        }
    }
    aid_remove(folder);
    free(folder);
}

static void clothes_change_nothing(void **state)
{
    static const struct {
        const char *name;
        size_t pieces;
        size_t overlap;
    } rows[] = {
        {"one file in another form", 1, 0},
        {"2 files", 2, 0},
        {"3 files", 3, 0},
        {"9 files", 9, 0},
        {"2 files that overlap", 2, 1},
        {"3 files that overlap", 3, 217},
        {"7 files that overlap much", 7, 1200},
    };
    (void)state;
    folder = aid_folder();
    assert_non_null(folder);
    for (int trial = 0; trial < TRIALS; trial++) {
        uint32_t log = (uint32_t)trial * 31U + 5U;
        random_state = log * 977U;
        read_base(log);
        for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
            faults_init(&faults);
            read_pieces(log, rows[i].pieces, rows[i].overlap);
            want_same(rows[i].name, trial);
        }
    }
    aid_remove(folder);
    free(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(clothes_change_nothing),
        cmocka_unit_test(dealing_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
