#include "draft/draft.h"

#include "draft/describe.h"
#include "draft/draft_log.h"
#include "draft/understood.h"

#include <assert.h>

bool draft_write(const char *const *logs, size_t n, struct text *understood,
                 struct text *description, struct faults *faults)
{
    assert(n > 0);
    struct draft_log log;
    bool good = draft_log_read(&log, logs, n, faults);
    if (good) {
        understood_add(&log, understood);
        good = describe_add(&log, description, faults) && text_ok(understood, faults);
    }
    draft_log_free(&log);
    return good;
}
