/* Colours of a class's groups in a figure: a group whose name is a colour has that colour, so that
 * nobody looks for the Red table's points among blue ones; the others share out what is left.
 *
 * Every shade stands out from white by 4.5 : 1 and more (the figure that WCAG 2.2, 1.4.3, asks of
 * text: names stand in the same colour), so that "Yellow" is an ochre and "White" a light grey.
 * Colour is never all that tells groups apart: each has its own symbol.
 */
#ifndef RUN_GROUP_TINTS_H
#define RUN_GROUP_TINTS_H

#include <stddef.h>

/* In:      names  n, as people wrote them; a colour is found as a whole word of any case ("Red table",
 *                 "rot"), in English, German, French, Spanish or Italian
 * Out:     tints  n, "#C0182B", constant texts. Two groups of one colour have a lighter and a darker shade of
 *                 it; of more than there are colours, some share one. */
void group_tints(const char *const *names, size_t n, const char **tints);

#endif
