#include "description/value.h"

#include "base/calendar.h"
#include "base/numbers.h"

#include <string.h>

/* Two or four digits. */
static bool digits(const char *text, size_t n, int *value)
{
    long long number;
    if (strspn(text, "0123456789") < n || !number_read_integer(text, n, &number))
        return false;
    *value = (int)number;
    return true;
}

bool value_date(const char *text, struct place at, int64_t *day, struct faults *faults)
{
    struct civil civil = {0};
    int64_t time_us;
    bool form = strlen(text) == 10 && text[4] == '-' && text[7] == '-' &&
                digits(text, 4, &civil.year) && digits(text + 5, 2, &civil.month) &&
                digits(text + 8, 2, &civil.day);
    if (form && calendar_instant(&civil, &time_us)) {
        *day = calendar_day(time_us, 0);
        return true;
    }
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, form ? "there is no day '%s'" : "'%s' is not a date", text);
    fault_expected(fault, "year-month-day, such as '2026-03-01'");
    return false;
}
