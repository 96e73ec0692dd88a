#include "draft/describe_line.h"

void describe_line(struct text *out, const char *key, const char *value, const char *mark,
                   const char *remark)
{
    size_t before = out->length;
    text_addf(out, "%-13s =", key);
    if (value[0] != '\0')
        text_addf(out, " %s", value);
    if (remark != NULL) {
        size_t length = out->length - before;
        size_t stop = length <= 32 ? 32 : length <= 52 ? 52 : length;
        text_addf(out, "%*s  %s%s", (int)(stop - length), "", mark, remark);
    }
    text_add(out, "\n");
}
