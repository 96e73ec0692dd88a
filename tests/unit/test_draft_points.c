#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "aid_near.h"
#include "draft/draft.h"
#include "point/points_table.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static struct faults faults;
static char folder[100];

static int set_up(void **state)
{
    (void)state;
    const char *tmp = getenv("TMPDIR");
    snprintf(folder, sizeof folder, "%s/draft-XXXXXX", tmp != NULL ? tmp : P_tmpdir);
    return mkdtemp(folder) == NULL;
}

static int tear_down(void **state)
{
    (void)state;
    return rmdir(folder);
}

static const char *in_folder(const char *name, char out[128])
{
    snprintf(out, 128, "%s/%s", folder, name);
    return out;
}

static void put(const char *path, const char *bytes, size_t n)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, n, file), n);
    assert_int_equal(fclose(file), 0);
}

/* Reads a points table of given bytes. */
static bool read_points(const char *bytes, struct means_list *list)
{
    char path[128], hex[HASH_HEX_SIZE];
    put(in_folder("points.csv", path), bytes, strlen(bytes));
    faults_init(&faults);
    means_list_init(list);
    bool good = points_read(list, path, hex, &faults);
    unlink(path);
    return good;
}

static void the_blank_points_table_can_be_filled_in(void **state)
{
    (void)state;
    struct text blank = {0};
    struct means_list list;
    faults_init(&faults);
    assert_true(draft_points(&blank, &faults));
    assert_false(read_points(text_string(&blank), &list));
    assert_int_equal(faults.n, 1);
    assert_non_null(strstr(faults.items[0].found, "holds no point"));
    means_list_free(&list);

    char *example = strstr(blank.bytes, "\n# A1,");
    assert_non_null(example);
    memmove(example + 1, example + 3, strlen(example + 3) + 1);
    assert_true(read_points(blank.bytes, &list));
    assert_int_equal(list.n, 1);
    assert_string_equal(list.items[0].group, "group 1");
    aid_near("irradiance", list.items[0].mean[CH_IRRADIANCE], 845.2, 1e-9);
    aid_near("flow", list.items[0].mean[CH_FLOW], 1.99 / 60000.0, 1e-15);
    aid_near("outlet", list.items[0].mean[CH_OUTLET], 41.87, 1e-9);
    means_list_free(&list);
    text_free(&blank);
}

/* The page to print holds the same columns, stands alone and runs nothing. */
static void the_page_holds_the_columns(void **state)
{
    static const char *const parts[] = {"<!DOCTYPE html>", "sunshine</b>W/m2",
                                        "outlet</b>degC",  "flow</b>L/min",
                                        "<b>group</b>",    "Caution",
                                        "41.87",           "default-src 'none'"};
    struct text page = {0};
    (void)state;
    faults_init(&faults);
    assert_true(draft_points_page(&page, &faults));
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        if (strstr(text_string(&page), parts[i]) == NULL)
            fail_msg("the page lacks '%s'", parts[i]);
    assert_null(strstr(text_string(&page), "<script"));
    assert_null(strstr(text_string(&page), "http://"));
    assert_null(strstr(text_string(&page), "https://"));
    text_free(&page);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_blank_points_table_can_be_filled_in),
        cmocka_unit_test(the_page_holds_the_columns),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
