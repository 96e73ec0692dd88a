#include "window/rule.h"

#include "base/text.h"

#include <math.h>

const char *rule_mark_words(enum rule_mark mark)
{
    static const char *const words[] = {"read", "from memory", "our own"};
    return words[mark];
}

const struct rule_row *rule_row(enum rule_id id)
{
    return &rule_rows[id];
}

const struct rule_row *rule_find(const char *key)
{
    for (size_t i = 0; i < RULE_COUNT; i++)
        if (text_same_nocase(key, rule_rows[i].key))
            return &rule_rows[i];
    return NULL;
}

static double quotient(double over, double under)
{
    return under > 0.0 ? over / under : over > 0.0 ? INFINITY : 0.0;
}

double rule_ratio(enum rule_id id, const struct rule_value *value, double statistic)
{
    if (!isfinite(statistic))
        return INFINITY;
    switch (rule_rows[id].sense) {
    case RULE_AT_LEAST:
        return statistic > 0.0 ? value->low / statistic : INFINITY;
    case RULE_BETWEEN:
        return quotient(fabs(statistic - 0.5 * (value->low + value->high)),
                        0.5 * (value->high - value->low));
    case RULE_AT_MOST:
        break;
    }
    return quotient(statistic, value->high);
}
