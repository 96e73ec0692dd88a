/* The whole chain: the demo's two days of plate A, written, read, cut into windows and fitted, held
 * against what a perfect bench would have measured. */
#include "selftest/fields.h"

#include "base/text.h"
#include "demo/truth.h"
#include "demo/write.h"
#include "fit/curve.h"
#include "run/run.h"

#include <errno.h>
#include <ftw.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* The form fitted to noise-free steady states at the conditions of the nominal test. */
static bool true_curve(const struct fit_form *form, double *coef, struct faults *faults)
{
    struct fluid water;
    struct fit_point points[DEMO_POINTS_MAX];
    struct fit_curve curve;
    size_t n = demo_point_count(DEMO_PLATE_A);
    fluid_water(&water);
    for (size_t k = 0; k < n; k++) {
        struct plant_conditions at;
        struct demo_truth truth;
        demo_point_conditions(DEMO_PLATE_A, k, &at);
        if (!demo_truth(DEMO_PLATE_A, &water, &at, 1, &truth, faults))
            return false;
        points[k] = (struct fit_point){.at = {.x = truth.reduced_m2K_W, .g = at.g_W_m2},
                                       .eta = truth.efficiency};
    }
    if (fit_curve_fit(form, points, n, &curve) == FIT_NO_MEMORY)
        return fault_memory(faults);
    memcpy(coef, curve.coef, form->n_coef * sizeof *coef); /* NaN if refused: holds nowhere */
    fit_curve_free(&curve);
    return true;
}

static void see_coefs(struct checks *checks, const struct document *doc,
                      const struct fit_form *form, const double *truth)
{
    for (size_t j = 0; j < form->n_coef; j++) {
        char id[32];
        snprintf(id, sizeof id, "curve.%s", form->symbols[j]);
        const struct number *number = document_find_number(doc, id);
        checks_begin(checks, form->symbols[j], 1, 1);
        if (number != NULL)
            checks_see_interval(checks, "", truth[j], number->value,
                                0.5 * (number->high - number->low));
    }
}

static bool reduce(struct reduction *reduction, const char *path, struct checks *checks,
                   struct faults *faults)
{
    const struct fit_form *form = fit_form_find("second order");
    double truth[FIT_FORM_MAX_COEF];
    struct document doc;
    if (!true_curve(form, truth, faults) || !reduction_describe(reduction, path, faults) ||
        !reduction_read(reduction, faults) ||
        !document_init(&doc, "efficiency", "selftest", faults))
        return false;
    bool good = runs_perform(reduction, &doc, faults);
    if (good)
        see_coefs(checks, &doc, form, truth);
    document_free(&doc);
    return good;
}

static int take_away(const char *path, const struct stat *about, int kind, struct FTW *where)
{
    (void)about;
    (void)kind;
    (void)where;
    return remove(path);
}

static bool in_folder(const char *folder, struct checks *checks, struct faults *faults)
{
    char *demo = text_copyf(faults, "%s/demo", folder);
    char *path = text_copyf(faults, "%s/demo/plate-a.txt", folder);
    struct reduction *reduction = malloc(sizeof *reduction);
    bool good = demo != NULL && path != NULL && reduction != NULL;
    if (reduction == NULL)
        fault_memory(faults);
    else
        reduction_init(reduction);
    good = good && demo_write(demo, faults) && reduce(reduction, path, checks, faults);
    if (reduction != NULL)
        reduction_free(reduction);
    free(reduction);
    free(path);
    free(demo);
    return good;
}

/* A request to end waits until the folder is gone. */
static void hold_signals(sigset_t *before)
{
    sigset_t held;
    sigemptyset(&held);
    sigaddset(&held, SIGINT);
    sigaddset(&held, SIGTERM);
    sigaddset(&held, SIGHUP);
    sigprocmask(SIG_BLOCK, &held, before);
}

/* What a user could mend in a test of his own is the machine's here. */
static bool refuse(struct faults *faults)
{
    if (faults->worst == FAULT_MACHINE)
        return false;
    struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(NULL, 0, 0));
    fault_found(fault, "the demo, which always can be reduced, could not");
    fault_hint(fault, "build the program again from untouched sources");
    return false;
}

bool checks_demo(struct checks *checks, const char *temporary, struct faults *faults)
{
    enum { OPEN_AT_MOST = 8 };
    checks_group(checks, "The demo's plate A, from log to curve",
                 "truth: the invented collector's steady states without noise or error. off: how "
                 "far both differ, in halves of the 95 % interval; at most 1 is asked (19 of 20 "
                 "draws of such a demo hold; this one is always the same)",
                 true);
    char *folder = text_copyf(faults, "%s/etabench-selftest-XXXXXX", temporary);
    if (folder == NULL)
        return false;
    sigset_t before;
    hold_signals(&before);
    bool good = mkdtemp(folder) != NULL;
    if (good) {
        good = in_folder(folder, checks, faults) || refuse(faults);
        nftw(folder, take_away, OPEN_AT_MOST, FTW_DEPTH | FTW_PHYS);
    } else {
        fault_system(faults, temporary,
                     "no temporary folder can be made in it (TMPDIR names another)", errno);
    }
    sigprocmask(SIG_SETMASK, &before, NULL);
    free(folder);
    return good;
}
