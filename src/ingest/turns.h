/* Turns: which files of a log are open beside each other, so that their rows can be taken in the order
 * of time.
 *
 * Files come in the order of their first stamps. The next one is opened when the rows reach its first
 * stamp, beside those that are still open: then rows of several files are merged, the earliest first,
 * of equal stamps that of the file that was opened first. A file is closed after its last row, so no
 * more are open than really lie between each other's, at most TURNS_FILES_MAX; each takes a
 * descriptor and some 160 KiB, a packed one 240 KiB (measured: 64 of them take 10 and 15 MB), whatever
 * its length.
 *
 * Merging takes stamps that tell the order by themselves. Files are read one after another instead
 *
 *     where the clock counts since the start, where rows share a stamp, and where a setting of the
 *     clock is stated: there the order of the rows tells the time, and not the other way round
 *     if one of them has rows of the hour that its clock shows twice, for the same reason
 */
#ifndef INGEST_TURNS_H
#define INGEST_TURNS_H

#include "base/faults.h"
#include "ingest/row_form.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { TURNS_FILES_MAX = 64 };

struct turns_file {
    size_t index;     /* into plan->files */
    int64_t first_us; /* first readable stamp as read; INT64_MAX: none near its beginning */
    bool open;
    bool stray; /* its first stamp was not, or may not be, that of its first row */
    bool asked; /* whether it has rows of an hour that its clock shows twice */
    bool twice;
};

struct turns {
    const struct row_form *form; /* borrowed */
    struct turns_file *files;    /* borrowed; n of them, first_us rising */
    size_t n;
    size_t next; /* to be opened */
    size_t n_open;
    bool held; /* the next one waits until all others are closed */
    const char *apart; /* why files of this log were not merged where they met; NULL: they were */
};

/* In:      files  in the order of their first stamps, as survey_order leaves them */
void turns_begin(struct turns *turns, const struct row_form *form, struct turns_file *files,
                 size_t n);

/* The first stamp of the next file, which may be due then; INT64_MAX if none is before the open
 * ones are closed. */
int64_t turns_limit(const struct turns *turns);

/* Whether the next file is to be opened before a row of that stamp is taken (INT64_MAX: no file is
 * open). Returns: false with an input fault (too many files at once) or a machine fault. */
bool turns_due(struct turns *turns, int64_t time_us, bool *due, struct faults *faults);

/* The next file is opened. Returns: its place in files. */
size_t turns_open(struct turns *turns);
void turns_close(struct turns *turns, size_t file);

#endif
