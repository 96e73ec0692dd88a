/* Night: what sun sensors show where there is no sun, in one pass and constant memory.
 *
 * Time is cut into pieces of ten minutes, on a grid of absolute time. A piece is dark if all its
 * good readings are near zero: where the place is known with the sun NIGHT_BELOW degrees or more
 * below the horizon all through it and readings within NIGHT_FAR_W_M2; where it is not, within
 * NIGHT_NEAR_W_M2. Dark pieces that follow each other make a stretch, which counts if it lasts an
 * hour: with a place the whole of it, without one its lowest hour, since dusk may be in it. (Our
 * own figures; at 6 degrees the twilight of clear sky is below 0.1 W/m2, common practice.)
 *
 * By day a piece costs a look at its first reading.
 */
#ifndef WINDOW_NIGHT_H
#define WINDOW_NIGHT_H

#include "ingest/block.h"
#include "sky/sun.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define NIGHT_BELOW 6.0
#define NIGHT_NEAR_W_M2 15.0
#define NIGHT_FAR_W_M2 60.0
enum { NIGHT_CHANNELS = 5, NIGHT_HOUR_PIECES = 6 };

/* Readings taken together, and where the first of them stands. */
struct night_sum {
    uint64_t n;
    double mean;
    double squares; /* of the deviations from the mean */
    int64_t first_us;
    int64_t last_us;
    struct row_place place; /* line 0: not known */
};

/* What is known of one channel. */
struct night_found {
    uint64_t nights; /* stretches that count */
    struct night_sum all;
    double least, most; /* of the nights' means */
};

struct night_channel {
    bool present;
    struct night_found found; /* after the last block */

    bool open; /* a piece is */
    bool dark;
    int64_t piece; /* its number since 1970 */
    struct night_sum sum; /* of the piece; mean and squares once it is closed */
    double first;         /* its first reading, and sums of the differences from it */
    double off_sum;
    double off_squares;
    uint64_t pieces; /* of the stretch, the closed ones */
    int64_t start_us;
    int64_t end_us; /* end of its last piece */
    struct night_sum stretch;
    struct night_sum hour[NIGHT_HOUR_PIECES]; /* its last pieces, as a ring */
    struct night_sum lowest;                  /* the lowest hour; n 0: none yet */
};

struct night {
    bool placed;
    struct sun sun;
    int64_t known_piece; /* the last of which was asked whether the sun is down */
    bool known_down;
    struct night_channel channel[NIGHT_CHANNELS]; /* in the order of night_channels */
};

extern const enum channel night_channels[NIGHT_CHANNELS]; /* sun sensors that a log may carry */

/* The place is not known, and the light is not asked for it. */
void night_init(struct night *night);

/* The place is known; as sun_init. */
void night_place(struct night *night, double latitude_rad, double longitude_rad, double altitude_m);

/* The sink to hand to the reader, before channels are derived. */
struct sink night_sink(struct night *night);

/* Scatter of single readings, W/m2; 0 for fewer than two. */
double night_scatter(const struct night_sum *sum);

#endif
