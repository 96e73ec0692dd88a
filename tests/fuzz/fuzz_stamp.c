/* Forms of stamps and stamps: the first line is the form, each line after it a stamp. A first
 * letter Z means that the stamps carry their zone. */
#include "base/calendar.h"
#include "ingest/stamp.h"
#include "tests/fuzz/fuzz.h"

#include <stdlib.h>
#include <string.h>

const char *const fuzz_name = "stamp";
const int fuzz_inputs_least = 23;

enum { FORM_MOST = 180 };

/* Centuries around ours: what a form of four digits can name. */
static void check(int64_t time_us)
{
    const int64_t most_us = INT64_C(10000) * 366 * 86400 * 1000000;
    if (time_us > most_us || time_us < -most_us)
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct faults faults;
    struct stamp_format format;
    char form[FORM_MOST + 1];
    const char *bytes = (const char *)data, *end = bytes + size;
    bool zone_in_stamp = size > 0 && bytes[0] == 'Z';
    bytes += zone_in_stamp;
    const char *line_end = size > 0 ? memchr(bytes, '\n', (size_t)(end - bytes)) : NULL;
    if (line_end == NULL || line_end - bytes > FORM_MOST)
        return 0;
    memcpy(form, bytes, (size_t)(line_end - bytes));
    form[line_end - bytes] = '\0';
    faults_init(&faults);
    if (!stamp_compile(form, zone_in_stamp, NULL, fault_at("test.txt", 1, 1), &format, &faults))
        return 0;
    for (bytes = line_end + 1; bytes < end; bytes = line_end + 1) {
        int64_t time_us = 0;
        line_end = memchr(bytes, '\n', (size_t)(end - bytes));
        if (line_end == NULL)
            line_end = end;
        if (stamp_read(&format, bytes, (size_t)(line_end - bytes), &time_us) == STAMP_GOOD)
            check(time_us);
    }
    return 0;
}
