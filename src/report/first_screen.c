#include "report/first_screen.h"

#include <string.h>

const char *first_screen_label(enum finding_place place)
{
    static const char *const labels[FINDING_DETAIL] = {
        "", "Checks", "Readings", "Windows", "Cannot say", "Uncertainty", "Criteria", "Not stated",
    };
    return labels[place];
}

static bool says_plus_minus(const struct document *doc)
{
    for (size_t i = 0; i < doc->n_findings; i++)
        if (doc->findings[i].place < FINDING_DETAIL && strstr(doc->findings[i].text, "±"))
            return true;
    return false;
}

static bool doubts_answer(const struct document *doc)
{
    for (size_t i = 0; i < doc->n_findings; i++)
        if (doc->findings[i].place == FINDING_ANSWER && doc->findings[i].doubt)
            return true;
    return false;
}

const char *first_screen_plus_minus(const struct document *doc)
{
    if (!says_plus_minus(doc))
        return NULL;
    if (doubts_answer(doc))
        return "(± is half of the 95 % interval from the errors that were stated. It does not "
               "count "
               "what is marked above.)";
    return "(± is half of the 95 % interval: in 19 of 20 such tests it holds the truth.)";
}
