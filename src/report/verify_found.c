#include "report/verify_found.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void verify_add(struct verify_list *list, const char *format, ...)
{
    char line[1200];
    va_list arguments;
    if (list->n++ >= VERIFY_SHOWN)
        return;
    va_start(arguments, format);
    vsnprintf(line, sizeof line, format, arguments);
    va_end(arguments);
    text_add(&list->lines, line);
    text_add(&list->lines, "\n");
}

bool verify_told(const struct verify *verify, struct faults *faults)
{
    return text_ok(&verify->numbers.lines, faults) && text_ok(&verify->rounded.lines, faults) &&
           text_ok(&verify->texts.lines, faults) && text_ok(&verify->causes.lines, faults) &&
           text_ok(&verify->files.lines, faults);
}

void verify_free(struct verify *verify)
{
    text_free(&verify->causes.lines);
    text_free(&verify->numbers.lines);
    text_free(&verify->rounded.lines);
    text_free(&verify->texts.lines);
    text_free(&verify->files.lines);
    memset(verify, 0, sizeof *verify);
}
