/* A description: accepted, or refused with a fault. */
#include "run/setup.h"
#include "tests/fuzz/fuzz.h"

#include <stdlib.h>

const char *const fuzz_name = "description";
const int fuzz_inputs_least = 207;

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct faults faults;
    struct test_setup *setup = malloc(sizeof *setup);
    if (setup == NULL)
        abort();
    faults_init(&faults);
    setup_init(setup);
    bool good = setup_parse("/nowhere/test.txt", (const char *)data, size, setup, &faults);
    if (good == faults_any(&faults))
        abort();
    setup_free(setup);
    free(setup);
    return 0;
}
