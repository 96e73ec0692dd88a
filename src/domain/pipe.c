#include "domain/pipe.h"

#include <math.h>

#define PI 3.14159265358979323846
#define OUTSIDE_W_M2K 10.0
/* Part of the correction that is carried as a standard uncertainty. */
#define CARRIED 0.5

static const struct schema_row rows[] = {
    {.key = "length",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_LENGTH,
     .limits = {0.0, 100.0, true},
     .required = true,
     .offset = offsetof(struct pipe, length),
     .help = "from the thermometer to the collector's port",
     .example = "0.8 m"},
    {.key = "loss",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_PIPE_LOSS,
     .limits = {0.0, 10.0, true},
     .offset = offsetof(struct pipe, loss),
     .help = "heat loss of a metre; or the three below",
     .example = "0.3 W/(m K)"},
    {.key = "diameter",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_LENGTH,
     .limits = {0.0, 1.0, true},
     .offset = offsetof(struct pipe, diameter_m),
     .help = "outside of the pipe under its insulation",
     .example = "18 mm"},
    {.key = "insulation",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_LENGTH,
     .limits = {0.0, 1.0, false},
     .offset = offsetof(struct pipe, insulation_m),
     .help = "thickness of the insulation",
     .example = "20 mm",
     .by_default = "none: a bare pipe"},
    {.key = "conductivity",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_PIPE_LOSS,
     .limits = {0.0, 10.0, true},
     .offset = offsetof(struct pipe, conductivity_W_mK),
     .help = "of the insulation",
     .example = "0.04 W/(m K)"},
    {.key = "loss error",
     .kind = VALUE_ERROR,
     .dimension = DIM_PIPE_LOSS,
     .offset = offsetof(struct pipe, error),
     .help = "how well the loss of a metre is known",
     .example = "20 % standard",
     .by_default = "50 % standard: half of the correction (our own figure)"},
};

const struct schema pipe_schema = {
    "pipe", true, "The piece of pipe between a thermometer and the collector: inlet or outlet.",
    rows, LENGTH(rows)};

struct pipe *pipes_take(struct pipes *pipes, const char *name, struct place head,
                        struct faults *faults)
{
    static const enum channel channels[PIPES] = {CH_INLET, CH_OUTLET};
    for (int end = 0; end < PIPES; end++) {
        struct pipe *pipe = &pipes->of[end];
        if (!text_same_nocase(name, channel_row(channels[end])->word))
            continue;
        pipe->given = true;
        pipe->channel = channels[end];
        return pipe;
    }
    struct fault *fault = fault_new(faults, FAULT_INPUT, head);
    fault_found(fault, "there is no [pipe %s]", name);
    fault_expected(fault, "[pipe inlet] or [pipe outlet]");
    return NULL;
}

double pipe_loss_W_mK(double diameter_m, double insulation_m, double conductivity_W_mK)
{
    double outer_m = diameter_m + 2.0 * insulation_m;
    double resistance = 1.0 / (OUTSIDE_W_M2K * PI * outer_m);
    if (insulation_m > 0.0)
        resistance += log(outer_m / diameter_m) / (2.0 * PI * conductivity_W_mK);
    return 1.0 / resistance;
}

bool pipe_settle(struct pipe *pipe, struct place head, struct faults *faults)
{
    bool insulated = pipe->insulation_m.value > 0.0;
    bool sizes = pipe->diameter_m.at.given || pipe->insulation_m.at.given ||
                 pipe->conductivity_W_mK.at.given;
    bool whole = pipe->diameter_m.at.given && (!insulated || pipe->conductivity_W_mK.at.given);
    if (pipe->loss.at.given == sizes || (sizes && !whole)) {
        struct fault *fault = fault_new(faults, FAULT_INPUT, head);
        fault_found(fault, pipe->loss.at.given ? "the loss of the pipe is stated twice"
                           : sizes             ? "the loss of the pipe cannot be formed"
                                               : "the pipe has no loss");
        fault_expected(fault, "'loss = 0.3 W/(m K)', or 'diameter', 'insulation' and "
                              "'conductivity' instead");
        return false;
    }
    pipe->loss_W_mK = pipe->loss.at.given
                          ? pipe->loss.value
                          : pipe_loss_W_mK(pipe->diameter_m.value, pipe->insulation_m.value,
                                           pipe->conductivity_W_mK.value);
    pipe->loss_W_K = pipe->loss_W_mK * pipe->length.value;
    pipe->u_loss_W_K = CARRIED * pipe->loss_W_K;
    if (pipe->error.at.given)
        pipe->u_loss_W_K = pipe->error.relative ? pipe->error.u * pipe->loss_W_K
                                                : pipe->error.u * pipe->length.value;
    return true;
}
