/* What an efficiency run says of corrected temperatures. */
#include "run/efficiency_view.h"

#include "run/words.h"

#include <math.h>
#include <stdio.h>

/* The largest correction of a port's temperature over the points, with its sign. */
static double largest(const struct efficiency_view *view, enum channel ch)
{
    double most = 0;
    for (size_t i = 0; i < view->n; i++) {
        const struct point_value *value = &view->points[i].value;
        double port = ch == CH_INLET ? value->t_in_degC : value->t_out_degC;
        double off = port - view->points[i].means->mean[ch];
        if (isfinite(off) && fabs(off) > fabs(most))
            most = off;
    }
    return most;
}

static bool say_port(const struct efficiency_view *view, enum channel ch, struct document *doc,
                     struct faults *faults)
{
    bool strapped = view->setup->mounting[ch] > 0;
    double loss_W_K = view->setup->pipe_W_K[ch];
    if (!strapped && !(loss_W_K > 0))
        return true;
    char mounting[120] = "", pipe[120] = "", by[WORDS_SIZE];
    if (strapped)
        snprintf(mounting, sizeof mounting,
                 "a thermometer that is strapped on (%.2g %% of what lies between fluid and air)",
                 100 * view->setup->mounting[ch]);
    if (loss_W_K > 0)
        snprintf(pipe, sizeof pipe, "the pipe between thermometer and collector (%.2g W/K)",
                 loss_W_K);
    return document_finding(doc, FINDING_DETAIL, false, faults,
                            "The %s temperature is corrected for %s%s%s: by %s K where it is "
                            "most. What is unsure of it is counted.",
                            channel_row(ch)->word, mounting,
                            strapped && loss_W_K > 0 ? " and " : "", pipe,
                            words_signed(largest(view, ch), 2, by, sizeof by));
}

bool view_corrections(const struct efficiency_view *view, struct document *doc,
                      struct faults *faults)
{
    if (view->n > 0 && view->points[0].means->reduced)
        return true;
    return say_port(view, CH_INLET, doc, faults) && say_port(view, CH_OUTLET, doc, faults);
}
