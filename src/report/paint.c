#include "report/paint.h"

/* Of the eight colours that every terminal has, on its own background. */
void paint_add(struct text *out, bool colour, enum paint paint, const char *bytes, size_t n)
{
    static const char *const begin[] = {
        [PAINT_TITLE] = "\033[1m", [PAINT_DOUBT] = "\033[1;31m", [PAINT_GOOD] = "\033[32m"};
    if (colour)
        text_add(out, begin[paint]);
    text_add_bytes(out, bytes, n);
    if (colour)
        text_add(out, "\033[0m");
}
