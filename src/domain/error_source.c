#include "domain/error_source.h"

#include <stdlib.h>

static const char *const kind_words[] = {
    [ERROR_CALIBRATION] = "calibration", [ERROR_SESSION] = "session", [ERROR_READING] = "reading"};

const char *error_kind_word(enum error_kind kind)
{
    return kind_words[kind];
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

void shifts_add(struct shifts *shifts, const struct error_source *row, double value)
{
    for (size_t i = 0; i < row->n_targets; i++) {
        const struct error_target *target = &row->targets[i];
        double shift = target->weight * value;
        switch (target->what) {
        case SHIFT_GAIN:
            shifts->gain[target->channel] += shift;
            break;
        case SHIFT_OFFSET:
            shifts->offset[target->channel] += shift;
            break;
        case SHIFT_MOUNTING:
            shifts->mounting[target->channel] += shift;
            break;
        case SHIFT_PIPE:
            shifts->pipe_W_K[target->channel] += shift;
            break;
        case SHIFT_AREA:
            shifts->area += shift;
            break;
        case SHIFT_CP:
            shifts->cp += shift;
            break;
        case SHIFT_DENSITY:
            shifts->density += shift;
            break;
        case SHIFT_FRACTION:
            shifts->fraction += shift;
            break;
        case SHIFT_CAPACITY:
            shifts->capacity_J_m2K += shift;
            break;
        case SHIFT_DRIFT:
            shifts->drift_K_s += shift;
            break;
        case SHIFT_LOSS:
            shifts->loss_W_m2 += shift;
            break;
        case SHIFT_LOSS_SLOPE:
            shifts->loss_W_m2K += shift;
            break;
        case SHIFT_PROPERTY: /* not of a point */
        case SHIFT_COUNT:
            break;
        }
    }
}
