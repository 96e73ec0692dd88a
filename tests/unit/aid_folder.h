/* Folders for tests: made under TMPDIR (or the system's), listed, counted, removed.
 */
#ifndef TESTS_AID_FOLDER_H
#define TESTS_AID_FOLDER_H

#include <stddef.h>

/* A new empty folder; the caller frees the name and removes the folder. NULL if none could be made.
 */
char *aid_folder(void);
void aid_remove(const char *folder);

/* Entries of a folder except "." and "..", sorted, joined by blanks; the caller frees. */
char *aid_list(const char *folder);

/* Writes n bytes to folder/name; path (300 bytes) gets the whole name. */
void aid_write(const char *folder, const char *name, const char *bytes, size_t n, char *path);

/* Visible files of a folder. */
size_t aid_count_files(const char *folder);

#endif
