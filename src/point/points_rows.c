#include "point/points_rows.h"

#include "base/files.h"
#include "base/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void points_rows_init(struct points_rows *rows, struct means_list *means)
{
    memset(rows, 0, sizeof *rows);
    rows->means = means;
}

void points_rows_free(struct points_rows *rows)
{
    free(rows->origins);
    free(rows->bad);
    points_rows_init(rows, NULL);
}

/* Room for one item more. Returns: false with a machine fault. */
static bool grow(void **items, size_t n, size_t *capacity, size_t size, struct faults *faults)
{
    if (n < *capacity)
        return true;
    size_t more = *capacity == 0 ? 32 : 2 * *capacity;
    void *larger = realloc(*items, more * size);
    if (larger == NULL)
        return fault_memory(faults);
    *items = larger;
    *capacity = more;
    return true;
}

bool points_rows_add(struct points_rows *rows, const struct means *means,
                     const struct points_origin *origin, struct faults *faults)
{
    if (rows->n == POINTS_ROWS_MAX) {
        struct fault *fault =
            fault_new(faults, FAULT_INPUT, fault_at(origin->file, origin->line, 0));
        fault_found(fault, "the points tables hold more than %d rows", POINTS_ROWS_MAX);
        fault_hint(fault, "is it a log? a log belongs under [log]");
        return false;
    }
    void *origins = rows->origins;
    bool good = grow(&origins, rows->n, &rows->capacity, sizeof *rows->origins, faults);
    rows->origins = origins;
    if (!good || !means_list_add(rows->means, means, faults))
        return false;
    rows->origins[rows->n++] = *origin;
    return true;
}

struct fault *points_rows_blame(struct points_rows *rows, size_t row, bool unlikely,
                                struct faults *faults)
{
    struct points_origin *origin = &rows->origins[row];
    if (rows->n_bad == POINTS_BAD_MAX) {
        origin->faulty = origin->beyond = true;
        rows->n_beyond++;
        return &rows->spare.fault;
    }
    void *bad = rows->bad;
    bool good = grow(&bad, rows->n_bad, &rows->bad_capacity, sizeof *rows->bad, faults);
    rows->bad = bad;
    if (!good)
        return NULL;
    struct points_bad *one = &rows->bad[rows->n_bad++];
    memset(one, 0, sizeof *one);
    one->row = row;
    one->unlikely = unlikely;
    one->fault.kind = FAULT_INPUT;
    fault_place(&one->fault, fault_at(origin->file, origin->line, 0));
    origin->faulty = true;
    return &one->fault;
}

static void name_by_line(struct means *means, const struct points_origin *origin, bool several)
{
    const char *head = means->group[0] != '\0' ? means->group
                       : several               ? origin->group_of_file
                                               : "";
    snprintf(means->name, sizeof means->name, "%.32s%srow %ld", head, head[0] == '\0' ? "" : " ",
             origin->line);
}

/* Rows by name, then in their order. */
struct named {
    const struct means *means;
    size_t row;
};

static int by_name(const void *a, const void *b)
{
    const struct named *x = a, *y = b;
    int order = strcmp(x->means->name, y->means->name);
    return order != 0 ? order : (x->row > y->row) - (x->row < y->row);
}

/* Returns: NULL with a machine fault; the caller frees. */
static struct named *sort_names(const struct points_rows *rows, struct faults *faults)
{
    struct named *sorted = calloc(rows->n + 1, sizeof *sorted);
    if (sorted == NULL) {
        fault_memory(faults);
        return NULL;
    }
    for (size_t i = 0; i < rows->n; i++)
        sorted[i] = (struct named){&rows->means->items[i], i};
    qsort(sorted, rows->n, sizeof *sorted, by_name);
    return sorted;
}

static size_t run_of_name(const struct named *sorted, size_t n, size_t from)
{
    size_t to = from + 1;
    while (to < n && text_same(sorted[to].means->name, sorted[from].means->name))
        to++;
    return to;
}

/* Whether a run of one name is of several groups. */
static bool is_shared(const struct named *sorted, size_t from, size_t to)
{
    const char *group = "";
    for (size_t i = from; i < to; i++) {
        const char *own = sorted[i].means->group;
        if (own[0] != '\0' && group[0] != '\0' && !text_same(own, group))
            return true;
        group = own[0] != '\0' ? own : group;
    }
    return false;
}

/* All of a name at once, so that the first and the last are treated alike. The sorted names are not
 * looked at again behind a run that is renamed. */
static bool put_groups_before(struct points_rows *rows, struct faults *faults)
{
    struct named *sorted = sort_names(rows, faults);
    if (sorted == NULL)
        return false;
    for (size_t from = 0, to; from < rows->n; from = to) {
        to = run_of_name(sorted, rows->n, from);
        if (!is_shared(sorted, from, to))
            continue;
        for (size_t i = from; i < to; i++) {
            char name[MEANS_NAME_SIZE];
            struct means *means = &rows->means->items[sorted[i].row];
            if (means->group[0] == '\0')
                continue;
            snprintf(name, sizeof name, "%.24s %.22s", means->group, means->name);
            strcpy(means->name, name);
        }
    }
    free(sorted);
    return true;
}

static bool refuse_twice(struct points_rows *rows, struct faults *faults)
{
    struct named *sorted = sort_names(rows, faults);
    bool good = sorted != NULL;
    for (size_t i = 1; i < rows->n && good; i++) {
        if (!text_same(sorted[i].means->name, sorted[i - 1].means->name))
            continue;
        struct fault *fault = points_rows_blame(rows, sorted[i].row, false, faults);
        good = fault != NULL;
        if (!good)
            break;
        fault_found(fault, "this name stands twice");
        fault_hint(fault, "a point is left out by its name, so each needs its own");
    }
    free(sorted);
    return good;
}

/* "group 'Blue', point '3', field 4 'inlet'": people look for their row by these. */
static void tell_row(const struct points_rows *rows, struct points_bad *bad)
{
    const struct means *means = &rows->means->items[bad->row];
    char field[FAULT_FIELD_SIZE];
    snprintf(field, sizeof field, "%s", bad->fault.field);
    bool grouped = means->group[0] != '\0';
    fault_field(&bad->fault, "%s%s%spoint '%s'%s%s", grouped ? "group '" : "", means->group,
                grouped ? "', " : "", means->name, field[0] == '\0' ? "" : ", ", field);
    if (bad->unlikely)
        fault_hint(&bad->fault,
                   "correct the cell; if it is true after all, write 'keep = %s, REASON' "
                   "under [points]",
                   means->name);
}

bool points_rows_name(struct points_rows *rows, bool several, struct faults *faults)
{
    for (size_t i = 0; i < rows->n; i++)
        if (!rows->origins[i].named)
            name_by_line(&rows->means->items[i], &rows->origins[i], several);
    if (!put_groups_before(rows, faults) || !refuse_twice(rows, faults))
        return false;
    for (size_t i = 0; i < rows->n_bad; i++)
        tell_row(rows, &rows->bad[i]);
    points_rows_sort(rows);
    return true;
}

static void mark_faulty(struct points_rows *rows)
{
    for (size_t i = 0; i < rows->n; i++)
        rows->origins[i].faulty = rows->origins[i].beyond;
    for (size_t i = 0; i < rows->n_bad; i++)
        rows->origins[rows->bad[i].row].faulty = true;
}

bool points_rows_keep(struct points_rows *rows, const char *name)
{
    bool found = false;
    for (size_t i = 0; i < rows->n; i++)
        found |= text_same(rows->means->items[i].name, name);
    size_t kept = 0;
    for (size_t i = 0; i < rows->n_bad; i++)
        if (!rows->bad[i].unlikely || !text_same(rows->means->items[rows->bad[i].row].name, name))
            rows->bad[kept++] = rows->bad[i];
    rows->n_bad = kept;
    mark_faulty(rows);
    return found;
}

static int by_row(const void *a, const void *b)
{
    const struct points_bad *x = a, *y = b;
    if (x->row != y->row)
        return x->row > y->row ? 1 : -1;
    return (x->order > y->order) - (x->order < y->order);
}

void points_rows_sort(struct points_rows *rows)
{
    for (size_t i = 0; i < rows->n_bad; i++)
        rows->bad[i].order = i;
    if (rows->n_bad > 1)
        qsort(rows->bad, rows->n_bad, sizeof *rows->bad, by_row);
}

bool points_rows_refuse(const struct points_rows *rows, struct faults *faults)
{
    for (size_t i = 0; i < rows->n_bad; i++)
        *fault_new(faults, FAULT_INPUT, fault_at(NULL, 0, 0)) = rows->bad[i].fault;
    return rows->n_bad == 0;
}

void points_rows_drop(struct points_rows *rows)
{
    size_t kept = 0;
    for (size_t i = 0; i < rows->n; i++)
        if (!rows->origins[i].faulty)
            rows->means->items[kept++] = rows->means->items[i];
    rows->means->n = kept;
}
