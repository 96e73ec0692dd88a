/* Points blank: the columns of the table of points that is filled in by hand.
 */
#ifndef DRAFT_POINTS_BLANK_H
#define DRAFT_POINTS_BLANK_H

/* The example row is possible: 1.99 L/min of water warmed by 6.66 K are 0.92 kW, 53 % of 845.2 W/m2
 * on 2.05 m2. Our own figures. */
struct points_blank {
    const char *head;
    const char *unit; /* what people write; NULL: none */
    const char *example;
    const char *label; /* for the printed page */
};

enum { POINTS_BLANK_COLUMNS = 8 };
extern const struct points_blank points_blank[POINTS_BLANK_COLUMNS];

#endif
