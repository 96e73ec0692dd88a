/* Whether standard output may be painted.
 */
#ifndef CMD_COLOUR_H
#define CMD_COLOUR_H

#include <stdbool.h>

/* It is a terminal that knows more than lines (TERM is set and not "dumb"), and nobody forbids it
 * (NO_COLOR set and not empty, a common convention). */
bool colour_wanted(void);

#endif
