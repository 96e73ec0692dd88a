#include "physics/cover.h"

#include "physics/root.h"

#include <math.h>
#include <string.h>

#define PI 3.14159265358979323846
#define DIFFUSE_RAD (PI / 3.0) /* at which a stack sends diffuse light back, D&B ch. 5 */
#define HEMISPHERE_STEPS 90

enum { PERPENDICULAR, PARALLEL, POLARISATIONS };

/* A sheet, or several of them, for one polarisation. */
struct layer {
    double passed, reflected, kept;
};

/* Reflection at one face; 1 at grazing incidence. */
static double face(double index, double in_rad, int polarisation)
{
    if (index == 1.0)
        return 0.0;
    double out_rad = asin(sin(in_rad) / index);
    if (in_rad < 1e-6) {
        double r = (index - 1.0) / (index + 1.0);
        return r * r;
    }
    double minus = in_rad - out_rad, plus = in_rad + out_rad;
    double r = polarisation == PERPENDICULAR ? sin(minus) / sin(plus) : tan(minus) / tan(plus);
    return r * r;
}

static struct layer one_sheet(const struct cover_sheet *sheet, double in_rad, int polarisation)
{
    if (in_rad >= 0.5 * PI)
        return (struct layer){.reflected = 1.0};
    double r = face(sheet->index, in_rad, polarisation);
    double along = sqrt(1.0 - pow(sin(in_rad) / sheet->index, 2.0));
    double t = exp(-sheet->optical / along);
    double rest = 1.0 - r * r * t * t;
    double passed = t * (1.0 - r) * (1.0 - r) / rest;
    double reflected = r + r * t * t * (1.0 - r) * (1.0 - r) / rest;
    return (struct layer){passed, reflected, 1.0 - passed - reflected};
}

/* What passes the first sheets, and what they send back up into the sky's side or down again. */
struct stack {
    double passed, from_above, from_below;
};

/* What is not sent to and fro for ever; at grazing incidence nothing passes that could be. */
static double open_share(double a, double b)
{
    return fmax(1.0 - a * b, 1e-300);
}

static struct stack add_below(struct stack above, const struct layer *sheet)
{
    double rest = open_share(above.from_below, sheet->reflected);
    return (struct stack){
        .passed = above.passed * sheet->passed / rest,
        .from_above = above.from_above + above.passed * above.passed * sheet->reflected / rest,
        .from_below = sheet->reflected + sheet->passed * sheet->passed * above.from_below / rest};
}

/* Sheets first to n - 1 for light from above. */
static struct stack stack_of(const struct layer *layers, size_t first, size_t n)
{
    struct stack all = {.passed = 1.0};
    for (size_t i = first; i < n; i++)
        all = add_below(all, &layers[i]);
    return all;
}

/* Light that reaches sheet i from above and from below is kept by it in part. */
static void add_polarisation(const struct layer *layers, size_t n, struct cover_light *out)
{
    struct stack all = stack_of(layers, 0, n);
    out->passed += 0.5 * all.passed;
    out->reflected += 0.5 * all.from_above;
    double from_below = 0.0;
    for (size_t i = n; i-- > 0;) {
        struct stack above = stack_of(layers, 0, i);
        struct stack rest = stack_of(layers, i, n);
        double down = above.passed / open_share(above.from_below, rest.from_above);
        out->kept[i] += 0.5 * layers[i].kept * (down + from_below);
        /* What leaves sheet i upwards lands on the underside of the sheet above. */
        from_below = down * rest.from_above;
    }
}

void cover_light(const struct cover_sheet *sheets, size_t n, double incidence_rad,
                 struct cover_light *out)
{
    memset(out, 0, sizeof *out);
    for (int p = 0; p < POLARISATIONS; p++) {
        struct layer layers[COVER_MOST] = {0};
        for (size_t i = 0; i < n; i++)
            layers[i] = one_sheet(&sheets[i], incidence_rad, p);
        add_polarisation(layers, n, out);
    }
}

static double passed_at_normal(const struct cover_sheet *sheet)
{
    return one_sheet(sheet, 0.0, PERPENDICULAR).passed;
}

struct wanted {
    double index, transmittance;
    bool vary_index;
};

static double excess(double x, void *state)
{
    const struct wanted *wanted = state;
    struct cover_sheet sheet = {.index = wanted->vary_index ? x : wanted->index,
                                .optical = wanted->vary_index ? 0.0 : x};
    return passed_at_normal(&sheet) - wanted->transmittance;
}

bool cover_of_transmittance(double index, double transmittance, struct cover_sheet *out)
{
    struct wanted wanted = {.index = index, .transmittance = transmittance};
    struct root root;
    if (!(index > 1.0) || !(transmittance > 0.0) || !(transmittance < 1.0))
        return false;
    wanted.vary_index = excess(0.0, &wanted) < 0.0;
    bool good = wanted.vary_index ? root_find(excess, &wanted, 1.0, index, ROOT_STEPS, &root)
                                  : root_find(excess, &wanted, 0.0, 700.0, ROOT_STEPS, &root);
    *out =
        wanted.vary_index ? (struct cover_sheet){root.x, 0.0} : (struct cover_sheet){index, root.x};
    return good;
}

double cover_black_ratio(double incidence_rad)
{
    static const double c[] = {1.0,       -1.5879e-3, 2.7314e-4,  -2.3026e-5,
                               9.0244e-7, -1.8000e-8, 1.7734e-10, -6.9937e-13};
    double t = incidence_rad * 180.0 / PI;
    double at = fmin(t, 80.0), sum = 0.0;
    for (int i = 7; i >= 0; i--)
        sum = sum * at + c[i];
    return t <= 80.0 ? sum : sum * fmax(90.0 - t, 0.0) / 10.0;
}

void cover_absorbed(const struct cover_sheet *sheets, size_t n, double absorptance,
                    double incidence_rad, struct cover_absorbed *out)
{
    struct cover_sheet below[COVER_MOST] = {0};
    struct cover_light in, back;
    for (size_t i = 0; i < n; i++)
        below[i] = sheets[n - 1 - i];
    cover_light(sheets, n, incidence_rad, &in);
    cover_light(below, n, DIFFUSE_RAD, &back);
    double reaching = in.passed / (1.0 - (1.0 - absorptance) * back.reflected);
    memset(out, 0, sizeof *out);
    out->plate = absorptance * reaching;
    for (size_t i = 0; i < n; i++)
        out->sheet[i] = in.kept[i] + (1.0 - absorptance) * reaching * back.kept[n - 1 - i];
}

void cover_absorbed_diffuse(const struct cover_sheet *sheets, size_t n, double absorptance,
                            bool falls, struct cover_absorbed *out)
{
    memset(out, 0, sizeof *out);
    double step = 0.5 * PI / HEMISPHERE_STEPS;
    for (int k = 0; k < HEMISPHERE_STEPS; k++) {
        double at = (k + 0.5) * step;
        /* The exact weight of the step, so that all weights add up to 1. */
        double weight = pow(sin(at + 0.5 * step), 2.0) - pow(sin(at - 0.5 * step), 2.0);
        struct cover_absorbed part;
        cover_absorbed(sheets, n, absorptance * (falls ? cover_black_ratio(at) : 1.0), at, &part);
        out->plate += weight * part.plate;
        for (size_t i = 0; i < n; i++)
            out->sheet[i] += weight * part.sheet[i];
    }
}
