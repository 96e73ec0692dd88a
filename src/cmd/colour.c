#include "cmd/colour.h"

#include "base/text.h"

#include <stdlib.h>
#include <unistd.h>

bool colour_wanted(void)
{
    const char *term = getenv("TERM");
    const char *forbidden = getenv("NO_COLOR");
    return isatty(STDOUT_FILENO) && term != NULL && term[0] != '\0' && !text_same(term, "dumb") &&
           (forbidden == NULL || forbidden[0] == '\0');
}
