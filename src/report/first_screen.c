#include "report/first_screen.h"

#include <string.h>

const char *first_screen_label(enum finding_place place)
{
    static const char *const labels[FINDING_DETAIL] = {
        "", "Checks", "Readings", "Windows", "Cannot say", "Uncertainty", "Criteria", "Not stated",
    };
    return labels[place];
}

bool first_screen_says_plus_minus(const struct document *doc)
{
    for (size_t i = 0; i < doc->n_findings; i++)
        if (doc->findings[i].place < FINDING_DETAIL && strstr(doc->findings[i].text, "±"))
            return true;
    return false;
}
