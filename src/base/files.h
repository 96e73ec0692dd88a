/* Files: result folders that appear whole or not at all, and small questions about paths.
 *
 * A result folder is written into a hidden sibling (".NAME.partial-XXXXXX") and swapped in when
 * it is complete. An earlier result folder of ours (it holds the marker file) is kept as
 * NAME.old, and the one before that goes. Anything else of these names is never touched, nor is
 * an old result that holds files which this program does not write. At every moment, also when a
 * step fails or the power does, the earlier result stands complete under NAME or NAME.old; what
 * a killed run left hidden beside them goes with the next run.
 */
#ifndef BASE_FILES_H
#define BASE_FILES_H

#include "base/faults.h"
#include "base/text.h"

#include <signal.h>
#include <stdbool.h>
#include <stddef.h>

#define FOLDER_MARKER "results.json" /* written last; its first bytes carry our schema's name */

/* While it is open, a request to end (SIGINT, SIGTERM, SIGHUP) waits: it takes effect once the
 * folder is swapped in or removed, so that Ctrl-C leaves no hidden folder behind. */
struct folder {
    char *target;  /* where it shall stand */
    char *partial; /* where it is being written; NULL when not open */
    int lock;      /* held while it is open: what nobody locks was left by a run that was killed */
    sigset_t mask; /* of the caller, put back on closing */
};

/* Checks that `target` is free or an earlier result of ours that can be kept, and that its
 * parent can be written.
 * Returns: false with a usage fault (something else stands there or at NAME.old; no parent) or a
 *          machine fault. */
bool folder_check(const char *target, struct faults *faults);

/* The parent's part of it alone: it exists and can be written. */
bool folder_parent_check(const char *target, struct faults *faults);

/* Clears away what killed runs left, then opens the hidden sibling. */
bool folder_open(struct folder *folder, const char *target, struct faults *faults);

/* Writes one file of the folder, checked. name holds no '/'. */
bool folder_write(struct folder *folder, const char *name, const char *bytes, size_t n,
                  struct faults *faults);

/* A file of the folder that is written as it comes: append to `text`, then close. */
struct folder_file {
    struct text text;
    char *path;
    char *named; /* what messages call it: where it will stand once the folder is swapped in */
    int fd;
    int why; /* errno of the first failure; 0 so far */
};

/* Opens a new file; the struct must stay where it is until it is closed. name holds no '/'.
 * Returns: false with a fault; then nothing needs to be closed. */
bool folder_file_open(struct folder_file *file, const struct folder *folder, const char *name,
                      struct faults *faults);

/* Writes what is left and closes; a file that failed is removed.
 * Returns: false with a machine fault if any of it could not be written. */
bool folder_file_close(struct folder_file *file, struct faults *faults);

/* The path of a file inside the open folder; the caller frees. NULL with a machine fault. */
char *folder_path(const struct folder *folder, const char *name, struct faults *faults);

/* Waits until the disk has all that is in the folder, also what others wrote there, and swaps it
 * in; after it the struct is closed. On failure nothing earlier is lost. */
bool folder_commit(struct folder *folder, struct faults *faults);

/* Removes what was written, if open. Safe to call at any time. */
void folder_abandon(struct folder *folder);

/* Reads a whole small file (at most `limit` bytes) into text.
 * Returns: false with an input fault (absent, a directory, unreadable, larger than the limit). */
bool file_read(const char *path, size_t limit, struct text *out, struct faults *faults);

/* Writes a new file, checked and synced; refuses to overwrite with a usage fault. */
bool file_write_new(const char *path, const char *bytes, size_t n, struct faults *faults);

bool file_exists(const char *path);
const char *path_base(const char *path); /* after the last '/'; borrowed */

/* `name` as seen from the folder in which `beside` stands (absolute names unchanged); caller
 * frees. */
char *path_beside(const char *beside, const char *name, struct faults *faults);

/* `path` without directory and without its last extension, plus `tail`; stays in path's folder. */
char *path_with_tail(const char *path, const char *tail, struct faults *faults);

#endif
