#include "sky/track.h"

#include "base/calendar.h"

#include <stddef.h>

#define NODE_US (S_PER_MIN * US_PER_S)
#define AIR_DEGC 10.0

void track_init(struct track *track, double latitude_rad, double longitude_rad, double altitude_m)
{
    *track = (struct track){.pressure_hPa = sun_pressure_hPa(altitude_m)};
    sun_init(&track->sun, latitude_rad, longitude_rad, altitude_m);
}

struct vector track_alone(struct track *track, int64_t time_us)
{
    return sun_lifted(sun_geometric(&track->sun, time_us), track->pressure_hPa, AIR_DEGC);
}

/* The node of a minute, formed if it is not the one that is kept in its place. */
static struct vector node_at(struct track *track, int64_t minute)
{
    struct track_node *node = &track->node[(uint64_t)minute % TRACK_NODES];
    if (!node->formed || node->minute != minute) {
        *node = (struct track_node){true, minute, track_alone(track, minute * NODE_US)};
    }
    return node->sun;
}

struct vector track_at(struct track *track, int64_t time_us)
{
    int64_t minute = time_us / NODE_US;
    minute -= time_us % NODE_US < 0;
    double t = (double)(time_us - minute * NODE_US) / (double)NODE_US;
    struct vector early = vector_sum(-t * (t - 1) * (t - 2) / 6, node_at(track, minute - 1),
                                     (t + 1) * (t - 1) * (t - 2) / 2, node_at(track, minute));
    struct vector late = vector_sum(-(t + 1) * t * (t - 2) / 2, node_at(track, minute + 1),
                                    (t + 1) * t * (t - 1) / 6, node_at(track, minute + 2));
    return vector_sum(1, early, 1, late);
}
