/* Figures of the rules as text: reading what a user wrote, printing what a user would write.
 */
#ifndef WINDOW_RULES_TEXT_H
#define WINDOW_RULES_TEXT_H

#include "base/faults.h"
#include "window/rule.h"

#include <stdbool.h>
#include <stddef.h>

enum { RULE_TEXT_SIZE = 96 };

/* The figure as a user writes it: "50 W/m2", "2 to 4 m/s", "off". size >= RULE_TEXT_SIZE.
 * Returns: out */
const char *rule_value_text(enum rule_id id, const struct rule_value *value, char *out,
                            size_t size);

/* A statistic in the row's unit: "2.27 %". One digit more than a proposed figure has. */
const char *rule_statistic_text(enum rule_id id, double statistic, char *out, size_t size);

/* The line to paste into [steady state]: "flow deviation = 2.3 %". Returns: out */
const char *rule_line(enum rule_id id, const struct rule_value *value, char *out, size_t size);

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

/* The smallest printable loosening of a figure that a statistic meets: rounded outwards to the
 * row's decimals, and read back from its own text, so that the pasted line really admits.
 * Out:     loosened   untouched on failure
 * Returns: false if no accepted figure does, or none that a test could be done by: a least
 *          irradiance below 50 W/m2 */
bool rule_loosen(enum rule_id id, const struct rule_value *value, double statistic,
                 struct rule_value *loosened);

#endif
