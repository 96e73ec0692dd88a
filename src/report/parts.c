#include "report/parts.h"

#include <math.h>
#include <stdlib.h>

static const double SHARE_LEAST = 0.01;

/* The place of the part in the number is told by its pointer: qsort does not keep the order. */
static int by_size(const void *a, const void *b)
{
    const struct part *first = *(const struct part *const *)a;
    const struct part *second = *(const struct part *const *)b;
    if (fabs(first->u) != fabs(second->u))
        return fabs(first->u) < fabs(second->u) ? 1 : -1;
    return first < second ? -1 : 1;
}

static double square(const struct part *part)
{
    return part->u * part->u;
}

static void fill(struct part_lines *list, const struct part *const *ranked, size_t n)
{
    double sum = 0, rest = 0;
    size_t alone = 0;
    for (size_t i = 0; i < n; i++)
        sum += square(ranked[i]);
    while (alone < n && square(ranked[alone]) >= SHARE_LEAST * sum)
        alone++;
    if (n - alone == 1)
        alone = n;
    for (size_t i = 0; i < alone; i++)
        list->lines[i] =
            (struct part_line){ranked[i]->label, fabs(ranked[i]->u), square(ranked[i]) / sum};
    list->n = alone;
    for (size_t i = alone; i < n; i++)
        rest += square(ranked[i]);
    if (rest > 0)
        list->lines[list->n++] =
            (struct part_line){"all others together", sqrt(rest), rest / sum};
}

bool part_lines_make(struct part_lines *list, const struct number *number, struct faults *faults)
{
    size_t n = 0;
    list->n = 0;
    list->lines = calloc(number->n_parts + 1, sizeof *list->lines);
    const struct part **ranked = calloc(number->n_parts + 1, sizeof *ranked);
    if (list->lines == NULL || ranked == NULL) {
        free(ranked);
        part_lines_free(list);
        return fault_memory(faults);
    }
    for (size_t i = 0; i < number->n_parts; i++)
        if (isfinite(number->parts[i].u) && number->parts[i].u != 0)
            ranked[n++] = &number->parts[i];
    qsort(ranked, n, sizeof *ranked, by_size);
    fill(list, ranked, n);
    free(ranked);
    return true;
}

void part_lines_free(struct part_lines *list)
{
    free(list->lines);
    *list = (struct part_lines){NULL, 0};
}
