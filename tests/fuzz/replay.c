/* A fuzz target on the inputs that are kept: no clang needed, run by every `make unit`. None may
 * hang, or grow beyond what `make fuzz` allows. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/files.h"
#include "tests/fuzz/fuzz.h"

#include <dirent.h>
#include <stdio.h>
#include <sys/resource.h>
#include <unistd.h>

/* Memory of the whole program, what the sanitizer takes for itself apart. */
enum { SECONDS_MOST = 20, MEMORY_MOST_KIB = 32 * 1024 };

static bool memory_is_bounded(void)
{
#if defined __SANITIZE_ADDRESS__
    return true;
#else
    struct rusage usage;
    assert_int_equal(getrusage(RUSAGE_SELF, &usage), 0);
    return usage.ru_maxrss <= MEMORY_MOST_KIB;
#endif
}

static void replay(const char *path)
{
    static struct faults faults;
    struct text bytes = {0};
    faults_init(&faults);
    assert_true(file_read(path, 1 << 20, &bytes, &faults));
    alarm(SECONDS_MOST); /* ends the program where an input hangs */
    assert_int_equal(LLVMFuzzerTestOneInput((const uint8_t *)text_string(&bytes), bytes.length), 0);
    alarm(0);
    if (!memory_is_bounded())
        fail_msg("%s: more than %d KiB", path, MEMORY_MOST_KIB);
    text_free(&bytes);
}

static void kept_inputs_do_no_harm(void **state)
{
    (void)state;
    char folder[200], path[500];
    snprintf(folder, sizeof folder, "tests/fuzz/corpus/%s", fuzz_name);
    DIR *dir = opendir(folder);
    assert_non_null(dir);
    int n = 0;
    for (struct dirent *entry; (entry = readdir(dir)) != NULL;) {
        if (entry->d_name[0] == '.')
            continue;
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        replay(path);
        n++;
    }
    closedir(dir);
    if (n < fuzz_inputs_least)
        fail_msg("%s: %d inputs, at least %d are kept", folder, n, fuzz_inputs_least);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(kept_inputs_do_no_harm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
