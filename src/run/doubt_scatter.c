/* Scatter that the stated errors do not explain by far: mostly one part of the test was measured,
 * or written, otherwise than the rest. */
#include "run/doubt_parts.h"

#include "base/text.h"
#include "run/doubt_say.h"
#include "run/efficiency_points.h"

#include <math.h>

/* The Birge ratio from which on it is told at the top, with the scatter of the points about the
 * curve that there must be besides: a fine bench states a thousandth, and wind and sky alone may
 * make several times as much. Undamaged tests of the demo lie between 0.6 and 1.5, invented
 * undamaged ones between 0.6 and 1.0; a homemade rig under a real sky may reach 2 or 3, we guess.
 * Our own figures. */
static const struct {
    double birge, scatter;
} limits[] = {{4, 0.01}, {10, 0.005}};

enum { NAMED = 3 };

static double residual_of(const struct efficiency *e, size_t k)
{
    return e->cases[k].residual - (e->swapped != NULL ? e->swapped[k] : 0);
}

static double scatter_of(const struct efficiency *e)
{
    double squares = 0;
    for (size_t k = 0; k < e->n; k++)
        squares += residual_of(e, k) * residual_of(e, k);
    return sqrt(squares / (double)e->n);
}

/* The ratio without the farthest point: of one alone it is said that it lies off. */
static double birge_of_others(const struct efficiency *e)
{
    double most = 0, dof = (double)e->curve.dof;
    for (size_t k = 0; k < e->n; k++)
        most = fmax(most, fabs(e->cases[k].studentised)); /* passes a NaN over */
    if (dof < 2)
        return e->curve.birge;
    return e->curve.birge * sqrt(fmax(1 - most * most / dof, 0) * dof / (dof - 1));
}

static bool is_far(const struct efficiency *e)
{
    double birge = birge_of_others(e), scatter = scatter_of(e);
    for (size_t i = 0; i < sizeof limits / sizeof limits[0]; i++)
        if (birge > limits[i].birge && scatter > limits[i].scatter)
            return true;
    return false;
}

/* The farthest fitted point that is not among the first n of `named`. */
static size_t next_farthest(const struct efficiency *e, const size_t *named, size_t n)
{
    size_t most = e->n;
    for (size_t k = 0; k < e->n; k++) {
        bool taken = false;
        for (size_t i = 0; i < n; i++)
            taken = taken || named[i] == k;
        if (!taken && (most == e->n || fabs(residual_of(e, k)) > fabs(residual_of(e, most))))
            most = k;
    }
    return most;
}

/* "'a' (group b) by -4.1, 'c' by +2.2 percentage points" */
static void name_points(const struct doubted *of, struct text *out)
{
    const struct efficiency *e = of->e;
    size_t named[NAMED];
    for (size_t i = 0; i < NAMED && i < e->n; i++) {
        named[i] = next_farthest(e, named, i);
        const struct means *means = of->points[e->index[named[i]]].means;
        bool grouped = means->group[0] != '\0';
        text_addf(out, "%s'%s'%s%s%s by %+.1f", i == 0 ? "" : ", ", means->name,
                  grouped ? " (group " : "", grouped ? means->group : "", grouped ? ")" : "",
                  100 * residual_of(e, named[i]));
    }
    text_add(out, " percentage points");
}

static const char *counted_words(enum fit_scale scale)
{
    return scale == FIT_SCALE_STATED
               ? "; 'scale = stated' keeps the band as if there were none of it"
               : "; the band is widened by it, as if it were chance";
}

/* Points lie off a mean because heat is lost, whoever took it: 'automatic' takes one where there
 * are two points, or too few kelvin between them. They lie off a straight line that the description
 * wants because a curve has more to it; a line that 'automatic' has taken is one. */
static bool form_may_be_too_plain(const struct doubted *of)
{
    return of->e->form->n_coef < 2 ||
           (of->e->form->n_coef < 3 && !text_same(efficiency_request(of->run).form, "automatic"));
}

bool doubt_scatter(const struct doubted *of, struct document *doc, struct faults *faults)
{
    const struct efficiency *e = of->e;
    if (of->run->kind != RUN_EFFICIENCY || form_may_be_too_plain(of) || e->curve.equal_weights ||
        !isfinite(e->curve.birge) || !is_far(e))
        return true;
    struct text found = {0};
    text_addf(&found,
              "The points scatter %.3g times as much as their stated errors explain, farthest "
              "off the curve are ",
              e->curve.birge);
    name_points(of, &found);
    text_add(&found, counted_words(e->scale));
    bool good =
        text_ok(&found, faults) &&
        doubt_say(of, "", text_string(&found),
                  of->reduction->from_log
                      ? "look at the log there, and at what differed: mostly a sensor that was "
                        "moved, a column that was sorted or filled in, a unit that changed, "
                        "readings averaged elsewhere; wind and sky alone make less"
                      : "look at their rows, and at what differed: mostly a sensor that was moved, "
                        "a column that was sorted or filled in, a unit that changed, readings "
                        "averaged elsewhere; wind and sky alone make less",
                  doc, faults);
    text_free(&found);
    return good;
}
