/* Threads: started with a small stack; how many are worth starting.
 */
#ifndef BASE_THREADS_H
#define BASE_THREADS_H

#include <pthread.h>
#include <stdbool.h>

/* Returns: false if the machine gives none (the caller goes on without it). */
bool thread_start(pthread_t *thread, void *(*run)(void *), void *state);

/* Processor cores that this process may use; 1 if that cannot be asked. */
unsigned thread_cores(void);

#endif
