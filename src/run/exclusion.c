#include "run/exclusion.h"

#include "base/text.h"
#include "run/stated_stamp.h"

#include <string.h>

static bool refuse(const char *text, const char *why, struct place at, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "'%s' %s", text, why);
    fault_expected(fault, "start, 'to', end, a comma and the reason: '2026-06-16T10:00:00+01:00 to "
                          "2026-06-16T10:30:00+01:00, a ladder stood in the sun'");
    return false;
}

bool exclusion_read(const char *text, const struct zone *zone, struct place at,
                    struct exclusion *exclusion, struct faults *faults)
{
    char copy[VALUE_SIZE];
    strcpy(copy, text);
    char *comma = strchr(copy, ',');
    if (comma != NULL)
        *comma = '\0';
    const char *reason = comma != NULL ? text_trim(comma + 1) : "";
    char *to = strstr(copy, " to ");
    if (to == NULL)
        return refuse(text, "is not a stretch of time", at, faults);
    if (*reason == '\0')
        return refuse(text, "does not say why the stretch is excluded", at, faults);
    *to = '\0';
    strcpy(exclusion->reason, reason);
    if (!stated_stamp_read(text_trim(copy), zone, at, &exclusion->start_us, faults) ||
        !stated_stamp_read(text_trim(to + 4), zone, at, &exclusion->end_us, faults))
        return false;
    if (exclusion->start_us >= exclusion->end_us)
        return refuse(text, "does not end after it starts", at, faults);
    return true;
}
