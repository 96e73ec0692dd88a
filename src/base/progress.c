#include "base/progress.h"

#include <stddef.h>

void progress_tell(const struct progress *progress, const char *doing, uint64_t done,
                   uint64_t total)
{
    if (progress != NULL)
        progress->tell(progress->state, doing, done, total);
}
