#include "domain/error_source.h"

#include "base/text.h"

#include <assert.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const kind_words[] = {
    [ERROR_CALIBRATION] = "calibration", [ERROR_SESSION] = "session", [ERROR_READING] = "reading"};

const char *error_kind_word(enum error_kind kind)
{
    return kind_words[kind];
}

void error_print(char *out, size_t size, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    int n = vsnprintf(out, size, format, args);
    va_end(args);
    if (n < 0)
        out[0] = '\0';
    while (!text_is_utf8(out, strlen(out)))
        out[strlen(out) - 1] = '\0';
}

bool error_source_acts(const struct error_source *row, const struct means *means)
{
    if (!row->bounded)
        return true;
    if (!means->timed)
        return row->until_us == INT64_MAX;
    return means->start_us >= row->from_us && means->start_us < row->until_us;
}

void registry_init(struct error_registry *registry)
{
    registry->rows = NULL;
    registry->n = 0;
    registry->capacity = 0;
}

void registry_free(struct error_registry *registry)
{
    free(registry->rows);
    registry_init(registry);
}

bool registry_add(struct error_registry *registry, const struct error_source *row,
                  struct faults *faults)
{
    if (registry->n == registry->capacity) {
        size_t capacity = registry->capacity > 0 ? 2 * registry->capacity : 16;
        struct error_source *grown = realloc(registry->rows, capacity * sizeof *grown);
        if (grown == NULL)
            return fault_memory(faults);
        registry->rows = grown;
        registry->capacity = capacity;
    }
    registry->rows[registry->n++] = *row;
    return true;
}

double *shifts_slot(struct shifts *shifts, const struct error_target *target)
{
    switch (target->what) {
    case SHIFT_GAIN:
        return &shifts->gain[target->channel];
    case SHIFT_OFFSET:
        return &shifts->offset[target->channel];
    case SHIFT_MOUNTING:
        return &shifts->mounting[target->channel];
    case SHIFT_PIPE:
        return &shifts->pipe_W_K[target->channel];
    case SHIFT_AREA:
        return &shifts->area;
    case SHIFT_CP:
        return &shifts->cp;
    case SHIFT_DENSITY:
        return &shifts->density;
    case SHIFT_FRACTION:
        return &shifts->fraction;
    case SHIFT_CAPACITY:
        return &shifts->capacity_J_m2K;
    case SHIFT_DRIFT:
        return &shifts->drift_K_s;
    case SHIFT_LOSS:
        return &shifts->loss_W_m2;
    case SHIFT_LOSS_SLOPE:
        return &shifts->loss_W_m2K;
    case SHIFT_TILT:
        return &shifts->tilt_rad;
    case SHIFT_AZIMUTH:
        return &shifts->azimuth_rad;
    case SHIFT_CLOCK:
        return &shifts->clock_s;
    case SHIFT_DIRECTION:
        return &shifts->direction_W_m2;
    case SHIFT_DIFFUSE_SHARE:
        return &shifts->diffuse_share;
    case SHIFT_PROPERTY: /* not of a point */
    case SHIFT_COUNT:
        break;
    }
    assert(false);
    return NULL;
}

void shifts_add(struct shifts *shifts, const struct error_source *row, double value)
{
    for (size_t i = 0; i < row->n_targets; i++)
        *shifts_slot(shifts, &row->targets[i]) += row->targets[i].weight * value;
}
