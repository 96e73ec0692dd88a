/* Windows paths: what a file is called on both sides of Windows' Linux subsystem, by rules of our
 * own.
 *
 * Drive C: stands in Linux as /mnt/c (the subsystem's usual place; another one set by its user is
 * not known here). Linux's own files are seen from Windows below \\wsl.localhost\NAME. Common
 * practice, from memory of the subsystem's behaviour; no file is looked up.
 */
#ifndef BASE_WINDOWS_PATH_H
#define BASE_WINDOWS_PATH_H

#include "base/faults.h"

#include <stdbool.h>

/* Whether we run under Windows, and as which Linux. */
struct windows_host {
    bool known;
    char name[64]; /* of the Linux installation; "" if it is not told */
};

/* By the kernel's own words (/proc/version) and the environment (WSL_DISTRO_NAME; NULL if absent).
 */
struct windows_host windows_host(const char *version, const char *name);
struct windows_host windows_host_here(void);

/* "C:\Users\x\a.csv" or "logs\a.csv" -> "/mnt/c/Users/x/a.csv", "logs/a.csv".
 * Returns: NULL without a fault if the text is not written in Windows' way, or with one if memory
 * is short; the caller frees. */
char *windows_to_linux(const char *text, struct faults *faults);

/* A path as Windows calls it. In:  folder  absolute, from which a relative path is seen
 * Returns: NULL without a fault if Windows cannot see it, or with one if memory is short; the
 * caller frees. */
char *windows_from_linux(const struct windows_host *host, const char *folder, const char *path,
                         struct faults *faults);

#endif
