#include "draft/clock_yearless.h"

#include "draft/clock_form.h"
#include "draft/clock_look.h"

#include <stdio.h>
#include <string.h>

static const char *const days[] = {"%d.%m.",   "%d.%m",    "%d/%m",     "%m/%d",     "%d-%m",
                                   "%m-%d",    "%d %b",    "%d. %b",    "%b %d",     "%d-%b",
                                   "%d de %b", "%a %d %b", "%a, %d %b", "%a %d. %b", "%a %b %d"};
static const char *const hours[] = {"%H:%M:%S", "%H:%M", "%I:%M:%S %p", "%I:%M %p", "%q"};
enum {
    DAYS = sizeof days / sizeof days[0],
    HOURS = sizeof hours / sizeof hours[0],
    ROWS_TRIED = 40
};

/* A year that has a 29 February is put in front of each stamp. */
static bool read_by(const struct sample *sample, const struct clock *clock, const char *pattern,
                    bool *reads, struct faults *faults)
{
    char text[CLOCK_TEXT_SIZE], whole[CLOCK_TEXT_SIZE + 8];
    struct stamp_format format;
    size_t stamps = 0, n = 0, stride = sample->n_rows / ROWS_TRIED + 1;
    if (!stamp_compile(pattern, false, NULL, fault_at(NULL, 0, 0), &format, faults))
        return false;
    format.decimal = sample->dialect.decimal;
    for (size_t row = 0; row < sample->n_rows; row += stride) {
        int64_t time_us;
        if (!clock_form_stamp(sample, clock, row, text))
            continue;
        snprintf(whole, sizeof whole, "2024 %s", text);
        stamps++;
        n += stamp_read(&format, whole, strlen(whole), &time_us) == STAMP_GOOD;
    }
    *reads = stamps > 0 && 2 * n > stamps;
    return true;
}

/* Tries all forms on the clock's columns. */
static bool try_forms(const struct sample *sample, const struct clock *clock, bool *reads,
                      struct faults *faults)
{
    static const char *const glues[] = {" ", ", "};
    char pattern[CLOCK_FORMAT_SIZE];
    *reads = false;
    for (size_t day = 0; day < DAYS; day++)
        for (size_t hour = 0; hour < HOURS; hour++)
            for (size_t glue = 0; glue < 2 && !*reads; glue++) {
                snprintf(pattern, sizeof pattern, "%%Y %s%s%s", days[day], glues[glue],
                         hours[hour]);
                if (!read_by(sample, clock, pattern, reads, faults))
                    return false;
            }
    return true;
}

bool clock_yearless_find(const struct sample *sample, struct clock *clock, struct faults *faults)
{
    size_t none = sample->head.n, hour = clock_look_find(sample, CELL_HOUR);
    bool reads = false;
    hour = hour == none ? clock_look_share(sample) : hour;
    for (size_t i = 0; i < none && !reads; i++) {
        struct clock tried = {.column = {i, hour}, .n_columns = 1};
        if (i != 0 && !head_rows_time_word(sample->head.name[i]))
            continue;
        if (!try_forms(sample, &tried, &reads, faults))
            return false;
        tried.n_columns = 2;
        if (!reads && hour != none && hour != i && !try_forms(sample, &tried, &reads, faults))
            return false;
        clock->column[0] = i;
    }
    clock->yearless = reads;
    return true;
}
