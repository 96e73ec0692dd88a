/* Means: what one steady-state window (or one row of a points table typed by hand) leaves behind.
 * The only thing from which points are made, whatever its origin.
 */
#ifndef DOMAIN_MEANS_H
#define DOMAIN_MEANS_H

#include "domain/channel.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { MEANS_NAME_SIZE = 48, MEANS_GROUP_SIZE = 48 };

struct means {
    char name[MEANS_NAME_SIZE];   /* windows: their start in UTC, "2026-06-21T10:15:00Z" */
    char group[MEANS_GROUP_SIZE]; /* a class's group; "" where there is none */
    bool timed;                   /* start_us and end_us are known */
    int64_t start_us;
    int64_t end_us;
    int64_t session;       /* local day number; points by hand without time: 0 */
    size_t readings;       /* per channel; 0 when typed by hand without a count */
    bool has[CH_COUNT];
    double mean[CH_COUNT]; /* SI; CH_HEAT is the mean of the heat formed per reading, where has[] */
    double u[CH_COUNT];    /* standard uncertainty of the mean from reading errors alone, SI; >= 0 */
    double drift_K_s;      /* of the mean fluid temperature; NaN if unknown */
    double u_drift_K_s;    /* its standard uncertainty from reading errors alone; >= 0 */

    /* A reduced point typed by hand: efficiency and reduced temperature instead of temperatures and
     * flow. has[] then holds irradiance alone. */
    bool reduced;
    double eta;
    double x; /* m2 K/W */
    double u_eta;
    double u_x;
};

#endif
