/* Result folders as they are found on the disk: whose they are, what they hold, and what a run
 * that was killed left beside them.
 *
 * While a folder is written it is locked (flock on the folder itself; the system frees the lock
 * whichever way the program ends). A hidden folder of our name that nobody locks was therefore
 * left by a run that was killed or lost its power, and the next run of the same result clears it
 * away.
 */
#ifndef BASE_FILES_RESULT_H
#define BASE_FILES_RESULT_H

#include <stdbool.h>
#include <stddef.h>

enum { STRANGER_SIZE = 100, TEMPLATE_TAIL = 6 /* of mkdtemp: "XXXXXX" */ };

enum result_owner {
    RESULT_OURS,   /* a folder (no link to one) whose marker begins as our writer begins it */
    RESULT_OTHER,  /* anything else, also nothing at all */
    RESULT_UNKNOWN /* the machine could not look; errno says why */
};

enum result_owner result_owner(const char *path);

/* Looks for a name in the folder that we never write.
 * Out:     stranger  one such name, cut; "" if there is none
 * Returns: false with errno if the folder cannot be looked into */
bool result_stranger(const char *path, char stranger[STRANGER_SIZE]);

/* Removes the files in the folder, then the folder if it is empty by that. */
void result_remove(const char *path);

/* Makes a hidden folder as mkdtemp does and locks it.
 * In:      path  ends in "XXXXXX", which is replaced
 * Out:     lock  descriptor to close when done; -1 where the file system knows no locks
 * Returns: false with errno */
bool result_make_hidden(char *path, int *lock);

/* Clears away what killed runs left beside `target`: unlocked folders ".NAME.partial-XXXXXX" and
 * ".NAME.old-XXXXXX" that hold nothing but our files. An old result found in the latter becomes
 * NAME.old again if there is none. What cannot be cleared stays; no fault, since nothing depends
 * on it. */
void result_clear_leftovers(const char *target);

#endif
