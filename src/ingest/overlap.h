/* Overlap: rows that stand in two files of a log, as when a logger is read out twice.
 *
 * A row whose stamp is not after the last used one is looked for in the earlier files, each of
 * which is then read a second time beside the later one: memory does not grow with the overlap. The
 * same readings at the same stamp count once. Other readings at the same stamp are a contradiction.
 */
#ifndef INGEST_OVERLAP_H
#define INGEST_OVERLAP_H

#include "ingest/account.h"
#include "ingest/row.h"

/* So many earlier files are looked at beside one; rows that stand in more of them are taken for
 * backward ones. */
enum { OVERLAP_FILES_MAX = 8 };

struct overlap {
    size_t n;
    struct overlap_file {
        size_t file; /* into the account's files */
        struct rows *rows;
        bool row; /* rows holds one that was not passed yet */
        bool ended;
    } earlier[OVERLAP_FILES_MAX];
};

enum overlap_kind { OVERLAP_NONE, OVERLAP_SAME, OVERLAP_DIFFERS, OVERLAP_FAILED };

/* In:      overlap  zeroed before the first row of a file; stamps asked for should rise, others are
 *                   not found
 *          file     of the account, in which the row stands
 *          raw_us   its stamp as read, before the clock's changes were settled
 * Out:     where    the row of that stamp in an earlier file, unless OVERLAP_NONE
 * Returns: OVERLAP_FAILED with a machine fault. */
enum overlap_kind overlap_find(struct overlap *overlap, const struct log_account *account,
                               size_t file, const struct rows *rows, int64_t raw_us,
                               struct log_place *where, struct faults *faults);

void overlap_close(struct overlap *overlap); /* zeroes it; safe twice */

#endif
