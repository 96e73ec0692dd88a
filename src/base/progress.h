/* Progress: how work that may take long says how far it is. Whoever shows it is in cmd/; whoever
 * works knows only this.
 */
#ifndef BASE_PROGRESS_H
#define BASE_PROGRESS_H

#include <stdint.h>

struct progress {
    /* doing: "reading" (static text); done of total, in any unit; total 0: not known */
    void (*tell)(void *state, const char *doing, uint64_t done, uint64_t total);
    void *state;
};

/* progress may be NULL: nobody wants to know. */
void progress_tell(const struct progress *progress, const char *doing, uint64_t done,
                   uint64_t total);

#endif
