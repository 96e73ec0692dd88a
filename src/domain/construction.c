#include "domain/construction_keys.h"

#include "domain/surroundings.h"

#include <math.h>
#include <string.h>

/* What reading and checking need to know. */
struct checking {
    const struct construction *c;
    const char *file;
    struct faults *faults;
};

static struct fault *fault_here(const struct checking *k, const struct stated *at)
{
    return fault_new(k->faults, FAULT_INPUT, fault_at(k->file, at->line, at->column));
}

static bool refuse_unformed(const struct checking *k, const struct place *head, const char *what,
                            const char *expected)
{
    struct fault *fault = fault_new(k->faults, FAULT_INPUT, *head);
    fault_found(fault, "%s", what);
    fault_expected(fault, "%s", expected);
    return false;
}

static bool is_whole(double value)
{
    return value == floor(value);
}

static bool check_cover(const struct checking *k, const struct cover_keys *cover, const char *name)
{
    char what[96];
    if (!cover->given)
        return true;
    bool by_body = cover->extinction_1_m.at.given && cover->thickness_m.at.given;
    if (!cover->glazing.at.given && !cover->transmittance.at.given && !by_body) {
        snprintf(what, sizeof what, "what [%s] lets through cannot be formed", name);
        return refuse_unformed(k, &cover->head, what,
                               "'glazing = low-iron glass', or 'transmittance = 0.905', or "
                               "'extinction' and 'thickness'");
    }
    if (cover->number.at.given && !is_whole(cover->number.value)) {
        struct fault *fault = fault_here(k, &cover->number.at);
        fault_found(fault, "%g panes are not a whole number", cover->number.value);
        fault_expected(fault, "1, 2 or 3");
        return false;
    }
    return true;
}

static double panes(const struct cover_keys *cover)
{
    return !cover->given ? 0.0 : cover->number.at.given ? cover->number.value : 1.0;
}

static bool check_covers(const struct checking *k)
{
    const struct construction *c = k->c;
    bool good = check_cover(k, &c->cover, "cover");
    good = check_cover(k, &c->inner_cover, "inner cover") && good;
    if (c->inner_cover.given && !c->cover.given)
        return refuse_unformed(k, &c->inner_cover.head, "[inner cover] stands without [cover]",
                               "the outermost pane as [cover]");
    if (panes(&c->cover) + panes(&c->inner_cover) > CONSTRUCTION_COVERS)
        return refuse_unformed(k, &c->inner_cover.head, "there are more than 3 covers",
                               "at most 3 panes, [cover] and [inner cover] together");
    return good;
}

/* The collector's own key, which says what wind and sky do, must be of the same surface. */
static bool check_surface(const struct checking *k, const struct collector *collector,
                          double emittance)
{
    const struct stated *at = collector->surface.at.given     ? &collector->surface.at
                              : collector->emittance.at.given ? &collector->emittance.at
                                                              : NULL;
    if (at == NULL)
        return true;
    bool black = collector->surface.at.given && collector->surface.index == SURFACE_BLACK;
    double other = collector->emittance.at.given ? collector->emittance.value : black ? 0.95 : 0.10;
    if (fabs(other - emittance) < 0.4)
        return true;
    struct fault *fault = fault_here(k, at);
    fault_found(fault,
                "[collector] and [absorber] contradict each other: an emittance of about %.2f "
                "and one of %.2f",
                other, emittance);
    fault_expected(fault, "the same surface in both");
    return false;
}

static bool check_absorber(const struct checking *k, const struct collector *collector)
{
    const struct absorber_keys *a = &k->c->absorber;
    bool named = a->surface.at.given;
    if (!a->given)
        return true;
    if (!named && !(a->absorptance.at.given && a->emittance.at.given))
        return refuse_unformed(k, &a->head, "the surface of the absorber is not stated",
                               "'surface = black paint', or 'absorptance' and 'emittance'");
    if (a->material.at.given == a->conductivity_W_mK.at.given)
        return refuse_unformed(k, &a->head,
                               a->material.at.given ? "the sheet's conductivity is stated twice"
                                                    : "the sheet's conductivity is not stated",
                               "'material = copper' or 'conductivity = 211 W/(m K)'");
    return check_surface(k, collector,
                         a->emittance.at.given
                             ? a->emittance.value
                             : material_middle(surface_kinds[a->surface.index].emittance));
}

static bool check_tubes(const struct checking *k)
{
    const struct tubes_keys *t = &k->c->tubes;
    bool good = true;
    if (!t->given)
        return true;
    if (t->spacing_m.value < t->outside_m.value) {
        struct fault *fault = fault_here(k, &t->spacing_m.at);
        fault_found(fault, "the tubes' spacing, %.4g mm, is smaller than a tube",
                    1000.0 * t->spacing_m.value);
        fault_expected(fault, "at least the outside diameter, %.4g mm (line %ld)",
                       1000.0 * t->outside_m.value, t->outside_m.at.line);
        fault_hint(fault, "it counts from the middle of one tube to the middle of the next");
        good = false;
    }
    if (t->inside_m.value >= t->outside_m.value) {
        struct fault *fault = fault_here(k, &t->inside_m.at);
        fault_found(fault, "the inside diameter, %.4g mm, leaves no wall",
                    1000.0 * t->inside_m.value);
        fault_expected(fault, "less than the outside diameter, %.4g mm (line %ld)",
                       1000.0 * t->outside_m.value, t->outside_m.at.line);
        good = false;
    }
    if (!is_whole(t->number.value)) {
        struct fault *fault = fault_here(k, &t->number.at);
        fault_found(fault, "%g tubes are not a whole number", t->number.value);
        fault_expected(fault, "1 or more");
        good = false;
    }
    return good;
}

static bool check_bond(const struct checking *k)
{
    const struct bond_keys *b = &k->c->bond;
    if (!b->given || b->kind.at.given != b->conductance_W_mK.at.given)
        return true;
    return refuse_unformed(k, &b->head,
                           b->kind.at.given ? "the bond is stated twice" : "the bond is not stated",
                           "'kind = soldered' or 'conductance = 30 W/(m K)'");
}

static bool check_insulation(const struct checking *k, const struct insulation_keys *i,
                             const char *name)
{
    char what[96];
    bool none = i->thickness_m.at.given && i->thickness_m.value == 0.0;
    if (!i->given || none || i->material.at.given || i->conductivity_W_mK.at.given)
        return true;
    snprintf(what, sizeof what, "the insulation of [%s] has no conductivity", name);
    return refuse_unformed(k, &i->head, what,
                           "'material = mineral wool' or 'conductivity = 0.037 W/(m K)'");
}

bool construction_check(const struct construction *construction, const struct collector *collector,
                        const char *file, struct faults *faults)
{
    struct checking k = {construction, file, faults};
    bool good = check_covers(&k);
    good = check_absorber(&k, collector) && good;
    good = check_tubes(&k) && good;
    good = check_bond(&k) && good;
    good = check_insulation(&k, &construction->back, "back") && good;
    return check_insulation(&k, &construction->edge, "edge") && good;
}

bool construction_read(struct construction *construction, const struct collector *collector,
                       const struct description *description, const char *file,
                       struct faults *faults)
{
    bool good = true;
    for (size_t i = 0; i < CONSTRUCTION_SECTIONS; i++) {
        const struct construction_section *part = &construction_sections[i];
        void *keys = (char *)construction + part->offset;
        const struct section *section = description_find(description, part->schema->kind);
        if (section == NULL)
            continue;
        struct keys_head *head = keys;
        head->given = true;
        head->head = section_place(description, section);
        head->head.file = file;
        good = schema_read(part->schema, description, section, keys, faults) && good;
    }
    return good && description->whole && construction_check(construction, collector, file, faults);
}

bool construction_given(const struct construction *c)
{
    return c->cover.given || c->inner_cover.given || c->absorber.given || c->tubes.given ||
           c->bond.given || c->back.given || c->edge.given;
}

bool construction_whole(const struct construction *c, const char *file, struct faults *faults)
{
    const struct {
        bool given;
        const char *head, *expected;
    } needed[] = {
        {c->absorber.given, "[absorber]",
         "'surface = black paint', 'material = copper', 'thickness = 0.3 mm'"},
        {c->tubes.given, "[tubes]",
         "'number = 8', 'spacing = 120 mm', 'outside diameter = 10 mm', 'inside diameter = 8.4 "
         "mm'"},
        {c->bond.given, "[bond]", "'kind = soldered', or clipped, glued, welded, laid on"},
        {c->back.given, "[back]", "'material = mineral wool', 'thickness = 50 mm' (0 mm: none)"},
    };
    bool good = true;
    for (size_t i = 0; i < LENGTH(needed); i++) {
        if (needed[i].given)
            continue;
        struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(file, 0, 0));
        fault_found(fault, "there is no section %s, and a prediction needs it", needed[i].head);
        fault_expected(fault, "%s", needed[i].expected);
        good = false;
    }
    return good;
}
