/* A fuzz target on the inputs that are kept: no clang needed, run by every `make unit`. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/files.h"
#include "tests/fuzz/fuzz.h"

#include <dirent.h>
#include <stdio.h>

static void replay(const char *path)
{
    static struct faults faults;
    struct text bytes = {0};
    faults_init(&faults);
    assert_true(file_read(path, 1 << 20, &bytes, &faults));
    assert_int_equal(LLVMFuzzerTestOneInput((const uint8_t *)text_string(&bytes), bytes.length), 0);
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
