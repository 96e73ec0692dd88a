/* A points table: whatever it holds, its points are finite and inside what a test can hold. */
#include "point/points_table.h"
#include "tests/fuzz/fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <unistd.h>

const char *const fuzz_name = "points";
const int fuzz_inputs_least = 72;

static void check(const struct means_list *list)
{
    for (size_t i = 0; i < list->n; i++)
        for (int c = 0; c < CH_COUNT; c++)
            if (list->items[i].has[c] && !isfinite(list->items[i].mean[c]))
                abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct faults faults;
    struct means_list list;
    char path[FUZZ_PATH_SIZE], hex[HASH_HEX_SIZE];
    int fd = fuzz_file(data, size, path);
    faults_init(&faults);
    means_list_init(&list);
    bool good = points_read(&list, path, hex, &faults);
    if (good && (list.n == 0 || faults_any(&faults)))
        abort();
    if (!good && !faults_any(&faults))
        abort();
    if (good)
        check(&list);
    means_list_free(&list);
    close(fd);
    return 0;
}
