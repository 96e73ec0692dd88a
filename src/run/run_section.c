#include "run/run_section.h"

#include <stdlib.h>
#include <string.h>

static const char *const kinds[] = {"efficiency"};
static const char *const forms[] = {"automatic",    "mean",           "line",
                                    "second order", "line with wind", "second order with wind"};
static const char *const temperatures[] = {"mean", "inlet"};
static const char *const scales[] = {"at least stated", "stated", "estimated"};

static const struct schema_row rows[] = {
    {.key = "kind",
     .kind = VALUE_CHOICE,
     .choices = kinds,
     .n_choices = LENGTH(kinds),
     .required = true,
     .offset = offsetof(struct run_section, kind_choice),
     .help = "what is to be found",
     .example = "efficiency"},
    {.key = "form",
     .kind = VALUE_CHOICE,
     .choices = forms,
     .n_choices = LENGTH(forms),
     .offset = offsetof(struct run_section, form_choice),
     .help = "of the efficiency curve",
     .example = "automatic",
     .by_default = "automatic: what the points can carry"},
    {.key = "temperature",
     .kind = VALUE_CHOICE,
     .choices = temperatures,
     .n_choices = LENGTH(temperatures),
     .offset = offsetof(struct run_section, temperature_choice),
     .help = "to which the curve refers: mean of inlet and outlet, or inlet",
     .example = "mean",
     .by_default = "mean"},
    {.key = "scale",
     .kind = VALUE_CHOICE,
     .choices = scales,
     .n_choices = LENGTH(scales),
     .offset = offsetof(struct run_section, scale_choice),
     .help = "size of the readings' errors: as stated, from the scatter, or the larger",
     .example = "at least stated",
     .by_default = "at least stated"},
    {.key = "drop below",
     .kind = VALUE_NUMBER,
     .limits = {0.0, 100.0, false},
     .offset = offsetof(struct run_section, drop_below_t),
     .help = "t-ratio under which the curvature, or the wind, is left out",
     .example = "2",
     .by_default = "2"},
    {.key = "draw at",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_IRRADIANCE,
     .limits = {100.0, 1500.0, false},
     .offset = offsetof(struct run_section, draw_at),
     .help = "irradiance for which the curve is drawn",
     .example = "800 W/m2",
     .by_default = "1000 W/m2"},
    {.key = "wind origin",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_SPEED,
     .limits = {0.0, 10.0, false},
     .offset = offsetof(struct run_section, wind_origin),
     .help = "from which the wind is counted in forms with wind; a1 holds there",
     .example = "0 m/s",
     .by_default = "3 m/s, as ISO 9806:2017 counts (from memory)"},
    {.key = "leave out",
     .kind = VALUE_TEXT,
     .repeat = true,
     .offset = offsetof(struct run_section, leave_out),
     .help = "a point that is shown but not used, and why",
     .example = "2026-06-21T10:15:00Z, a ladder stood in the sun"},
};

const struct schema run_schema = {"run", true, "What is to be found from the points.", rows,
                                  LENGTH(rows)};

const char *run_form_word(enum run_form form)
{
    return forms[form];
}

void run_section_free(struct run_section *run)
{
    stated_list_free(&run->leave_out);
    free(run->left_out);
    run->left_out = NULL;
    run->n_left_out = 0;
}

/* `POINT NAME, reason` */
static bool split_left_out(const struct stated_text *item, struct place at, struct left_out *out,
                           struct faults *faults)
{
    char copy[VALUE_SIZE];
    strcpy(copy, item->text);
    char *comma = strchr(copy, ',');
    if (comma != NULL)
        *comma = '\0';
    const char *point = text_trim(copy);
    const char *reason = comma != NULL ? text_trim(comma + 1) : "";
    if (*point == '\0' || *reason == '\0') {
        struct fault *fault = fault_new(faults, FAULT_INPUT, at);
        fault_found(fault, "'%s' does not say why the point is left out", item->text);
        fault_expected(fault, "the point's name, a comma and the reason");
        return false;
    }
    strcpy(out->point, point);
    strcpy(out->reason, reason);
    out->at = at;
    return true;
}

static bool settle_left_out(struct run_section *run, const char *file, struct faults *faults)
{
    bool good = true;
    run->left_out = calloc(run->leave_out.n + 1, sizeof *run->left_out);
    if (run->left_out == NULL)
        return fault_memory(faults);
    for (size_t i = 0; i < run->leave_out.n; i++) {
        const struct stated_text *item = &run->leave_out.items[i];
        struct place at = fault_at(file, item->at.line, item->at.column);
        if (split_left_out(item, at, &run->left_out[run->n_left_out], faults))
            run->n_left_out++;
        else
            good = false;
    }
    return good;
}

bool run_section_settle(struct run_section *run, const char *file, struct faults *faults)
{
    run->kind = (enum run_kind)run->kind_choice.index;
    run->form = (enum run_form)run->form_choice.index;
    run->temperature = (enum run_temperature)run->temperature_choice.index;
    run->scale = (enum run_scale)run->scale_choice.index;
    run->drop_below = run->drop_below_t.at.given ? run->drop_below_t.value : 2.0;
    run->draw_at_W_m2 = run->draw_at.at.given ? run->draw_at.value : 1000.0;
    run->wind_origin_m_s = run->wind_origin.at.given ? run->wind_origin.value : 3.0;
    return settle_left_out(run, file, faults);
}
