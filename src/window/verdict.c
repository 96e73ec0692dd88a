#include "window/verdict.h"

#include <math.h>
#include <string.h>

const char *verdict_word(enum verdict_state state)
{
    static const char *const words[] = {"met", "not met",      "not measured",
                                        "off", "not verified", "not judged finer"};
    return words[state];
}

void candidate_clear(struct candidate *candidate)
{
    memset(candidate, 0, sizeof *candidate);
    for (int c = 0; c < CH_COUNT; c++)
        candidate->mean[c] = candidate->deviation[c] = candidate->deviation_before[c] = NAN;
}

static double deviation(const struct rule_row *row, const struct candidate *candidate)
{
    enum channel c = row->channel;
    return row->conditioning ? candidate->deviation_before[c] : candidate->deviation[c];
}

static double share(double part, double whole)
{
    return whole > 0.0 ? part / whole : INFINITY;
}

/* NaN: the log has no channel for it. */
static double statistic_of(const struct rule_row *row, const struct candidate *candidate)
{
    const double *mean = candidate->mean;
    enum channel c = row->channel;
    if (!candidate->has[c])
        return NAN;
    switch (row->statistic) {
    case RULE_DEVIATION:
        return deviation(row, candidate);
    case RULE_DEVIATION_RELATIVE:
        return share(deviation(row, candidate), mean[c]);
    case RULE_MEAN:
        return mean[c];
    case RULE_SHARE:
        return candidate->has[CH_IRRADIANCE] ? share(mean[c], mean[CH_IRRADIANCE]) : NAN;
    case RULE_RISE:
        return candidate->has[CH_INLET] ? mean[c] - mean[CH_INLET] : NAN;
    case RULE_DRIFT:
        return fabs(candidate->drift_K_s);
    case RULE_LENGTH:
        break;
    }
    return NAN;
}

/* A slot's flow is right to one pulse: what is over the limit by less cannot be told. */
static enum verdict_state judge_counted(const struct rule_value *value,
                                        const struct candidate *candidate, double statistic)
{
    double step = share(candidate->flow_step_m3_s, candidate->mean[CH_FLOW]);
    if (!rule_meets(RULE_FLOW_DEVIATION, value, statistic - step))
        return VERDICT_NOT_MET;
    bool fine = step <= value->high && rule_meets(RULE_FLOW_DEVIATION, value, statistic);
    return fine ? VERDICT_MET : VERDICT_TOO_COARSE;
}

static void judge_one(const struct rules *rules, const struct rule_row *row,
                      const struct candidate *candidate, struct verdict *verdict)
{
    const struct rule_value *value = &rules->rule[row->id].value;
    *verdict = (struct verdict){VERDICT_OFF, statistic_of(row, candidate), NAN, false};
    verdict->in_conditioning = row->conditioning && candidate->deviation_before[row->channel] >
                                                        candidate->deviation[row->channel];
    if (!value->on)
        return;
    verdict->state = VERDICT_NOT_MEASURED;
    if (isnan(verdict->statistic))
        return;
    bool met = rule_meets(row->id, value, verdict->statistic);
    verdict->state = met ? VERDICT_MET : VERDICT_NOT_MET;
    if (row->id == RULE_FLOW_DEVIATION && candidate->flow_step_m3_s > 0.0)
        verdict->state = judge_counted(value, candidate, verdict->statistic);
    if (verdict->state == VERDICT_NOT_MET)
        verdict->ratio = rule_ratio(row->id, value, verdict->statistic);
}

bool verdict_judge(const struct rules *rules, const struct candidate *candidate,
                   struct verdict *verdict)
{
    bool passes = true;
    for (int id = 0; id < RULE_LIMITS; id++) {
        judge_one(rules, rule_row((enum rule_id)id), candidate, &verdict[id]);
        passes = passes && verdict[id].state != VERDICT_NOT_MET;
    }
    return passes;
}

void verdict_keep(const struct verdict *verdict, struct kept_verdict *kept)
{
    for (int id = 0; id < RULE_LIMITS; id++)
        kept[id] = (struct kept_verdict){.statistic = verdict[id].statistic,
                                         .state = (uint8_t)verdict[id].state,
                                         .in_conditioning = verdict[id].in_conditioning};
}
