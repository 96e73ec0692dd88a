#include "ingest/batch.h"

#include "ingest/batch_avx2.h"

#include <math.h>
#include <string.h>

/* Bytes that may be read before a field. */
enum { BEFORE = 16 };

static void add_number(struct batch *batch, const struct row_form *form, size_t field, size_t k)
{
    const struct row_scale *to = &form->scale[k];
    size_t i = batch->n_numbers++;
    batch->number_field[i] = field;
    batch->column[i] = k;
    batch->gain[i] = to->gain;
    batch->add[i] = to->add;
    batch->scale[i] = to->scale;
    batch->offset[i] = to->offset;
    batch->least_si[i] = to->least_si;
    batch->most_si[i] = to->most_si;
}

static void set_quad(const struct batch *batch, size_t first, struct batch_quad *quad)
{
    for (size_t i = 0; i < BATCH_QUAD; i++) {
        quad->field[i] = batch->number_field[first + i];
        quad->column[i] = batch->column[first + i];
        quad->gain[i] = batch->gain[first + i];
        quad->add[i] = batch->add[first + i];
        quad->scale[i] = batch->scale[first + i];
        quad->offset[i] = batch->offset[first + i];
        quad->least_si[i] = batch->least_si[first + i];
        quad->most_si[i] = batch->most_si[first + i];
    }
    quad->side_by_side = quad->field[BATCH_QUAD - 1] - quad->field[0] == BATCH_QUAD - 1;
    batch_avx2_settle(quad);
}

/* The last four reach back to numbers that the four before them have too: none is a special case.
 */
static void set_quads(struct batch *batch)
{
    size_t n = batch->n_numbers;
    if (n < BATCH_QUAD)
        return;
    for (size_t first = 0; first < n; first += BATCH_QUAD)
        set_quad(batch, first + BATCH_QUAD <= n ? first : n - BATCH_QUAD,
                 &batch->quad[batch->n_quads++]);
}

void batch_init(struct batch *batch, const struct rows *rows)
{
    const struct log_plan *plan = rows->form->plan;
    memset(batch, 0, sizeof *batch);
    for (size_t i = 0; i < BATCH_NUMBERS; i++) {
        batch->gain[i] = batch->scale[i] = 1.0;
        batch->least_si[i] = -INFINITY;
        batch->most_si[i] = INFINITY;
    }
    batch->n_fields = rows->header.n;
    batch->n_times = plan->n_time_columns;
    if (batch->n_times > 2)
        return;
    for (size_t i = 0; i < batch->n_times; i++)
        batch->time_field[i] = rows->time_field[i];
    for (size_t i = 0; i < batch->n_fields; i++)
        if (rows->role[i] >= 0)
            add_number(batch, rows->form, i, (size_t)rows->role[i]);
    for (size_t k = 0; k < plan->n_columns; k++)
        if (plan->columns[k].signal != NULL)
            return;
    batch->able = batch_avx2_able() && plan->separator != plan->decimal && batch->n_fields > 1 &&
                  batch->n_numbers > 0;
    set_quads(batch);
    batch_shapes_init(&batch->shapes, rows);
}

/* Marks for the rows from lines->start on; those of the last call where they still hold. */
static bool find_marks(struct batch *batch, const struct lines *lines, char separator)
{
    size_t start = lines->start;
    if (batch->fills == lines->fills && start < batch->piece_end) {
        while (batch->next < batch->n_marks && batch->mark[batch->next] < start)
            batch->next++;
        if (batch->mark[batch->next - 1] + 1 == start &&
            batch->n_marks - batch->next > batch->n_fields)
            return true;
    }
    size_t n = lines->end - start < BATCH_PIECE ? lines->end - start : BATCH_PIECE;
    batch->fills = lines->fills;
    batch->mark[0] = (uint32_t)(start - 1);
    batch->n_marks = 1;
    batch->next = 1;
    batch->piece_end = start + n / BATCH_MARKED * BATCH_MARKED;
    batch->n_marks += batch_avx2_marks(lines->buffer, start, batch->piece_end, separator,
                                       batch->mark + 1);
    return batch->n_marks - batch->next > batch->n_fields;
}

size_t batch_take(struct batch *batch, struct rows *rows, struct batch_target *target)
{
    struct lines *lines = &rows->lines;
    size_t taken = 0;
    if (!batch->able)
        return 0;
    while (taken < target->room) {
        if (lines_peek(lines) == NULL || lines->start < BEFORE)
            break;
        taken += batch_shapes_rows(&batch->shapes, rows, target, taken);
        if (taken == target->room || !find_marks(batch, lines, rows->form->plan->separator))
            break;
        size_t more = batch_avx2_rows(batch, rows, target, taken);
        if (more == 0)
            break;
        lines_pass(lines, batch->mark[batch->next - 1] + 1 - lines->start, more);
        taken += more;
    }
    return taken;
}
