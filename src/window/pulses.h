/* Pulses: a flow meter's counts, or a heat meter's total -> volume flow or heat, row by row.
 *
 *   counter    pulses since some day: the row's flow is the rise since the row before
 *   per row    what came since the row before
 *   rate       pulses a second as the logger formed it: volume a pulse times it
 *   total      a volume or an energy since some day, as a counter in steps of its last digit
 *
 * Below all is said of a flow; a heat is the same with J for m3. The flow of a row holds for the
 * time since the row before; after a gap the first row has none. A row that is not good takes no
 * part: the next one's rise of a counter or a total spans both, while what came since the row
 * before is of one step as ever.
 *
 * Rows that are absent take what was counted up to them along, or they do not: a logger that
 * skipped a row counts on, one whose row was lost on its way has begun anew. What came since the
 * row before, PULSES_LATE steps ago or more, is therefore used only if it bears out that time:
 * beyond what one step brings at the last flow it holds more than a pulse, and at least half of
 * what the rest of the time brings. Otherwise the row has no flow. After PULSES_LATE_ROWS such
 * rows, one after the other, their step is the usual one. (Our own figures: jitter does not make
 * 1.75 steps of one, and a row that is absent makes two.)
 *
 * What falls has either run over its end or was reset:
 *   wrapped    it stood in the upper tenth below an end and stands in the lower tenth, and what
 *              came by that is no more than three times the last rise (for as long a time) and two
 *              steps: the end is added
 *   played     a total that falls by one step: its last digit plays; it stands still
 *   reset      anything else: what came in that time is not known, and the row has no flow
 * Each is counted. Ends are 2^15, 2^16, 2^31 and 2^32 pulses, and 10^3 to 10^9; of a total 10 to
 * 10^9 and those powers of 2 of the log's numbers, and those powers of its steps. (Tenths and three
 * times are our own: at its end a counter is seen within one row of it, and a flow seldom grows
 * threefold from row to row. A reset that looks like an end is wrong in one row, by no more than
 * that.)
 *
 * A register with a sign goes on below 0 behind half of its length: 32767, then -32768. A number
 * below 0 is used if it follows from such an end or rises from another one, row by row; any other
 * (a logger's -9999) is none, and counted.
 */
#ifndef WINDOW_PULSES_H
#define WINDOW_PULSES_H

#include "domain/channel.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What may be counted, and the channel that its rise with time is. */
enum counted_kind { COUNTED_FLOW, COUNTED_HEAT, COUNTED };
enum channel counted_channel(enum counted_kind counted);

enum pulse_form { PULSES_NONE, PULSES_COUNTER, PULSES_PER_ROW, PULSES_RATE, PULSES_TOTAL };

struct pulse_meter {
    enum pulse_form form;
    double per_pulse;  /* m3; of a total its step: m3, or J of a heat meter */
    double per_number; /* of a total: what 1 in the log is, m3 or J */
};

#define PULSES_LATE 1.75
enum { PULSES_LATE_ROWS = 10 };

/* How often, and when first. */
struct pulses_event {
    size_t n;
    int64_t first_us;
};

struct pulses {
    struct pulse_meter meter;
    bool started; /* a row of this segment was seen */
    double count; /* the counter at the last good row */
    double below; /* the last number, if it was below 0; else NaN */
    int64_t time_us;
    double rise; /* the last that was above 0, in what is counted; 0: none yet */
    double rise_us;

    /* Per row: the last row whose count was used, and how many have come late since. */
    int64_t step_us; /* 0: none yet */
    double per_us;
    unsigned late;

    struct pulses_event wraps;
    struct pulses_event resets;
    struct pulses_event plays;
    struct pulses_event negatives; /* rows whose number is below 0 and none */
    struct pulses_event holes; /* rows that came late, and have no flow */
    size_t good;      /* rows with a number */
    size_t ups;       /* of counts per row: rows with more than the row before, and with less */
    size_t downs;
    size_t fractions; /* of them: rows whose number is not whole */
    size_t rises;     /* rows with a rise above 0 */
    double
        finest; /* smallest rise, or difference of two that follow each other, m3 or J; 0: none */
    bool uneven;      /* not all rows rise by the same: the finest tells a step */
};

void pulses_init(struct pulses *pulses, const struct pulse_meter *meter);

/* A gap: the next row has no row before it. */
void pulses_restart(struct pulses *pulses);

/* The next row.
 * In:      time_us   rising
 *          number    as read, m3 or J of a total; NaN where not good
 * Returns: m3/s, or W of a heat meter; NaN where not known */
double pulses_next(struct pulses *pulses, int64_t time_us, double number);

#endif
