/* Pipes: the piece between a thermometer and the collector's port, one [pipe inlet] and one
 * [pipe outlet] section. Its heat loss moves the temperature on the way; the correction is made,
 * and half of it is carried as a standard uncertainty unless an error is stated (our own figure:
 * wind, gaps in the insulation and fittings are not in any formula).
 */
#ifndef DOMAIN_PIPE_H
#define DOMAIN_PIPE_H

#include "description/schema.h"
#include "domain/channel.h"

enum { PIPE_INLET, PIPE_OUTLET, PIPES };

struct pipe {
    struct stated_number length; /* m */
    struct stated_number loss;   /* W/(m K) */
    struct stated_number diameter_m; /* outside of the bare pipe */
    struct stated_number insulation_m;
    struct stated_number conductivity_W_mK; /* of the insulation */
    struct stated_error error;              /* of the loss */

    /* Settled by pipe_settle. */
    bool given;
    enum channel channel; /* whose thermometer */
    double loss_W_mK;
    double loss_W_K; /* of the whole piece; 0: none */
    double u_loss_W_K;
};

struct pipes {
    struct pipe of[PIPES];
};

extern const struct schema pipe_schema; /* [pipe inlet], [pipe outlet] */

/* The pipe of a section's name.
 * Returns: NULL with a fault if the name is neither. */
struct pipe *pipes_take(struct pipes *pipes, const char *name, struct place head,
                        struct faults *faults);

/* Settles the loss: stated, or from diameter, insulation and conductivity.
 * Returns: false with a fault if neither is whole, or both are given. */
bool pipe_settle(struct pipe *pipe, struct place head, struct faults *faults);

/* Heat loss of a metre of insulated pipe, W/(m K):
 *     1 / [ ln(d2/d1)/(2 pi k) + 1/(h pi d2) ],  d2 = d1 + 2 * thickness,  h = 10 W/(m2 K)
 * h stands for still to moving air and radiation (common practice, no source).
 * In:      diameter_m > 0, insulation_m >= 0 (0: bare), conductivity_W_mK > 0 where insulated */
double pipe_loss_W_mK(double diameter_m, double insulation_m, double conductivity_W_mK);

#endif
