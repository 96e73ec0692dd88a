/* File state: whether a log is still the file that it was when the reading began.
 *
 * A logger may write on while its log is read: then the rows up to the size at opening are a
 * whole log of their own, and only that needs to be said. An editor or a logger that begins its
 * file anew may change what was not read yet: then the rows are of no file that ever was, and
 * are refused.
 */
#ifndef INGEST_FILE_STATE_H
#define INGEST_FILE_STATE_H

#include <stdbool.h>
#include <stdint.h>
#include <sys/types.h>
#include <time.h>

struct file_state {
    bool known; /* false: it could not be asked, or it is no file */
    dev_t device;
    ino_t inode;
    uint64_t size;
    struct timespec changed; /* last change of its bytes */
};

struct file_state file_state_at(const char *path);
struct file_state file_state_open(int fd);

enum file_change {
    FILE_SAME, /* or it is not known */
    FILE_GREW, /* it has more bytes than were read */
    FILE_REPLACED,
    FILE_SHORTENED,
    FILE_REWRITTEN
};

/* Judges a file after `bytes` of it were read from its beginning. A rewriting that leaves it
 * longer than before looks like a growing.
 * In:      before  when the reading began
 *          after   of the descriptor that was read */
enum file_change file_state_compare(const struct file_state *before, const struct file_state *after,
                                    uint64_t bytes);

#endif
