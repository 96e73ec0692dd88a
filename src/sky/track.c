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

static void fill_nodes(struct track *track, int64_t first)
{
    int64_t shift = first - track->first;
    bool near = track->filled && shift > 0 && shift < TRACK_NODES;
    size_t kept = near ? (size_t)(TRACK_NODES - shift) : 0;
    for (size_t i = 0; i < kept; i++)
        track->node[i] = track->node[i + (size_t)shift];
    for (size_t i = kept; i < TRACK_NODES; i++) {
        int64_t time_us = (first + (int64_t)i) * NODE_US;
        track->node[i] =
            sun_lifted(sun_geometric(&track->sun, time_us), track->pressure_hPa, AIR_DEGC);
    }
    track->first = first;
    track->filled = true;
}

struct vector track_at(struct track *track, int64_t time_us)
{
    int64_t minute = time_us / NODE_US;
    minute -= time_us % NODE_US < 0;
    if (!track->filled || track->first != minute - 1)
        fill_nodes(track, minute - 1);
    double t = (double)(time_us - minute * NODE_US) / (double)NODE_US;
    struct vector early = vector_sum(-t * (t - 1) * (t - 2) / 6, track->node[0],
                                     (t + 1) * (t - 1) * (t - 2) / 2, track->node[1]);
    struct vector late = vector_sum(-(t + 1) * t * (t - 2) / 2, track->node[2],
                                    (t + 1) * t * (t - 1) / 6, track->node[3]);
    return vector_sum(1, early, 1, late);
}
