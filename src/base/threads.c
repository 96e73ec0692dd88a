#include "base/threads.h"

#include <sched.h>
#include <stddef.h>

/* Of memory that is set aside only, not used. */
enum { STACK_BYTES = 1 << 20 };

bool thread_start(pthread_t *thread, void *(*run)(void *), void *state)
{
    pthread_attr_t how;
    if (pthread_attr_init(&how) != 0)
        return false;
    bool good = pthread_attr_setstacksize(&how, STACK_BYTES) == 0 &&
                pthread_create(thread, &how, run, state) == 0;
    pthread_attr_destroy(&how);
    return good;
}

unsigned thread_cores(void)
{
    cpu_set_t set;
    if (sched_getaffinity(0, sizeof set, &set) != 0)
        return 1;
    int n = CPU_COUNT(&set);
    return n < 1 ? 1 : (unsigned)n;
}
