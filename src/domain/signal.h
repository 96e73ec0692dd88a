/* Signals: what a sensor's raw number means where no straight line says it: the resistance of a
 * platinum thermometer, or a calibration table.
 */
#ifndef DOMAIN_SIGNAL_H
#define DOMAIN_SIGNAL_H

#include <stddef.h>

enum signal_kind { SIGNAL_NONE, SIGNAL_PLATINUM, SIGNAL_TABLE };

enum { SIGNAL_PAIRS = 64 };

struct signal {
    enum signal_kind kind;
    double r0_ohm;   /* of a platinum thermometer at 0 degC */
    double lead_ohm; /* of both leads together, in its readings */
    size_t n;        /* pairs of a table, 2 or more, raw rising */
    double raw[SIGNAL_PAIRS];
    double value_si[SIGNAL_PAIRS];
    /* What checks of the instrument found: value = factor * (as above) + add_si. */
    double factor;
    double add_si;
};

/* Temperature of a platinum thermometer whose resistance is this share of that at 0 degC.
 * Returns: degC, within 1e-9 K of the standard's equation; NaN outside of -200 to 850 degC
 * Source:  IEC 60751 (Callendar and Van Dusen): R/R0 = 1 + A t + B t^2, below 0 degC
 *          + C (t - 100) t^3, with A 3.9083e-3, B -5.775e-7, C -4.183e-12 (from memory) */
double signal_platinum_degC(double share);

/* In:      x  ohm for a platinum thermometer, the raw number for a table
 * Returns: SI (degC); between two pairs of a table on the straight line through them; NaN outside
 *          of the table: nothing is carried on beyond what was calibrated */
double signal_value(const struct signal *signal, double x);

#endif
