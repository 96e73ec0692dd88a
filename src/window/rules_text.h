/* Figures of the rules as text: reading what a user wrote, printing what a user would write.
 */
#ifndef WINDOW_RULES_TEXT_H
#define WINDOW_RULES_TEXT_H

#include "window/rules.h"

#include <stdbool.h>

/* What is wrong with a figure. */
struct rule_text_fault {
    char found[FAULT_TEXT_SIZE];
    char expected[FAULT_TEXT_SIZE];
    char hint[FAULT_TEXT_SIZE];
};

/* Reads a figure: "off", "2 %", "1 to 5 m/s".
 * Out:     value   untouched on failure
 *          fault   filled on failure; may be NULL
 * Returns: false if it is not a figure of this row's quantity within the row's range */
bool rule_value_parse(const struct rule_row *row, const char *text, struct rule_value *value,
                      struct rule_text_fault *fault);

#endif
