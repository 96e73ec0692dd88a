#include "draft/draft.h"

#include "draft/describe.h"
#include "draft/describe_line.h"
#include "draft/draft_json.h"
#include "draft/draft_read.h"
#include "draft/points_seen.h"
#include "draft/understood.h"

#include <assert.h>
#include <string.h>

/* Lists the places to fill in, each with its section, from the description's own lines. */
static void add_places(const char *description, struct text *out)
{
    const char *line = description;
    const char *section = "";
    size_t section_n = 0;
    text_add(out, "\nTo be filled in by hand (marked FILL IN in the description)\n");
    while (*line != '\0') {
        size_t n = strcspn(line, "\n");
        const char *mark = strstr(line, FILL_IN);
        if (*line == '[') {
            section = line;
            section_n = n;
        } else if (*line != '#' && mark != NULL && mark < line + n) {
            size_t key_n = strcspn(line, "=");
            while (key_n > 0 && line[key_n - 1] == ' ')
                key_n--;
            const char *what = mark + strlen(FILL_IN);
            text_addf(out, "  %.*s %.*s: %.*s\n", (int)section_n, section, (int)key_n, line,
                      (int)(line + n - what), what);
        }
        line += n + (line[n] == '\n');
    }
}

/* Out: description, and what was understood. */
static bool write_texts(const struct draft_log *log, struct text *understood,
                        struct text *description, struct faults *faults)
{
    size_t before = description->length;
    bool points = points_seen(log);
    if (points)
        points_seen_understood(log, understood);
    else
        understood_add(log, understood);
    if (!(points ? points_seen_describe(log, description, faults)
                 : describe_add(log, description, faults)))
        return false;
    add_places(text_string(description) + before, understood);
    return text_ok(understood, faults);
}

bool draft_write(const char *const *logs, size_t n, const struct dialect *pinned,
                 const char *beside, struct text *understood, struct text *description,
                 struct text *json, struct faults *faults)
{
    assert(n > 0);
    struct draft_log log;
    bool good = draft_log_read(&log, logs, n, pinned, faults);
    log.beside = beside;
    good = good && write_texts(&log, understood, description, faults);
    if (good && json != NULL) {
        draft_json_add(&log, text_string(description), json);
        good = text_ok(json, faults);
    }
    draft_log_free(&log);
    return good;
}
