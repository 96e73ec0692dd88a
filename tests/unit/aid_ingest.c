#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "tests/unit/aid_ingest.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

void aid_ingest_plan(struct log_plan *plan, const char *path)
{
    static const struct {
        enum channel channel;
        const char *name;
        const char *unit;
        enum dimension dimension;
    } columns[] = {
        {CH_IRRADIANCE, "G tilt", "W/m2", DIM_IRRADIANCE},
        {CH_AMBIENT, "T air", "degC", DIM_TEMPERATURE},
        {CH_INLET, "T in", "degC", DIM_TEMPERATURE},
        {CH_OUTLET, "T out", "degC", DIM_TEMPERATURE},
        {CH_FLOW, "Flow", "L/min", DIM_VOLUME_FLOW},
    };
    static struct faults faults;
    faults_init(&faults);
    log_plan_init(plan);
    assert_true(log_plan_add_file(plan, path, &faults));
    assert_true(log_plan_set_time(plan, "Time", NULL, "ISO 8601", &faults));
    for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++) {
        const struct unit *unit = unit_find(columns[i].unit, columns[i].dimension);
        assert_non_null(unit);
        assert_true(log_plan_add_column(plan, columns[i].channel, columns[i].name, unit, 1.0, 0.0,
                                        &faults));
    }
}

static bool take(void *state, const struct block *block, struct faults *faults)
{
    struct kept *kept = state;
    (void)faults;
    assert_true(block->n > 0 && block->n <= BLOCK_ROWS);
    assert_true(kept->n + block->n <= KEPT_ROWS_MAX);
    if (kept->blocks == 0)
        kept->first_gap_before = block->gap_before;
    else
        kept->gaps += block->gap_before;
    for (size_t i = 0; i < block->n; i++) {
        size_t row = kept->n++;
        kept->time_us[row] = block->time_us[i];
        kept->block_of[row] = kept->blocks;
        for (size_t ch = 0; ch < CH_LOGGED; ch++) {
            kept->value[ch][row] = block->present[ch] ? block->value[ch][i] : NAN;
            kept->flag[ch][row] = block->present[ch] ? block->flag[ch][i] : FLAG_COUNT;
        }
    }
    kept->blocks++;
    return kept->blocks != kept->stop_after;
}

static bool finish(void *state, struct faults *faults)
{
    struct kept *kept = state;
    (void)faults;
    kept->finished = true;
    return true;
}

struct sink aid_ingest_sink(struct kept *kept)
{
    memset(kept, 0, sizeof *kept);
    return (struct sink){.state = kept, .take = take, .finish = finish};
}

void aid_ingest_folder(char *out)
{
    const char *parent = getenv("TMPDIR");
    snprintf(out, 200, "%s/ingest-XXXXXX", parent == NULL || *parent == '\0' ? "/tmp" : parent);
    assert_non_null(mkdtemp(out));
}

void aid_ingest_write(const char *folder, const char *name, const char *bytes, size_t n, char *path)
{
    snprintf(path, 300, "%s/%s", folder, name);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, n, file), n);
    assert_int_equal(fclose(file), 0);
}

/* Calls `each` for the visible entries of a folder. Returns: how many there are. */
static size_t walk(const char *folder, void (*each)(const char *path))
{
    size_t n = 0;
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    for (struct dirent *entry = readdir(dir); entry != NULL; entry = readdir(dir)) {
        char path[600];
        if (entry->d_name[0] == '.')
            continue;
        n++;
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (each != NULL)
            each(path);
    }
    closedir(dir);
    return n;
}

static void remove_one(const char *path)
{
    assert_int_equal(unlink(path), 0);
}

void aid_ingest_remove(const char *folder)
{
    walk(folder, remove_one);
    assert_int_equal(rmdir(folder), 0);
}

size_t aid_ingest_count_files(const char *folder)
{
    return walk(folder, NULL);
}
