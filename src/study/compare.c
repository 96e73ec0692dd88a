#include "study/compare.h"

#include "base/files.h"
#include "base/version.h"
#include "study/compare_view.h"

#include <stdlib.h>

/* Everything that a comparison owns. */
struct comparison {
    struct tested tests[COMPARE_MOST];
    struct difference differences[COMPARE_MOST];
    size_t n;
    size_t n_differences;
};

static bool read_all(struct comparison *c, char *const *paths, size_t n,
                     const struct progress *progress, struct faults *faults)
{
    bool good = true;
    for (; c->n < n; c->n++)
        if (!tested_read(&c->tests[c->n], paths[c->n], progress, faults))
            good = false; /* go on: all faults in one go */
    return good;
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
                          "[collector]");
    fault_hint(fault, "measure it on each; efficiencies of different areas cannot be compared");
    return false;
}

static bool fit_all(struct comparison *c, const struct tested_basis *basis, struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < c->n; i++)
        good &= tested_fit(&c->tests[i], basis, faults);
    for (size_t i = 1; good && i < c->n; i++, c->n_differences++)
        if (!difference_init(&c->differences[i - 1], &c->tests[0], &c->tests[i], faults))
            return false;
    return good;
}

static bool facts(const struct comparison *c, struct document *doc, struct faults *faults)
{
    if (!document_fact(doc, "program", "etabench", faults, "%s", ETABENCH_VERSION))
        return false;
    for (size_t i = 0; i < c->n; i++) {
        const struct reduction *r = c->tests[i].reduction;
        if (!document_fact(doc, "input", path_base(r->setup.path), faults, "SHA-256 %s",
                           r->setup.sha256))
            return false;
        for (size_t k = 0; k < r->account.n_files; k++)
            if (!document_fact(doc, "input", path_base(r->account.files[k].path), faults,
                               "SHA-256 %s", r->account.files[k].sha256))
                return false;
        for (size_t k = 0; k < r->n_points_files; k++)
            if (!document_fact(doc, "input", path_base(r->points_files[k].path), faults,
                               "SHA-256 %s", r->points_files[k].sha256))
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

static bool tell(const struct comparison *c, const struct tested_basis *basis,
                 struct document *doc, struct faults *faults)
{
    struct compare_view view = {.tests = c->tests,
                                .n = c->n,
                                .differences = c->differences,
                                .basis = *basis,
                                .g_W_m2 = c->tests[0].run->draw_at_W_m2};
    return facts(c, doc, faults) && compare_answers(&view, doc, faults) &&
           compare_tables(&view, doc, faults) && compare_figure(&view, doc, faults);
}

bool compare_tests(char *const *paths, size_t n, const struct progress *progress,
                   struct document *doc, struct faults *faults)
{
    struct tested_basis basis = {0};
    struct text name = {0};
    struct comparison *c = calloc(1, sizeof *c);
    if (c == NULL)
        return fault_memory(faults);
    bool good = read_all(c, paths, n, progress, faults) && find_area(c, &basis.area, faults);
    if (good)
        basis.temperature = c->tests[0].run->temperature == TEMPERATURE_INLET ? BASIS_INLET
                                                                              : BASIS_MEAN;
    good = good && title(c, &name, faults) &&
           document_init(doc, "comparison", text_string(&name), faults) &&
           fit_all(c, &basis, faults) && tell(c, &basis, doc, faults);
    text_free(&name);
    for (size_t i = 0; i < c->n_differences; i++)
        difference_free(&c->differences[i]);
    for (size_t i = 0; i < n; i++)
        tested_free(&c->tests[i]);
    free(c);
    return good;
}
