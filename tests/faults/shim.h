/* Shim: calls to the system that fail, fall short, are interrupted or end the program, at a
 * chosen one of them. The test programs beside it are linked so that the program's own calls
 * come here first (`--wrap` of the linker; the names stand in the Makefile), and all
 * allocations, those of libraries too. Under the address sanitizer, which has an allocator of
 * its own, only the program's own ones.
 *
 * fsync returns at once: what a disk really holds cannot be tested so, and the tests are many.
 */
#ifndef TESTS_FAULTS_SHIM_H
#define TESTS_FAULTS_SHIM_H

#include <stdbool.h>
#include <stdint.h>

enum shim_call {
    SHIM_ALLOCATE,
    SHIM_OPEN,     /* open, openat, fopen, opendir */
    SHIM_NAMELESS, /* open with O_TMPFILE */
    SHIM_READ,
    SHIM_WRITE,
    SHIM_FSYNC,
    SHIM_CLOSE,
    SHIM_RENAME,
    SHIM_MAKE, /* mkdtemp, mkostemp */
    SHIM_SPAWN,
    SHIM_REMOVE, /* unlink, unlinkat, rmdir */
    SHIM_THREAD, /* pthread_create: the error is what it returns */
    SHIM_CALLS,
    SHIM_DISK /* in a plan: whichever of those from SHIM_OPEN on */
};

enum shim_action {
    SHIM_NOTHING, /* calls are counted only */
    SHIM_NOTE,    /* allocations are noted that come by a way through the program not seen before */
    SHIM_FAIL,    /* the call is not made and gives `error` */
    SHIM_SHORT,   /* a read or write of one byte only */
    SHIM_SIGNAL,  /* the program sends itself `signal_number`, then makes the call */
    SHIM_HOOK     /* hook is called, then the call is made */
};

struct shim_plan {
    enum shim_call call;
    long at;      /* which one, from 1 */
    bool onwards; /* that one and all later ones */
    enum shim_action action;
    int error;
    int signal_number;
    void (*hook)(void);
    struct shim_notes *notes;
    const char *version; /* what is read for /proc/version; NULL: itself */
};

enum { SHIM_NOTES_MAX = 20000 };

struct shim_notes {
    long n;
    long at[SHIM_NOTES_MAX];
    uint64_t way[SHIM_NOTES_MAX];
};

/* From here on calls are counted, from 0, and the plan (copied) is followed. */
void shim_arm(const struct shim_plan *plan);
void shim_disarm(void);

/* Whether libraries' allocations pass by the shim: the address sanitizer has taken them. */
bool shim_is_own_only(void);

/* Under the sanitizer everything takes some ten times as long: there, every third of many tries. */
long shim_stride(void);

/* Calls of a kind since shim_arm; SHIM_DISK: the sum. */
long shim_count(enum shim_call call);

const char *shim_name(enum shim_call call);

#endif
