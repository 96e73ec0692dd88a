#include "study/compare.h"

#include "base/files.h"
#include "base/text.h"
#include "run/efficiency_doubts.h"
#include "run/reduction_document.h"
#include "study/compare_view.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Where no test says otherwise: the irradiance for which curves are mostly drawn, and the range of
 * a glazed collector in use (our own figures). */
#define COMPARE_G_W_M2 1000.0
#define COMPARE_RANGE_M2K_W 0.06

/* Everything that a comparison owns. */
struct comparison {
    struct tested tests[COMPARE_MOST];
    struct difference differences[COMPARE_MOST];
    size_t n;
    size_t n_differences;
};

static bool read_all(struct comparison *c, char *const *paths, size_t n,
                     const struct tested_how *how, struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < n; i++)
        if (!tested_read(c->tests, COMPARE_MOST, &c->n, paths[i], how, faults))
            good = false; /* go on: all faults in one go */
    if (!good || c->n > 1)
        return good;
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(paths[0], 0, 0));
    fault_found(fault, "it holds one collector, and nothing is named to compare it with");
    fault_expected(fault, "a second description, or a section [curve NAME] with a published curve");
    return false;
}

/* The first area that all of them state: outside of the frame, opening, dark surface. */
static bool find_area(const struct comparison *c, enum area_reference *area, struct faults *faults)
{
    for (int k = 0; k < AREA_COUNT; k++) {
        size_t have = 0;
        for (size_t i = 0; i < c->n; i++)
            have += tested_has_area(&c->tests[i], (enum area_reference)k);
        *area = (enum area_reference)k;
        if (have == c->n)
            return true;
    }
    struct fault *fault = fault_new(faults, FAULT_INPUT,
                                    fault_at(c->tests[1].reduction->setup.path, 0, 0));
    fault_found(fault, "the collectors have no area in common to which efficiencies refer");
    fault_expected(fault, "the same of 'gross area', 'aperture area' or 'absorber area' in every "
                          "[collector] and [curve NAME]");
    fault_hint(fault, "measure it on each; efficiencies of different areas cannot be compared");
    return false;
}

/* Where a stated curve does not say its range: that which the tests and the other curves cover. */
static void widen(struct tested_basis *basis, double low, double high)
{
    basis->x_low = fmin(basis->x_low, low);
    basis->x_high = fmax(basis->x_high, high);
}

static bool fit_tests(struct comparison *c, struct tested_basis *basis, struct faults *faults)
{
    bool good = true;
    basis->x_low = INFINITY;
    basis->x_high = -INFINITY;
    for (size_t i = 0; i < c->n; i++) {
        struct tested *t = &c->tests[i];
        if (t->is_stated && t->section.range.at.given)
            widen(basis, t->section.range.low, t->section.range.high);
        if (t->is_stated)
            continue;
        good &= tested_fit(t, basis, faults);
        widen(basis, t->e.design.least_x, t->e.design.most_x);
    }
    if (basis->x_low >= basis->x_high) {
        basis->x_low = 0;
        basis->x_high = COMPARE_RANGE_M2K_W;
    }
    return good;
}

static bool has_namesake(const struct comparison *c, size_t i, size_t until)
{
    for (size_t k = 0; k < until; k++)
        if (k != i && text_same(c->tests[k].name, c->tests[i].name))
            return true;
    return false;
}

/* Two tests of one plate bear one name: then the files tell them apart, and failing that a number.
 */
static void tell_apart(struct comparison *c)
{
    bool twice[COMPARE_MOST];
    char name[TESTED_NAME_SIZE];
    for (size_t i = 0; i < c->n; i++)
        twice[i] = has_namesake(c, i, c->n);
    for (size_t i = 0; i < c->n; i++) {
        struct tested *t = &c->tests[i];
        memcpy(name, t->name, sizeof name);
        if (twice[i])
            snprintf(t->name, sizeof t->name, "%.40s: %.48s",
                     path_base(t->reduction->setup.path), name);
    }
    for (size_t i = 0; i < c->n; i++) {
        struct tested *t = &c->tests[i];
        memcpy(name, t->name, sizeof name);
        if (has_namesake(c, i, i)) /* those before it have theirs by now */
            snprintf(t->name, sizeof t->name, "%.70s no. %zu", name, i + 1);
    }
}

static bool fit_all(struct comparison *c, struct tested_basis *basis, struct faults *faults)
{
    bool good = fit_tests(c, basis, faults);
    for (size_t i = 0; good && i < c->n; i++)
        if (c->tests[i].is_stated)
            good = tested_fit(&c->tests[i], basis, faults);
    for (size_t i = 1; good && i < c->n; i++) {
        c->n_differences++;
        good = difference_init(&c->differences[i - 1], &c->tests[0], &c->tests[i], faults);
    }
    return good;
}

/* What the first test asks for; without a test, what the first curve refers to. */
static void choose_basis(const struct comparison *c, struct tested_basis *basis)
{
    basis->g_W_m2 = COMPARE_G_W_M2;
    basis->temperature = c->tests[0].section.temperature == CURVE_INLET ? BASIS_INLET : BASIS_MEAN;
    for (size_t i = c->n; i-- > 0;) {
        if (c->tests[i].is_stated)
            continue;
        const struct run_section *run = c->tests[i].run;
        basis->g_W_m2 = run->draw_at_W_m2;
        basis->temperature = run->temperature == TEMPERATURE_INLET ? BASIS_INLET : BASIS_MEAN;
    }
}

static bool input_facts(const struct reduction *r, struct document *doc, struct faults *faults)
{
    for (size_t i = 0; i < r->logs.n; i++)
        for (size_t k = 0; k < r->logs.account[i].n_files; k++)
            if (!document_fact(doc, "input", path_base(r->logs.account[i].files[k].path), faults,
                               "SHA-256 %s", r->logs.account[i].files[k].sha256))
                return false;
    for (size_t k = 0; k < r->n_points_files; k++)
        if (!document_fact(doc, "input", path_base(r->points_files[k].path), faults, "SHA-256 %s",
                           r->points_files[k].sha256))
            return false;
    return true;
}

static bool facts(const struct comparison *c, struct document *doc, struct faults *faults)
{
    if (!program_facts(doc, faults))
        return false;
    for (size_t i = 0; i < c->n; i++) {
        const struct reduction *r = c->tests[i].reduction;
        if (c->tests[i].is_stated && i > 0 &&
            text_same(r->setup.path, c->tests[i - 1].reduction->setup.path))
            continue; /* a curve in a description that is named already */
        if (!document_fact(doc, "input", path_base(r->setup.path), faults, "SHA-256 %s",
                           r->setup.sha256) ||
            !input_facts(r, doc, faults))
            return false;
    }
    return true;
}

static bool title(const struct comparison *c, struct text *out, struct faults *faults)
{
    for (size_t i = 0; i < c->n; i++)
        text_addf(out, "%s%s", i == 0 ? "" : i == 1 ? " beside " : " and ", c->tests[i].name);
    return text_ok(out, faults);
}

/* Rows that were left aside or kept, of each test by its name. */
static bool bad_rows(const struct comparison *c, struct document *doc, struct faults *faults)
{
    const struct reduction *reductions[COMPARE_MOST];
    const char *names[COMPARE_MOST];
    for (size_t i = 0; i < c->n; i++) {
        reductions[i] = c->tests[i].reduction;
        names[i] = c->tests[i].name;
    }
    return reductions_bad_rows(reductions, names, c->n, doc, faults);
}

/* What cannot be true of one of them, before anything is held against anything. */
static bool doubts(const struct comparison *c, struct document *doc, struct faults *faults)
{
    for (size_t i = 0; i < c->n; i++) {
        const struct tested *t = &c->tests[i];
        struct doubted of = {.who = t->name,
                             .reduction = t->reduction,
                             .run = t->run,
                             .e = &t->e,
                             .points = t->points,
                             .n = t->is_stated ? 0 : t->reduction->means.n};
        if (!t->is_stated && !efficiency_doubts(&of, doc, faults))
            return false;
    }
    return true;
}

/* Whether two tests rest on the same readings, point by point. */
static bool same_readings(const struct tested *a, const struct tested *b)
{
    if (a->is_stated || b->is_stated || a->reduction->means.n != b->reduction->means.n)
        return false;
    for (size_t i = 0; i < a->reduction->means.n; i++) {
        const struct means *x = &a->reduction->means.items[i], *y = &b->reduction->means.items[i];
        if (!text_same(x->name, y->name) || x->eta != y->eta)
            return false;
        for (int c = 0; c < CH_COUNT; c++)
            if (x->has[c] != y->has[c] || (x->has[c] && x->mean[c] != y->mean[c]))
                return false;
    }
    return true;
}

/* A test that is held against itself, under whatever name. */
static bool twins(const struct comparison *c, struct document *doc, struct faults *faults)
{
    for (size_t i = 0; i < c->n; i++)
        for (size_t k = i + 1; k < c->n; k++) {
            const struct tested *a = &c->tests[i], *b = &c->tests[k];
            if (same_readings(a, b) &&
                !document_finding(doc, FINDING_ANSWER, true, faults,
                                  "'%s' and '%s' rest on the same readings, point by point: it is "
                                  "one test beside itself.",
                                  a->name, b->name))
                return false;
        }
    return true;
}

static bool tell(const struct comparison *c, const struct tested_basis *basis,
                 struct document *doc, struct faults *faults)
{
    struct compare_view view = {.tests = c->tests,
                                .n = c->n,
                                .differences = c->differences,
                                .basis = *basis,
                                .g_W_m2 = basis->g_W_m2};
    return facts(c, doc, faults) && doubts(c, doc, faults) && twins(c, doc, faults) &&
           compare_answers(&view, doc, faults) &&
           compare_pairs(&view, doc, faults) && compare_swaps(&view, doc, faults) &&
           bad_rows(c, doc, faults) && compare_tables(&view, doc, faults) &&
           compare_figure(&view, doc, faults);
}

bool compare_tests(char *const *paths, size_t n, const struct tested_how *how,
                   struct document *doc, struct faults *faults)
{
    struct tested_basis basis = {0};
    struct text name = {0};
    struct comparison *c = calloc(1, sizeof *c);
    if (c == NULL)
        return fault_memory(faults);
    bool good = read_all(c, paths, n, how, faults) && find_area(c, &basis.area, faults);
    if (good) {
        tell_apart(c);
        choose_basis(c, &basis);
    }
    good = good && title(c, &name, faults) &&
           document_init(doc, "comparison", text_string(&name), faults) &&
           fit_all(c, &basis, faults) && tell(c, &basis, doc, faults);
    text_free(&name);
    for (size_t i = 0; i < c->n_differences; i++)
        difference_free(&c->differences[i]);
    for (size_t i = 0; i < c->n; i++)
        tested_free(&c->tests[i]);
    free(c);
    return good;
}
