/* The [report] section: who asked for the test, of what, and who answers for it. Printed as it
 * stands; nothing is computed from it.
 */
#ifndef RUN_REPORT_SECTION_H
#define RUN_REPORT_SECTION_H

#include "description/schema.h"

struct report_section {
    bool given;
    struct stated_text number;
    struct stated_text client;
    struct stated_text item;
    struct stated_text laboratory;
    struct stated_text signatory;
    struct stated_list remarks;
};

extern const struct schema report_schema; /* [report] */

void report_section_free(struct report_section *report);

#endif
