/* Description reader: the bytes of a test description become sections and entries, each with its
 * place. What the keys mean is the business of description/schema.h.
 *
 *     [collector]                 # a comment
 *     gross area = 2.05 m2
 *
 * becomes the section {"collector", "", line 1} and the entry {"gross area", "2.05 m2", line 2,
 * column 1 of the key, column 14 of the value}.
 *
 * UTF-8, with or without byte order mark; lines end in LF, CRLF or CR. '#' starts a comment at the
 * start of a line or after a blank. ';' is never a comment. Keys are folded to lower case with
 * single blanks inside. The lines are split by libinih, which sees each line only after it was
 * checked: it would join indented lines to the key above, cut section names and keys past 49 bytes,
 * split lines past 199 bytes, take ':' for '=' and drop what follows " ;".
 */
#ifndef DESCRIPTION_READER_H
#define DESCRIPTION_READER_H

#include "base/faults.h"
#include "base/hash.h"

#include <stdbool.h>
#include <stddef.h>

enum {
    DESCRIPTION_BYTES = 1 << 20, /* largest file */
    DESCRIPTION_LINE = 190,      /* bytes of a line without comment and outer blanks */
    DESCRIPTION_NAME = 49,       /* bytes of a section head or of a key */
    VALUE_SIZE = DESCRIPTION_LINE + 1,
    NAME_SIZE = DESCRIPTION_NAME + 1
};

struct entry {
    char key[NAME_SIZE];    /* lower case, single blanks */
    char value[VALUE_SIZE]; /* outer blanks cut; may be empty */
    long line;
    long key_column;
    long value_column;
};

struct section {
    char kind[NAME_SIZE]; /* "instrument": lower case, single blanks */
    char name[NAME_SIZE]; /* "sun" of [instrument sun]; "" where the head has no name */
    long line;
    long column; /* of the head's text */
    size_t first; /* its entries are entries[first] to entries[first + n - 1] */
    size_t n;
};

struct description {
    char *path; /* as given; the file of all faults */
    char sha256[HASH_HEX_SIZE];
    struct section *sections;
    size_t n_sections;
    struct entry *entries;
    size_t n_entries;
    bool whole; /* every line was understood: what is absent was not written */
};

void description_init(struct description *description);
void description_free(struct description *description);

/* Takes a description apart; file_read (base/files.h) gets its bytes, at most DESCRIPTION_BYTES.
 * In:      path            as given; names the file in faults
 *          named, n_named  kinds of sections whose head carries a name ("instrument", "run"); every
 *                          other head is one kind as a whole ("steady state")
 * Returns: false with an input fault for each: empty, not text, a line that is neither head, entry
 *          nor comment, too long, an entry before any head, the same head twice. What could be read
 *          is kept, so that later checks can add their faults. */
bool description_parse(struct description *description, const char *path, const char *bytes,
                       size_t n, const char *const *named, size_t n_named, struct faults *faults);

/* Returns: the section of a kind that has no name; NULL if there is none. */
const struct section *description_find(const struct description *description, const char *kind);

struct place entry_key_place(const struct description *description, const struct entry *entry);
struct place entry_value_place(const struct description *description, const struct entry *entry);
struct place section_place(const struct description *description, const struct section *section);

#endif
