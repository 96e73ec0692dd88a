/* Advice: which set of rules the rows can meet, and what in them looks wrong.
 */
#ifndef DRAFT_ADVICE_H
#define DRAFT_ADVICE_H

#include "draft/draft_log.h"

/* Fills log->homemade, rules_why and doubts. The rules of our own are proposed where the step of
 * the log is longer than the standard's means, or where in no stretch as long as a window and its
 * conditioning inlet and flow are both as steady as it asks for; the limits are those of
 * window/rules.h. Returns: false with a machine fault. */
bool advice_find(struct draft_log *log, struct faults *faults);

#endif
