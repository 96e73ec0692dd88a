/* Groups of a class: how many points each took, and whether its points lie above or below the curve
 * of all. */
#include "run/efficiency_view.h"

#include <math.h>
#include <stdio.h>

const char *view_group_name(const struct efficiency_view *view, size_t point)
{
    const char *group = view->points[point].means->group;
    return group[0] == '\0' ? "(no group)" : group;
}

size_t view_group_of(const struct efficiency_view *view, const struct view_group_list *groups,
                     size_t point)
{
    size_t g = 0;
    while (g < groups->n && !text_same(view->points[groups->first[g]].means->group,
                                       view->points[point].means->group))
        g++;
    return g;
}

void view_find_groups(const struct efficiency_view *view, struct view_group_list *groups)
{
    groups->n = 0;
    for (size_t i = 0; i < view->n && groups->n < VIEW_GROUPS_MOST; i++)
        if (view_group_of(view, groups, i) == groups->n)
            groups->first[groups->n++] = i;
}

bool view_has_groups(const struct efficiency_view *view)
{
    for (size_t i = 1; i < view->n; i++)
        if (!text_same(view->points[i].means->group, view->points[0].means->group))
            return true;
    return false;
}

/* Residuals of one group's fitted points. */
struct group_sum {
    size_t n, left_out;
    double sum, square;
    double variance; /* of the sum, by readings and sessions, scaled as the result is */
};

static struct group_sum sum_of(const struct efficiency_view *view, const char *group)
{
    struct group_sum s = {0};
    const struct efficiency *e = view->e;
    for (size_t i = 0; i < view->n; i++)
        if (text_same(view->points[i].means->group, group))
            s.left_out += view->points[i].left_out;
    for (size_t k = 0; k < e->n; k++) {
        if (!text_same(view->points[e->index[k]].means->group, group))
            continue;
        s.n++;
        s.sum += e->cases[k].residual;
        s.square += e->cases[k].residual * e->cases[k].residual;
        s.variance +=
            e->scale_factor *
            (e->curve.equal_weights ? 1 : fit_curve_variance(e->form, e->curve.coef, &e->used[k]));
    }
    return s;
}

static bool group_row(const struct efficiency_view *view, size_t first, struct table *table,
                      struct faults *faults)
{
    struct group_sum s = sum_of(view, view->points[first].means->group);
    double n = (double)s.n;
    double mean = s.n > 0 ? s.sum / n : NAN;
    double scatter = s.n > 1 ? sqrt(fmax(0, s.square - n * mean * mean) / (n - 1)) : NAN;
    struct cell cells[] = {cell_text(view_group_name(view, first)),
                           cell_number(n),
                           cell_number((double)s.left_out),
                           cell_number(mean),
                           cell_number(scatter),
                           cell_number(s.n > 0 ? 2 * sqrt(s.variance) / n : NAN)};
    return table_row(table, cells, faults);
}

bool view_groups(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    struct column columns[] = {
        {.id = "group", .label = "group", .unit = "", .kind = CELL_TEXT},
        {.id = "points", .label = "points", .unit = "", .kind = CELL_NUMBER},
        {.id = "left out", .label = "left out", .unit = "", .kind = CELL_NUMBER},
        {.id = "mean residual",
         .label = "mean residual",
         .unit = "",
         .kind = CELL_NUMBER,
         .digits = 4},
        {.id = "scatter", .label = "scatter", .unit = "", .kind = CELL_NUMBER, .digits = 4},
        {.id = "expected within",
         .label = "expected within",
         .unit = "",
         .kind = CELL_NUMBER,
         .digits = 4},
    };
    char id[96];
    if (!view_has_groups(view))
        return true;
    snprintf(id, sizeof id, "%s_groups", view->id);
    struct table *table = document_table(doc, id, "Groups",
                                         "Residual: efficiency measured minus curve of all. Within "
                                         "the last column, either way, lie 19 of "
                                         "20 mean residuals of groups that differ by chance alone.",
                                         columns, sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->file = table->report = true;
    table->place = TABLE_POINTS;
    struct view_group_list groups;
    view_find_groups(view, &groups);
    for (size_t g = 0; g < groups.n; g++)
        if (!group_row(view, groups.first[g], table, faults))
            return false;
    return true;
}
