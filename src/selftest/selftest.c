#include "selftest/selftest.h"

#include "selftest/fields.h"
#include "selftest/published.h"

bool selftest_run(struct checks *checks, const char *temporary, struct faults *faults)
{
    struct published published;
    published.files = published_files(&published.n);
    return checks_regression(checks, &published, faults) &&
           checks_water(checks, &published, faults) && checks_demo(checks, temporary, faults);
}
