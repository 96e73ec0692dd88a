#include "draft/clock_mm.h"

#include <string.h>
#include <strings.h>

/* Bytes of a name without the number that tells it from others (draft/head_rows.h). */
static size_t length_of(const struct head_rows *head, size_t column)
{
    const char *name = head->name[column];
    const char *number = strrchr(name, '(');
    bool twin = head->twin != NULL && head->twin[column] && number != NULL && number > name;
    return twin ? (size_t)(number - name) - 1 : strlen(name);
}

/* "m" alone is the minute, as "M" is the month. */
static bool is_mm(const struct head_rows *head, size_t column)
{
    const char *name = head->name[column];
    size_t n = length_of(head, column);
    bool twin = head->twin != NULL && head->twin[column];
    return (n == 2 && strncasecmp(name, "mm", n) == 0) ||
           (n == 1 && twin && strncasecmp(name, "m", n) == 0);
}

/* Whether all numbers of a column lie within limits, and there is one. */
static bool is_within(const struct sample *sample, size_t column, double least, double most)
{
    size_t n = 0;
    for (size_t row = 0; row < sample->n_rows; row++) {
        double value;
        if (!sample_number(sample, row, column, &value))
            continue;
        if (value < least || value > most)
            return false;
        n++;
    }
    return n > 0;
}

static bool can_be(const struct sample *sample, size_t month, size_t minute)
{
    return is_within(sample, month, 1.0, 12.0) && is_within(sample, minute, 0.0, 59.0);
}

/* Neighbours that say month, less those that say minute. */
static int month_beside(const struct head_rows *head, size_t column, bool is_date(const char *name),
                        bool is_clock(const char *name))
{
    int sum = 0;
    for (size_t i = column > 0 ? column - 1 : 0; i <= column + 1 && i < head->n; i++)
        if (i != column)
            sum += is_date(head->name[i]) - is_clock(head->name[i]);
    return sum;
}

static void swap(struct clock_mm *mm)
{
    size_t first = mm->column[0];
    mm->column[0] = mm->column[1];
    mm->column[1] = first;
}

void clock_mm_find(const struct sample *sample, bool is_date(const char *name),
                   bool is_clock(const char *name), struct clock_mm *mm)
{
    const struct head_rows *head = &sample->head;
    memset(mm, 0, sizeof *mm);
    for (size_t i = 0; i < head->n && mm->n < 2; i++)
        if (is_mm(head, i) && sample_name_trouble(sample, i, true) == NULL)
            mm->column[mm->n++] = i;
    if (mm->n < 2)
        return;
    int first = month_beside(head, mm->column[0], is_date, is_clock);
    int second = month_beside(head, mm->column[1], is_date, is_clock);
    bool small_first = head->name[mm->column[0]][0] == 'm';
    bool small_second = head->name[mm->column[1]][0] == 'm';
    if (first == second && small_first == small_second)
        return;
    if (first == second ? small_first : first < second)
        swap(mm);
    mm->told = can_be(sample, mm->column[0], mm->column[1]);
    if (!mm->told && mm->column[0] > mm->column[1])
        swap(mm);
}
