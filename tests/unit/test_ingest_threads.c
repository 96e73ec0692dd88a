/* Reading with several threads: rows, account and messages are those of one. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "ingest/ahead.h"
#include "tests/unit/aid_any_log.h"
#include "tests/unit/aid_folder.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static struct faults faults, other_faults;
static const unsigned numbers[] = {2, 3, 7};
enum { NUMBERS = sizeof numbers / sizeof numbers[0] };

static void same_faults(const char *name, const struct faults *a, const struct faults *b)
{
    if (a->n != b->n || a->dropped != b->dropped || a->worst != b->worst)
        fail_msg("%s: %zu faults, otherwise %zu", name, a->n, b->n);
    for (size_t i = 0; i < a->n; i++)
        if (a->items[i].kind != b->items[i].kind || a->items[i].line != b->items[i].line ||
            strcmp(a->items[i].found, b->items[i].found) != 0)
            fail_msg("%s: fault %zu is '%s', otherwise '%s'", name, i, a->items[i].found,
                     b->items[i].found);
}

static void threads_change_nothing(void **state)
{
    (void)state;
    static struct kept one, several;
    char *folder = aid_folder();
    assert_non_null(folder);
    for (size_t i = 0; i < AID_LOG_FORMS; i++) {
        const struct aid_log_form *form = &aid_log_forms[i];
        struct log_account a, b;
        struct sink sink = aid_sink(&one);
        bool good = aid_read_log(form, "m", folder, 1, &sink, &a, &faults);
        for (size_t k = 0; k < NUMBERS; k++) {
            sink = aid_sink(&several);
            assert_int_equal(
                aid_read_log(form, "m", folder, numbers[k], &sink, &b, &other_faults), good);
            aid_same_rows(form->name, &one, &several);
            aid_same_accounts(form->name, &a, &b);
            same_faults(form->name, &faults, &other_faults);
            if (one.finished != several.finished ||
                strcmp(a.files[0].sha256, b.files[0].sha256) != 0)
                fail_msg("%s: another end or hash with %u threads", form->name, numbers[k]);
            log_account_free(&b);
        }
        log_account_free(&a);
    }
    aid_remove(folder);
    free(folder);
}

/* A sink that says something and stops at a block. */
struct stopper {
    size_t blocks;
    size_t stop_at;
};

static bool stop(void *state, const struct block *block, struct faults *to)
{
    struct stopper *stopper = state;
    (void)block;
    if (++stopper->blocks < stopper->stop_at)
        return true;
    fault_found(fault_new(to, FAULT_MACHINE, fault_at(NULL, 0, 0)), "block %zu is too much",
                stopper->blocks);
    return false;
}

static void a_sink_stops_the_reading(void **state)
{
    (void)state;
    char *folder = aid_folder();
    assert_non_null(folder);
    for (unsigned threads = 1; threads <= 3; threads++)
        for (size_t stop_at = 1; stop_at <= 4; stop_at++) {
            struct stopper stopper = {0, stop_at};
            struct sink sink = {&stopper, stop, NULL};
            struct log_account account;
            assert_false(aid_read_log(&aid_log_forms[0], "m", folder, threads, &sink, &account,
                                      &faults));
            log_account_free(&account);
            if (stopper.blocks != stop_at || faults.n != 1 || faults.worst != FAULT_MACHINE)
                fail_msg("%u threads: block %zu, %zu faults", threads, stopper.blocks, faults.n);
        }
    aid_remove(folder);
    free(folder);
}

/* A file of uneven length in uneven pieces; then one that cannot be read, and one given up early.
 */
static void bytes_read_ahead_are_the_file(void **state)
{
    (void)state;
    enum { BYTES = 1234567 };
    char *bytes = malloc(BYTES), *back = malloc(BYTES);
    char *folder = aid_folder();
    char path[300];
    size_t n = 1, done = 0;
    assert_true(bytes != NULL && back != NULL && folder != NULL);
    uint64_t seed = 3;
    for (size_t i = 0; i < BYTES; i++)
        bytes[i] = (char)aid_below(&seed, 256);
    aid_write(folder, "a", bytes, BYTES, path);
    faults_init(&faults);
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    assert_true(fd >= 0);
    struct ahead *ahead = ahead_start(fd, BYTES - 7, NULL, path);
    assert_non_null(ahead);
    while (n > 0) {
        size_t room = 1 + aid_below(&seed, 100000);
        assert_true(ahead_read(ahead, back + done, room < BYTES - done ? room : BYTES - done, &n,
                               &faults));
        done += n;
    }
    ahead_stop(ahead);
    assert_int_equal(done, BYTES - 7);
    assert_memory_equal(bytes, back, BYTES - 7);
    assert_int_equal(lseek(fd, 0, SEEK_SET), 0);
    ahead_stop(ahead_start(fd, BYTES, NULL, path));
    close(fd);
    int folder_fd = open(folder, O_RDONLY | O_CLOEXEC);
    ahead = ahead_start(folder_fd, BYTES, NULL, path);
    assert_non_null(ahead);
    assert_false(ahead_read(ahead, back, BYTES, &n, &faults));
    assert_int_equal(n, 0);
    assert_int_equal(faults.worst, FAULT_MACHINE);
    ahead_stop(ahead);
    ahead_stop(NULL);
    close(folder_fd);
    aid_remove(folder);
    free(folder);
    free(bytes);
    free(back);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(threads_change_nothing),
        cmocka_unit_test(a_sink_stops_the_reading),
        cmocka_unit_test(bytes_read_ahead_are_the_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
