#include "draft/draft.h"

#include "domain/channel.h"
#include "draft/points_blank.h"
#include "point/points_table.h"

#include <string.h>

const struct points_blank points_blank[POINTS_BLANK_COLUMNS] = {
    {"point", NULL, "A1", "point"},
    {"group", NULL, "group 1", "group"},
    {"irradiance", "W/m2", "845.2", "sunshine"},
    {"ambient", "degC", "21.4", "air"},
    {"inlet", "degC", "35.21", "inlet"},
    {"outlet", "degC", "41.87", "outlet"},
    {"flow", "L/min", "1.99", "flow"},
    {"wind", "m/s", "2.3", "wind"},
};

static bool in_blank(const struct points_column *column)
{
    for (size_t i = 0; i < POINTS_BLANK_COLUMNS; i++)
        if (text_same(points_blank[i].head, column->head))
            return true;
    return false;
}

/* Results are not typed in beside the means. */
static bool is_result(const struct points_column *column)
{
    return column->field == POINTS_ETA || column->field == POINTS_X ||
           column->field == POINTS_U_ETA || column->field == POINTS_U_X ||
           (column->field == POINTS_MEAN && column->channel == CH_HEAT) ||
           column->field == POINTS_DRIFT;
}

static void add_more(struct text *out)
{
    size_t n;
    const struct points_column *all = points_columns(&n);
    size_t width = 0;
    text_add(out, "# More columns may be added:\n");
    for (size_t i = 0; i < n; i++) {
        char head[64];
        if (in_blank(&all[i]) || is_result(&all[i]))
            continue;
        points_head(&all[i], head, sizeof head);
        const char *before = width == 0 ? "#   " : width > 70 ? ",\n#   " : ", ";
        width = (width > 70 ? 0 : width) + strlen(head) + 2;
        text_addf(out, "%s%s", before, head);
    }
    text_add(out,
             "\n# ('u inlet' is the standard uncertainty of that mean from reading it; 'start' "
             "and 'end' are\n# times like 2026-06-21T10:15:00Z).\n");
}

bool draft_points(struct text *out, struct faults *faults)
{
    text_add(out, "# Table of points: one row for each stretch of time in which all readings stood "
                  "still, with\n"
                  "# the mean of each. Lines that begin with '#' are remarks. Commas between "
                  "fields, decimal\n"
                  "# points. A unit in brackets may be changed for another of its kind (degF, "
                  "gal/min).\n"
                  "# point: a name of its own; group: who took it, may stay empty. Wind may stay "
                  "empty, the\n"
                  "# others may not. Irradiance is measured in the plane of the collector.\n");
    add_more(out);
    text_add(out,
             "# The description names this file:  [points]  and below it  file = THIS FILE\n"
             "# Caution: a collector without flow can pass 150-200 degC. Cover the glass, touch "
             "nothing\n# hot, never fill a hot, empty plate with cold water.\n");
    for (size_t i = 0; i < POINTS_BLANK_COLUMNS; i++) {
        text_addf(out, "%s%s", i > 0 ? "," : "", points_blank[i].head);
        if (points_blank[i].unit != NULL)
            text_addf(out, " [%s]", points_blank[i].unit);
    }
    text_add(out, "\n# An example, to be typed over; without its '#' it would count:\n# ");
    for (size_t i = 0; i < POINTS_BLANK_COLUMNS; i++)
        text_addf(out, "%s%s", i > 0 ? "," : "", points_blank[i].example);
    text_add(out, "\n");
    return text_ok(out, faults);
}
