#include "run/reduction_document.h"

bool reduction_document(const struct reduction *reduction, struct document *doc,
                        struct faults *faults)
{
    static bool (*const parts[])(const struct reduction *, struct document *, struct faults *) = {
        reduction_facts,   reduction_paperwork, reduction_units,  reduction_readings,
        reduction_night,   reduction_pulses,    reduction_heats,  reduction_fluid,
        reduction_windows, reduction_swaps,     reduction_sun,    reduction_bad_rows,
        reduction_points,  reduction_errors,    reduction_timelines,
    };
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        if (!parts[i](reduction, doc, faults))
            return false;
    return true;
}
