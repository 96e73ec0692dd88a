/* What a points table is written like does not matter: units, order of columns, order of rows,
 * separator and decimal sign leave the first screen as it is, letter for letter, over many invented
 * tests.
 *
 * Unit factors are written out here and not taken from base/units.h: international foot and mile,
 * gallon of 231 cubic inches (3.785411784 L), BTU of the International Table (NIST SP 811, 2008,
 * appendix B). */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/files.h"
#include "base/randoms.h"
#include "report/text.h"
#include "run/reduction_document.h"
#include "run/run.h"
#include "tests/unit/aid_folder.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TESTS = 24, ROWS = 12, COLUMNS = 8, CELL = 40 };

static struct faults faults;
static char *folder;

static const char description[] = "[collector]\n"
                                  "gross area = 2.05 m2\n"
                                  "[points]\n"
                                  "file = points.csv\n"
                                  "[instrument sun]\n"
                                  "measures = irradiance\n"
                                  "calibration = 1.2 % k=2\n"
                                  "reading = 0.3 % standard per window\n"
                                  "[instrument in]\n"
                                  "measures = inlet\n"
                                  "calibration = 0.1 K k=2\n"
                                  "reading = 0.02 K standard per window\n"
                                  "[instrument out]\n"
                                  "measures = outlet\n"
                                  "calibration = 0.1 K k=2\n"
                                  "reading = 0.02 K standard per window\n"
                                  "[instrument meter]\n"
                                  "measures = flow\n"
                                  "calibration = 0.8 % k=2\n"
                                  "[run curve]\n"
                                  "kind = efficiency\n";

/* One invented table, in W/m2, degC, L/min and m/s. */
struct invented {
    double of[ROWS][COLUMNS]; /* irradiance, ambient, inlet, outlet, flow, wind; the rest unused */
};

static void invent(struct invented *t, struct randoms *randoms)
{
    for (int i = 0; i < ROWS; i++) {
        double *c = t->of[i];
        c[0] = round(10 * (880 + 90 * randoms_uniform(randoms))) / 10;
        c[1] = round(100 * (21 + 3 * randoms_uniform(randoms))) / 100;
        c[2] = round(100 * (20 + 21 * (i % 4) + randoms_uniform(randoms))) / 100;
        c[4] = round(1000 * (2.4 + 0.1 * randoms_uniform(randoms))) / 1000;
        c[5] = round(10 * (1.5 + 2 * randoms_uniform(randoms))) / 10;
        double x = (c[2] + 3 - c[1]) / c[0];
        double eta = 0.76 - 5.1 * x - 0.011 * c[0] * x * x + 0.002 * randoms_normal(randoms);
        c[3] = round(100 * (c[2] + eta * 2.05 * c[0] / (c[4] / 60 * 4150))) / 100;
    }
}

/* How a table is written. */
struct manner {
    const char *name;
    bool us_units, columns, rows;
    char separator, decimal;
};

static const struct {
    const char *head, *us;
    double scale, offset; /* US value = value * scale + offset */
} columns[] = {
    {"irradiance [W/m2]", "irradiance [BTU/(h ft2)]", 3600 * 0.3048 * 0.3048 / 1055.05585262, 0},
    {"ambient [degC]", "ambient [degF]", 1.8, 32},
    {"inlet [degC]", "inlet [degF]", 1.8, 32},
    {"outlet [degC]", "outlet [degF]", 1.8, 32},
    {"flow [L/min]", "flow [gal/min]", 1 / 3.785411784, 0},
    {"wind [m/s]", "wind [mph]", 3600 / 1609.344, 0},
};
enum { WRITTEN = sizeof columns / sizeof columns[0] };

/* A random order of 0 ... n - 1 (Fisher and Yates). */
static void shuffle(int *order, int n, bool really, struct randoms *randoms)
{
    for (int i = 0; i < n; i++)
        order[i] = i;
    for (int i = n - 1; i > 0 && really; i--) {
        int k = (int)(randoms_uniform(randoms) * (i + 1));
        int kept = order[i];
        order[i] = order[k];
        order[k] = kept;
    }
}

static void add_cell(const struct manner *m, double value, struct text *out)
{
    char cell[CELL];
    snprintf(cell, sizeof cell, "%.17g", value);
    for (char *c = cell; *c != '\0'; c++)
        if (*c == '.')
            *c = m->decimal;
    text_addf(out, "%c%s", m->separator, cell);
}

static void write_table(const struct invented *t, const struct manner *m, struct randoms *randoms)
{
    int rows[ROWS], order[WRITTEN];
    struct text out = {0};
    char path[400];
    shuffle(rows, ROWS, m->rows, randoms);
    shuffle(order, WRITTEN, m->columns, randoms);
    text_add(&out, "point");
    for (int k = 0; k < WRITTEN; k++)
        text_addf(&out, "%c%s", m->separator,
                  m->us_units ? columns[order[k]].us : columns[order[k]].head);
    for (int i = 0; i < ROWS; i++) {
        text_addf(&out, "\n%d", rows[i] + 1);
        for (int k = 0; k < WRITTEN; k++) {
            double value = t->of[rows[i]][order[k]];
            add_cell(
                m, m->us_units ? value * columns[order[k]].scale + columns[order[k]].offset : value,
                &out);
        }
    }
    text_add(&out, "\n");
    aid_write(folder, "points.csv", text_string(&out), out.length, path);
    text_free(&out);
}

static void first_screen(struct text *screen)
{
    char path[400];
    struct document doc;
    struct reduction *r = malloc(sizeof *r);
    assert_non_null(r);
    aid_write(folder, "test.txt", description, strlen(description), path);
    faults_init(&faults);
    reduction_init(r);
    if (!reduction_describe(r, path, &faults) || !reduction_read(r, &faults) ||
        !document_init(&doc, "efficiency", "invented", &faults))
        fail_msg("%s", faults.items[0].found);
    assert_true(reduction_document(r, &doc, &faults) && runs_perform(r, &doc, &faults));
    report_first_screen(&doc, screen);
    document_free(&doc);
    reduction_free(r);
    free(r);
}

static void the_manner_does_not_matter(void **state)
{
    (void)state;
    static const struct manner manners[] = {
        {"US units", true, false, false, ',', '.'},
        {"columns in another order", false, true, false, ',', '.'},
        {"rows in another order", false, false, true, ',', '.'},
        {"semicolons and decimal commas", false, false, false, ';', ','},
        {"all at once", true, true, true, '\t', ','},
    };
    static const struct manner plain = {"plain", false, false, false, ',', '.'};
    struct randoms randoms;
    assert_true(randoms_init(&randoms, &faults));
    for (uint64_t test = 0; test < TESTS; test++) {
        struct invented t;
        struct text wanted = {0};
        randoms_seed(&randoms, 4117, test);
        invent(&t, &randoms);
        write_table(&t, &plain, &randoms);
        first_screen(&wanted);
        assert_non_null(strstr(text_string(&wanted), "as warm as the air"));
        for (size_t i = 0; i < sizeof manners / sizeof manners[0]; i++) {
            struct text seen = {0};
            write_table(&t, &manners[i], &randoms);
            first_screen(&seen);
            if (!text_same(text_string(&seen), text_string(&wanted)))
                fail_msg("test %d, %s:\n%s\nwanted\n%s", (int)test, manners[i].name,
                         text_string(&seen), text_string(&wanted));
            text_free(&seen);
        }
        text_free(&wanted);
    }
    randoms_free(&randoms);
}

static int set_up(void **state)
{
    (void)state;
    faults_init(&faults);
    folder = aid_folder();
    return folder == NULL ? -1 : 0;
}

static int tear_down(void **state)
{
    (void)state;
    aid_remove(folder);
    free(folder);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_manner_does_not_matter),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
