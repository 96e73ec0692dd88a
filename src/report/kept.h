/* A kept result, read back whole to be compared with one computed anew.
 */
#ifndef REPORT_KEPT_H
#define REPORT_KEPT_H

#include "base/faults.h"
#include "base/text.h"

#include <jansson.h>
#include <stdbool.h>

struct kept {
    char *folder;
    struct text bytes; /* of its results.json */
    json_t *root;
};

/* Reads FOLDER/results.json.
 * Out:     kept  the caller frees it, also after a failure
 * Returns: false with an input fault: absent, unreadable, not JSON (line and column given), of another
 *          program or another version of the schema; or memory is short. */
bool kept_read(struct kept *kept, const char *folder, struct faults *faults);

/* Whether it is a result of this kind ("efficiency", "check"). Returns: false with an input fault.
 */
bool kept_of_kind(const struct kept *kept, const char *kind, struct faults *faults);
void kept_free(struct kept *kept); /* safe twice */

/* A text of an object; "" where there is none. Borrowed. */
const char *kept_text(const json_t *object, const char *key);

#endif
