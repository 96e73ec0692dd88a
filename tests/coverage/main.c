/* How often intervals called 95 % hold the truth: tests drawn at the level of points, with every
 * error of the registry anew, through point_make, efficiency_fit, modifier_fit and difference_look. Beside
 * each the same with calibration taken as fresh per point, and plain least squares with Student's t. Prints
 * the tables of docs/coverage.md.
 *
 *   study TESTS [CELL ...]    tests a cell; cells by their number from 1, all where none is named
 */
#include "study.h"

#include <gsl/gsl_errno.h>
#include <stdio.h>
#include <stdlib.h>

/* Three designs, each with both instruments, scatter as stated and four times it, days alike and
 * not. */
#define EIGHT(name, form, n, levels)                                                               \
    {name, form, n, levels, false, 1, false}, {name, form, n, levels, false, 1, true},             \
        {name, form, n, levels, false, 4, false}, {name, form, n, levels, false, 4, true},         \
        {name, form, n, levels, true, 1, false}, {name, form, n, levels, true, 1, true},           \
        {name, form, n, levels, true, 4, false},                                                   \
    {                                                                                              \
        name, form, n, levels, true, 4, true                                                       \
    }
static const struct cell cells[] = {
    EIGHT("4 points, 2 temperatures, line", "line", 4, 2),
    EIGHT("16 points, 4 temperatures, second order", "second order", 16, 4),
    EIGHT("40 points, 6 temperatures, second order", "second order", 40, 6),
};
enum { CELLS = sizeof cells / sizeof cells[0] };

/* Fewer degrees of freedom than this, and the widths are given beside the shares. */
enum { FEW = 13 };

#define HEAD                                                                                            \
    "| test | instruments | scatter | days | η₀ | a₁ | a₂ | T* = 0 | 0.033 | 0.066 | K(50°) | " \
    "A−B "                                                                                            \
    "|\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n"

static bool is_there(const struct cell *cell, size_t what)
{
    return what != 2 || cell->levels > 2;
}

static void print_name(const struct cell *cell)
{
    printf("| %s | %s | %s | %s |", cell->name, cell->cheap ? "cheap" : "laboratory",
           cell->times > 1 ? "4 times stated" : "as stated", cell->sessions ? "differ" : "alike");
}

static double percent(const struct study *s, enum method method, size_t what)
{
    return 100 * (double)s->held[method][what] / (double)s->seen;
}

static void print_cell(const struct study *s, const struct cell *cell)
{
    print_name(cell);
    for (size_t what = 0; what < QUANTITIES; what++)
        if (is_there(cell, what))
            printf(" **%.1f** %.0f %.0f |", percent(s, PROGRAM, what), percent(s, FRESH, what),
                   percent(s, PLAIN, what));
        else
            printf(" |");
    printf("\n");
    fflush(stdout);
}

static bool is_asked(size_t k, int argc, char **argv)
{
    for (int i = 2; i < argc; i++)
        if (strtoull(argv[i], NULL, 10) == k + 1)
            return true;
    return argc < 3;
}

static bool is_few(const struct cell *cell)
{
    return cell->n - (cell->levels > 2 ? 3 : 2) < FEW;
}

static void print_widths(double widths[CELLS][QUANTITIES], int argc, char **argv)
{
    printf("\n" HEAD);
    for (size_t k = 0; k < CELLS; k++) {
        if (!is_asked(k, argc, argv) || !is_few(&cells[k]))
            continue;
        print_name(&cells[k]);
        for (size_t what = 0; what < QUANTITIES; what++)
            if (is_there(&cells[k], what))
                printf(" %.2f |", widths[k][what]);
            else
                printf(" |");
        printf("\n");
    }
}

int main(int argc, char **argv)
{
    static struct study s;
    static double widths[CELLS][QUANTITIES];
    uint64_t tests = argc > 1 ? strtoull(argv[1], NULL, 10) : 4000;
    gsl_set_error_handler_off();
    study_need(tests > 0 && study_init(&s, tests), &s);
    printf(HEAD);
    for (size_t k = 0; k < CELLS; k++) {
        if (!is_asked(k, argc, argv))
            continue;
        study_set_cell(&s, &cells[k]);
        for (uint64_t test = 0; test < tests; test++) {
            study_draw(&s, &cells[k], k + 1, test);
            study_count(&s, &cells[k]);
        }
        print_cell(&s, &cells[k]);
        for (size_t what = 0; what < QUANTITIES; what++)
            widths[k][what] = study_width_ratio(&s, what);
    }
    print_widths(widths, argc, argv);
    study_free(&s);
    return 0;
}
