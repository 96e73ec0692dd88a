/* A unit that changed within a test: some points have another flow, or another sunshine, by a
 * factor, and their efficiency is off the others' by the same factor. A test that was really run at
 * two flows has one efficiency at both. */
#include "run/doubt_parts.h"

#include "run/doubt_say.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

/* What is no other setting of a valve: no two points side by side in size are nearer than this. And
 * how near the two factors must be: half of the least, by its logarithm. Our own figures. */
#define FACTOR_LEAST 1.7
#define FACTORS_APART 0.25
/* Points beyond the reach of the others tell nothing of the factor: m2 K/W that count as within. */
#define WITHIN 0.005

enum { FEWEST_OTHERS = 3, NAMES_SIZE = 200, FOUND_SIZE = 640 };

static const struct {
    double factor;
    const char *words;
} units[] = {
    {3.785, "a US gallon is 3.785 litres"},
    {4.546, "an imperial gallon is 4.546 litres"},
    {60, "per hour and per minute, or per minute and per second, are 60 apart"},
    {1000.0 / 60, "1 m3/h is 16.7 L/min"},
    {3.6, "1 L/s is 3.6 m3/h"},
    {15.85, "1 L/s is 15.85 US gallons a minute"},
    {4.403, "1 m3/h is 4.403 US gallons a minute"},
    {10, "a decimal mark that slipped makes 10"},
    {100, "a decimal mark that slipped by two makes 100"},
    {1000, "a cubic metre is 1000 litres"},
};

static double flow_of(const struct point *point)
{
    const struct means *means = point->means;
    return means->has[CH_FLOW] ? means->mean[CH_FLOW] : point->value.mass_kg_s;
}

static double sunshine_of(const struct point *point)
{
    return point->value.g_W_m2;
}

/* What may be off, and the power of its factor that comes out as efficiency. */
static const struct cause {
    const char *word, *low,
        *high; /* how the efficiency is off where the cause is too low, too high */
    double (*of)(const struct point *point);
    double power;
} causes[] = {{"flow", "smaller", "larger", flow_of, 1},
              {"sunshine", "larger", "smaller", sunshine_of, -1}};

/* Two heaps of points: the small one, at most half of all, and the others. */
struct heaps {
    size_t n, few;
    double *key;  /* of each point; NaN for one that is left out */
    double *sort; /* room */
    bool few_low; /* the few are those below the cut */
    double cut;
    double factor; /* middle of the few by middle of the others */
};

static int compare_numbers(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static bool is_few(const struct heaps *heaps, size_t i)
{
    return heaps->few_low ? heaps->key[i] < heaps->cut : heaps->key[i] > heaps->cut;
}

/* Sorts what is known and cuts it at its widest gap.
 * Returns: false if there is none as wide as FACTOR_LEAST */
static bool cut(struct heaps *heaps, const struct doubted *of, const struct cause *cause)
{
    size_t at = 0, m = 0;
    double widest = FACTOR_LEAST;
    for (size_t i = 0; i < of->n; i++) {
        double key = of->points[i].left_out ? NAN : cause->of(&of->points[i]);
        heaps->key[i] = key > 0 ? key : NAN;
        if (key > 0)
            heaps->sort[m++] = key;
    }
    qsort(heaps->sort, m, sizeof heaps->sort[0], compare_numbers);
    for (size_t i = 1; i < m; i++)
        if (heaps->sort[i] > widest * heaps->sort[i - 1]) {
            widest = heaps->sort[i] / heaps->sort[i - 1];
            at = i;
        }
    if (at == 0)
        return false;
    double low = heaps->sort[at / 2], high = heaps->sort[at + (m - at) / 2];
    heaps->n = m;
    heaps->few_low = at <= m - at;
    heaps->few = heaps->few_low ? at : m - at;
    heaps->cut = sqrt(heaps->sort[at - 1] * heaps->sort[at]);
    heaps->factor = heaps->few_low ? low / high : high / low;
    return true;
}

/* The straight line through the others, and their reach. */
struct line {
    double eta, slope, middle, from, to;
};

static struct line line_of_others(const struct heaps *heaps, const struct doubted *of)
{
    double n = (double)(heaps->n - heaps->few), xx = 0, xy = 0;
    struct line line = {.from = INFINITY, .to = -INFINITY};
    for (size_t i = 0; i < of->n; i++) {
        const struct point_value *value = &of->points[i].value;
        if (isnan(heaps->key[i]) || is_few(heaps, i))
            continue;
        line.middle += value->x / n;
        line.eta += value->eta / n;
        line.from = fmin(line.from, value->x);
        line.to = fmax(line.to, value->x);
    }
    for (size_t i = 0; i < of->n; i++) {
        const struct point_value *value = &of->points[i].value;
        if (isnan(heaps->key[i]) || is_few(heaps, i))
            continue;
        xx += (value->x - line.middle) * (value->x - line.middle);
        xy += (value->x - line.middle) * (value->eta - line.eta);
    }
    line.slope = line.to - line.from > WITHIN ? xy / xx : 0;
    return line;
}

/* By what factor the few's efficiency is off that line: the middle one; NaN if none lies within the
 * others' reach. */
static double factor_of_efficiency(struct heaps *heaps, const struct doubted *of)
{
    struct line line = line_of_others(heaps, of);
    size_t m = 0;
    for (size_t i = 0; i < of->n; i++) {
        const struct point_value *value = &of->points[i].value;
        double expected = line.eta + line.slope * (value->x - line.middle);
        if (isnan(heaps->key[i]) || !is_few(heaps, i) || value->x < line.from - WITHIN ||
            value->x > line.to + WITHIN || !(expected > 0))
            continue;
        heaps->sort[m++] = value->eta / expected;
    }
    qsort(heaps->sort, m, sizeof heaps->sort[0], compare_numbers);
    return m > 0 ? heaps->sort[m / 2] : NAN;
}

static const char *unit_words(double factor)
{
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++)
        if (fabs(log(factor / units[i].factor)) < 0.03)
            return units[i].words;
    return NULL;
}

/* "'P1' to 'P6'", or "'P1' and others" where other points stand between them. */
static void name_few(const struct heaps *heaps, const struct doubted *of, char *out, size_t size)
{
    size_t first = of->n, last = 0;
    for (size_t i = 0; i < of->n; i++)
        if (!isnan(heaps->key[i]) && is_few(heaps, i)) {
            first = first == of->n ? i : first;
            last = i;
        }
    const char *from = of->points[first].means->name, *to = of->points[last].means->name;
    if (first == last)
        snprintf(out, size, "'%.60s'", from);
    else if (last - first + 1 == heaps->few)
        snprintf(out, size, "'%.60s' to '%.60s'", from, to);
    else
        snprintf(out, size, "'%.60s' the first of them, '%.60s' the last", from, to);
}

static bool tell(const struct heaps *heaps, const struct doubted *of, const struct cause *cause,
                 double efficiency, struct document *doc, struct faults *faults)
{
    char names[NAMES_SIZE], found[FOUND_SIZE];
    bool low = heaps->factor < 1;
    double factor = low ? 1 / heaps->factor : heaps->factor;
    double off = efficiency < 1 ? 1 / efficiency : efficiency;
    const char *unit = unit_words(factor);
    name_few(heaps, of, names, sizeof names);
    snprintf(found, sizeof found,
             "%zu of %zu points (%s) ha%s a %s %.3g times %s than the others, and an efficiency "
             "%.3g times %s: so the %s is %s there%s%s%s",
             heaps->few, heaps->n, names, heaps->few == 1 ? "s" : "ve", cause->word, factor,
             low ? "smaller" : "larger", off, low ? cause->low : cause->high, cause->word,
             heaps->few == 1 ? "written otherwise" : "in another unit", unit != NULL ? " (" : "",
             unit != NULL ? unit : "", unit != NULL ? ")" : "");
    return doubt_say(of, "This cannot be true as it stands: ", found,
                     of->reduction->from_log
                         ? "bring the column to one unit in all rows, or reduce the parts as tests "
                           "of their own, each with its 'unit'"
                     : heaps->few == 1
                         ? "correct it in its row"
                         : "bring the column of the table to the unit in its head in all rows",
                     doc, faults);
}

static bool look(struct heaps *heaps, const struct doubted *of, bool *said, struct document *doc,
                 struct faults *faults)
{
    for (size_t c = 0; c < sizeof causes / sizeof causes[0]; c++) {
        if (!cut(heaps, of, &causes[c]) || heaps->n - heaps->few < FEWEST_OTHERS)
            continue;
        double efficiency = factor_of_efficiency(heaps, of);
        double apart = log(efficiency) - causes[c].power * log(heaps->factor);
        if (!(fabs(apart) < FACTORS_APART))
            continue;
        *said = true;
        return tell(heaps, of, &causes[c], efficiency, doc, faults);
    }
    return true;
}

bool doubt_factor(const struct doubted *of, bool *found, struct document *doc,
                  struct faults *faults)
{
    struct heaps heaps = {.key = calloc(of->n + 1, sizeof *heaps.key),
                          .sort = calloc(of->n + 1, sizeof *heaps.sort)};
    *found = false;
    bool good = heaps.key != NULL && heaps.sort != NULL ? look(&heaps, of, found, doc, faults)
                                                        : fault_memory(faults);
    free(heaps.key);
    free(heaps.sort);
    return good;
}
