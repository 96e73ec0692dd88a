/* docs/description.md against the program's own tables: a key, a kind of instrument, a limit, a
 * unit or a column that is missing there, or that is described otherwise, is a failure.
 *
 * With ETABENCH_ACCEPT in the environment the page is written anew (make documents). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_page.h"
#include "base/faults.h"
#include "base/files.h"
#include "description/schema.h"
#include "run/setup.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char page_path[] = "docs/description.md";

static void read_page(struct text *page)
{
    struct faults faults;
    faults_init(&faults);
    assert_true(file_read(page_path, 1 << 20, page, &faults));
}

static void write_page(const struct text *page)
{
    FILE *file = fopen(page_path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(page->bytes, 1, page->length, file), page->length);
    assert_int_equal(fclose(file), 0);
}

/* Number of the first line in which two texts differ. */
static int first_difference(const char *a, const char *b)
{
    int line = 1;
    for (; *a == *b && *a != '\0'; a++, b++)
        line += *a == '\n';
    return line;
}

static void page_says_what_the_program_knows(void **state)
{
    (void)state;
    struct text page = {0}, renewed = {0};
    int tables;
    read_page(&page);
    char name[AID_PAGE_NAME];
    if (!aid_page_renew(text_string(&page), &renewed, &tables, name))
        fail_msg("%s: no such table, or not closed: '%s'", page_path, name);
    assert_int_equal(tables, 33);
    if (getenv("ETABENCH_ACCEPT") != NULL)
        write_page(&renewed);
    else if (!text_same(text_string(&page), text_string(&renewed)))
        fail_msg("%s differs from the program's tables at line %d; 'make documents' writes it anew",
                 page_path, first_difference(text_string(&page), text_string(&renewed)));
    text_free(&page);
    text_free(&renewed);
}

/* Not by the tables' own marks: each section must have one, each key must stand there. */
static void page_has_every_key(void **state)
{
    (void)state;
    struct text page = {0};
    read_page(&page);
    size_t n, keys = 0;
    const struct schema *const *schemas = setup_schemas(&n);
    for (size_t i = 0; i < n; i++) {
        char head[80];
        snprintf(head, sizeof head, "\n## [%s%s]", schemas[i]->kind,
                 schemas[i]->named ? " NAME" : "");
        const char *at = strstr(text_string(&page), head);
        if (at == NULL)
            fail_msg("%s has no title '%s'", page_path, head + 1);
        const char *next = strstr(at + 1, "\n## ");
        for (size_t k = 0; k < schemas[i]->n; k++, keys++) {
            char row[80];
            snprintf(row, sizeof row, "\n| `%s` | ", schemas[i]->rows[k].key);
            const char *found = strstr(at, row);
            if (found == NULL || (next != NULL && found > next))
                fail_msg("%s does not describe '%s' of [%s]", page_path, schemas[i]->rows[k].key,
                         schemas[i]->kind);
        }
    }
    assert_true(n >= 9 && keys >= 60);
    text_free(&page);
}

/* A page whose tables have gone stale must be seen. */
static void stale_tables_are_seen(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *page;
        bool known;
        bool stale;
    } rows[] = {
        {"no table", "words\n", true, false},
        {"an old table", "a\n<!-- table: sections -->\n| old |\n<!-- end -->\nz\n", true, true},
        {"no such table", "<!-- table: keys kitchen -->\n<!-- end -->\n", false, false},
        {"not closed", "<!-- table: sections -->\n| old |\n", false, false},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct text renewed = {0};
        int tables;
        char name[AID_PAGE_NAME];
        bool known = aid_page_renew(rows[i].page, &renewed, &tables, name);
        bool stale = known && !text_same(rows[i].page, text_string(&renewed));
        if (known != rows[i].known || stale != rows[i].stale)
            fail_msg("%s: known %d, stale %d", rows[i].name, known, stale);
        text_free(&renewed);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(page_says_what_the_program_knows),
        cmocka_unit_test(page_has_every_key),
        cmocka_unit_test(stale_tables_are_seen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
