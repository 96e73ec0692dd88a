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

static enum verdict_state judge_one(const struct rules *rules, enum rule_id id,
                                    const struct candidate *candidate, double statistic)
{
    const struct rule_value *value = &rules->rule[id].value;
    if (!value->on)
        return VERDICT_OFF;
    if (isnan(statistic))
        return VERDICT_NOT_MEASURED;
    if (id == RULE_FLOW_DEVIATION && candidate->flow_step_m3_s > 0.0)
        return judge_counted(value, candidate, statistic);
    return rule_meets(id, value, statistic) ? VERDICT_MET : VERDICT_NOT_MET;
}

bool verdict_judge(const struct rules *rules, const struct candidate *candidate,
                   struct verdicts *verdicts)
{
    verdicts->not_met = 0;
    for (int id = 0; id < RULE_LIMITS; id++) {
        const struct rule_row *row = &rule_rows[id];
        enum channel c = row->channel;
        double statistic = statistic_of(row, candidate);
        enum verdict_state state = judge_one(rules, (enum rule_id)id, candidate, statistic);
        verdicts->statistic[id] = statistic;
        verdicts->state[id] = (uint8_t)state;
        verdicts->in_conditioning[id] =
            row->conditioning && candidate->deviation_before[c] > candidate->deviation[c];
        verdicts->not_met |= (uint32_t)(state == VERDICT_NOT_MET) << id;
    }
    return verdicts->not_met == 0;
}
