/* Reads a log of make_log through the whole of ingest and says what was read, for time and memory:
 *
 *     /usr/bin/time -v read_log long.csv
 */
#include "ingest/reader.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

struct sum {
    uint64_t rows;
    uint64_t blocks;
    double inlet;
};

static bool take(void *state, const struct block *block, struct faults *faults)
{
    struct sum *sum = state;
    (void)faults;
    sum->rows += block->n;
    sum->blocks++;
    for (size_t i = 0; i < block->n; i++)
        sum->inlet += block->value[CH_INLET][i];
    return true;
}

static bool fill(struct log_plan *plan, const char *path, struct faults *faults)
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
        {CH_WIND, "Wind", "m/s", DIM_SPEED},
        {CH_DIFFUSE, "G diffuse", "W/m2", DIM_IRRADIANCE},
    };
    bool ok = log_plan_add_file(plan, path, faults) &&
              log_plan_set_time(plan, "Time", NULL, "ISO 8601", faults);
    for (size_t i = 0; ok && i < sizeof columns / sizeof columns[0]; i++)
        ok =
            log_plan_add_column(plan, columns[i].channel, columns[i].name,
                                unit_find(columns[i].unit, columns[i].dimension), 1.0, 0.0, faults);
    return ok;
}

int main(int argc, char **argv)
{
    static struct faults faults;
    struct log_plan plan;
    struct log_account account;
    struct sum sum = {0, 0, 0.0};
    struct sink sink = {.state = &sum, .take = take, .finish = NULL};
    if (argc != 2) {
        fputs("usage: read_log FILE\n", stderr);
        return 2;
    }
    faults_init(&faults);
    log_plan_init(&plan);
    log_account_init(&account);
    if (fill(&plan, argv[1], &faults) && log_read(&plan, &sink, 1, &account, &faults))
        printf("%" PRIu64 " rows in %" PRIu64 " blocks, step %" PRId64
               " us, mean inlet %.4f degC\nsha256 %s\n",
               sum.rows, sum.blocks, account.step_us, sum.inlet / (double)sum.rows,
               account.files[0].sha256);
    faults_print(&faults, "read_log", stderr);
    log_account_free(&account);
    log_plan_free(&plan);
    return faults_status(&faults);
}
