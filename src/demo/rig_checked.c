/* rig-checked.txt: the rig of rig.txt after an evening with a pump and a bucket. */
#include "demo/texts.h"

#include "base/randoms.h"

static const char *const head =
    "# Invented for the program's demo: no such collector, place or instrument exists.\n"
    "#\n"
    "# The rig of rig.txt, its log and its cheap thermometers, after one evening of checks: half "
    "an\n"
    "# hour of water that circulated in the dark, and a bucket that was filled four times. What "
    "the\n"
    "# checks find takes the place of the documented figures, and the readings are corrected.\n"
    "#\n"
    "# Before the like: pull the rod's plug before a hand goes into the bucket, let the collector\n"
    "# cool down before water comes in, and know your way to pump and valve in the dark.\n"
    "\n"
    "[collector]\n"
    "name          = %s, instruments checked\n"
    "gross area    = 1.10 m2\n"
    "aperture area = 0.98 m2\n"
    "area error    = 0.3 %% standard\n"
    "\n"
    "[fluid]\n"
    "name          = water\n"
    "meter at      = inlet\n"
    "\n"
    "[log]\n"
    "file          = rig-evening.csv\n"
    "file          = rig.csv\n"
    "time          = time, ISO 8601, UTC+1\n"
    "separator     = semicolon\n"
    "decimal       = comma\n";

static const char *const tail =
    "\n"
    "[steady state]\n"
    "rules         = homemade rig\n"
    "\n"
    "# In the dark, with water as warm as the air, both thermometers of the water feel the same "
    "and\n"
    "# the sun sensor nothing: what they show then is their own.\n"
    "[run dark]\n"
    "kind          = zero check\n"
    "from          = 2026-06-19T22:05:00+01:00\n"
    "to            = 2026-06-19T22:30:00+01:00\n"
    "\n"
    "# What came into the bucket, the time, and the mean that the log shows over that time.\n"
    "[run fills]\n"
    "kind          = bucket and stopwatch\n"
    "bucket error  = 0.5 % limit          # a kitchen scale\n";

static const char *const last = "\n"
                                "[run curve]\n"
                                "kind          = efficiency\n";

enum { FILLS = 4, STREAM_FILLS = 700, EVENING = 1 };
#define L_MIN 1.60
#define FILL_S 300.0

/* The stopwatch errs by 0.3 s, the meter's mean over five minutes by 0.1 %. */
static void add_fills(const struct sensor_errors *errors, struct randoms *randoms, struct text *out)
{
    size_t meter = sensor_of(DEMO_RIG, CH_FLOW);
    double scale = 0.005 * (2.0 * randoms_uniform(randoms) - 1.0);
    for (int i = 0; i < FILLS; i++) {
        double time_s = FILL_S + 0.3 * randoms_normal(randoms);
        double litres = L_MIN * time_s / 60.0 * (1.0 + scale);
        double shown =
            sensor_shown(errors, meter, EVENING, L_MIN) * (1.0 + 0.001 * randoms_normal(randoms));
        text_addf(out, "fill          = %.2f L, %.0f s, %.3f L/min\n", litres, FILL_S, shown);
    }
}

bool texts_rig_checked(uint64_t draw, const struct sensor_errors *errors, struct text *out,
                       struct faults *faults)
{
    struct randoms randoms;
    if (!randoms_init(&randoms, faults))
        return false;
    randoms_seed(&randoms, draw, STREAM_FILLS);
    text_addf(out, head, demo_collector_row(DEMO_RIG)->name);
    texts_instruments(DEMO_RIG, out);
    text_add(out, tail);
    add_fills(errors, &randoms, out);
    text_add(out, last);
    randoms_free(&randoms);
    return text_ok(out, faults);
}
