#include "run/setup_stage.h"

bool setup_untested(const struct test_setup *setup)
{
    return !setup->log.given && !setup->points.given && setup->n_runs == 0 &&
           construction_given(&setup->construction);
}

bool setup_planned(const struct test_setup *setup)
{
    return !setup->log.given && !setup->points.given && setup->n_runs > 0;
}

bool setup_published(const struct test_setup *setup)
{
    return !setup->log.given && !setup->points.given && setup->n_runs == 0 && setup->curves.n > 0;
}
