#include "demo/bath.h"

#include <math.h>

/* Thermostat bath. */
#define BATH_LAG_S 50.0
#define BATH_UP_K_S 0.045
#define BATH_DOWN_K_S 0.035
#define BATH_RIPPLE_K 0.012
#define BATH_RIPPLE_S 45.0

/* Bucket of 30 litres, rod of 1 kW, cold water of a rain barrel at 14 degC. */
#define BUCKET_J_K (30.0 * 4180.0)
#define BUCKET_LOSS_W_K 3.5
#define ROD_W 1000.0
#define ROD_W_K 2000.0
#define ROD_IDLE_W 450.0
#define FEED_DEGC 14.0
#define BUCKET_RIPPLE_K 0.03
#define BUCKET_RIPPLE_S 60.0
/* The gardener sets the trickle for this much heat from the collector. */
#define FEED_FOR_W 550.0
#define FEED_SHUT_K 0.6

double hold_wanted(const struct hold *holds, size_t n, double local_s)
{
    double wanted = holds[0].t_degC;
    for (size_t i = 1; i < n && holds[i].from_s <= local_s; i++)
        wanted = holds[i].t_degC;
    return wanted;
}

static double rippled(double value, double memory_s, double deviation_K, struct randoms *randoms)
{
    double keep = exp(-1.0 / memory_s);
    return keep * value + deviation_K * sqrt(1.0 - keep * keep) * randoms_normal(randoms);
}

double bath_next(struct bath *bath, double wanted_degC, struct randoms *randoms)
{
    double rate = (wanted_degC - bath->t_degC) / BATH_LAG_S;
    bath->t_degC += fmin(fmax(rate, -BATH_DOWN_K_S), BATH_UP_K_S);
    bath->ripple_K = rippled(bath->ripple_K, BATH_RIPPLE_S, BATH_RIPPLE_K, randoms);
    return bath->t_degC + bath->ripple_K;
}

/* Losses carried off, ripple added: what is left of a second. */
static double bucket_moved(struct bucket *bucket, double gained_W, double t_ambient_degC,
                           struct randoms *randoms)
{
    double lost_W = BUCKET_LOSS_W_K * (bucket->t_degC - t_ambient_degC);
    bucket->t_degC += (gained_W - lost_W) / BUCKET_J_K;
    bucket->ripple_K = rippled(bucket->ripple_K, BUCKET_RIPPLE_S, BUCKET_RIPPLE_K, randoms);
    return bucket->t_degC + bucket->ripple_K;
}

double bucket_next(struct bucket *bucket, double wanted_degC, double heat_W, double t_ambient_degC,
                   struct randoms *randoms)
{
    double missing_K = wanted_degC - bucket->t_degC;
    double rod_W = fmin(fmax(ROD_IDLE_W + ROD_W_K * missing_K, 0.0), ROD_W);
    double feed_W_K = (FEED_FOR_W + ROD_IDLE_W) / fmax(wanted_degC - FEED_DEGC, 4.0);
    double carried_W = missing_K > FEED_SHUT_K ? 0.0 : feed_W_K * (bucket->t_degC - FEED_DEGC);
    return bucket_moved(bucket, heat_W + rod_W - carried_W, t_ambient_degC, randoms);
}

double bucket_unwatched(struct bucket *bucket, bool rod_on, double heat_W, double t_ambient_degC,
                        struct randoms *randoms)
{
    double held_degC = bucket->t_degC;
    double leaving_degC =
        bucket_moved(bucket, heat_W + (rod_on ? ROD_W : 0.0), t_ambient_degC, randoms);
    if (rod_on)
        return leaving_degC;
    bucket->t_degC = held_degC;
    return held_degC + bucket->ripple_K;
}
