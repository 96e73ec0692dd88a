#include "run/doubt_say.h"

#include <ctype.h>
#include <stdio.h>

const char *doubt_who(const struct doubted *of, char *out, size_t size)
{
    out[0] = '\0';
    if (of->who != NULL)
        snprintf(out, size, "'%s': ", of->who);
    return out;
}

bool doubt_say(const struct doubted *of, const char *opening, const char *found, const char *hint,
               struct document *doc, struct faults *faults)
{
    const char *file = of->reduction->setup.path;
    struct fault *fault = fault_new(faults, FAULT_WARNING, fault_at(file, of->run->head.line, 0));
    fault_found(fault, "%c%s", tolower((unsigned char)found[0]), found + 1);
    fault_hint(fault, "%s", hint);
    char name[DOUBTED_NAME_SIZE];
    return document_finding(doc, FINDING_ANSWER, true, faults, "%s%s%s. What to do: %s.",
                            doubt_who(of, name, sizeof name), opening, found, hint);
}
