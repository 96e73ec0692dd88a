/* Changes of a construction: one line of a what-if becomes a section of a description and is read
 * by the same tables, so that a wrong value reads the same. */
#include "domain/construction_keys.h"

#include <string.h>

enum { CHANGE_SIZE = 400 };

static void forget_cover(struct cover_keys *cover)
{
    cover->transmittance.at.given = cover->transmittance_error.at.given = false;
    cover->index.at.given = cover->extinction_1_m.at.given = false;
    cover->emittance.at.given = cover->emittance_error.at.given = false;
}

static void forget_insulation(struct insulation_keys *keys)
{
    keys->conductivity_W_mK.at.given = keys->hot_W_mK.at.given = false;
    keys->error.at.given = keys->limit_degC.at.given = false;
}

/* What a new value takes the place of. */
static void forget(struct construction *c, const char *kind, const char *key)
{
    if (text_same(kind, "cover") && text_same(key, "glazing"))
        forget_cover(&c->cover);
    if (text_same(kind, "inner cover") && text_same(key, "glazing"))
        forget_cover(&c->inner_cover);
    if (text_same(kind, "absorber") && text_same(key, "surface")) {
        c->absorber.absorptance.at.given = c->absorber.absorptance_error.at.given = false;
        c->absorber.emittance.at.given = c->absorber.emittance_error.at.given = false;
    }
    if (text_same(kind, "absorber") && text_same(key, "material"))
        c->absorber.conductivity_W_mK.at.given = false;
    if (text_same(kind, "absorber") && text_same(key, "conductivity"))
        c->absorber.material.at.given = false;
    if (text_same(kind, "bond") && text_same(key, "kind"))
        c->bond.conductance_W_mK.at.given = c->bond.error.at.given = false;
    if (text_same(kind, "bond") && text_same(key, "conductance"))
        c->bond.kind.at.given = false;
    if (text_same(kind, "back") && text_same(key, "material"))
        forget_insulation(&c->back);
    if (text_same(kind, "edge") && text_same(key, "material"))
        forget_insulation(&c->edge);
}

/* The section whose kind the words begin with, the longest first ("inner cover" before "cover" does
 * not matter: neither begins with the other). Out: rest  behind it, trimmed. */
static const struct construction_section *section_of(const char *words, const char **rest)
{
    for (size_t i = 0; i < CONSTRUCTION_SECTIONS; i++) {
        const char *kind = construction_sections[i].schema->kind;
        size_t n = strlen(kind);
        if (strncmp(words, kind, n) != 0 || (words[n] != '\0' && words[n] != ' '))
            continue;
        *rest = words + n + strspn(words + n, " ");
        return &construction_sections[i];
    }
    return NULL;
}

static bool refuse(const char *change, const char *why, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
    fault_found(fault, "'%s' %s", change, why);
    fault_expected(fault,
                   "cover, inner cover, absorber, tubes, bond, back or edge, with '= VALUE' or "
                   "'KEY = VALUE' behind it");
    fault_hint(fault,
               "write for instance --change \"absorber = selective\" or --change \"cover number "
               "= 2\"");
    return false;
}

/* What a change says, gathered section by section: a new section needs all its keys at once. */
struct gathered {
    struct text of[CONSTRUCTION_SECTIONS];
};

static bool read_section(struct construction *c, const struct construction_section *part,
                         const struct text *text, struct faults *faults)
{
    struct description description;
    struct keys_head *head = (struct keys_head *)((char *)c + part->offset);
    bool was = head->given;
    size_t errors = faults_errors(faults);
    head->given = true;
    description_init(&description);
    bool good = description_parse(&description, "--change", text_string(text), text->length, NULL,
                                  0, faults);
    /* Keys that the section must have are only missed where it is new. */
    description.whole = description.whole && !was;
    good = good && schema_read(part->schema, &description, &description.sections[0],
                               (char *)c + part->offset, faults);
    description_free(&description);
    return good || (was && faults_errors(faults) == errors);
}

static bool gather(struct construction *c, struct gathered *gathered, char *change,
                   struct faults *faults)
{
    char *equals = strchr(change, '=');
    const char *rest;
    if (equals == NULL)
        return refuse(change, "does not say to what", faults);
    char whole[CHANGE_SIZE];
    snprintf(whole, sizeof whole, "%s", change);
    *equals = '\0';
    char *words = text_trim(change), *value = text_trim(equals + 1);
    for (char *s = words; *s != '\0'; s++)
        *s = *s >= 'A' && *s <= 'Z' ? (char)(*s - 'A' + 'a') : *s;
    const struct construction_section *part = section_of(words, &rest);
    if (part == NULL || text_same(part->schema->kind, "stagnation"))
        return refuse(whole, "changes no part of the construction", faults);
    const char *key = rest[0] != '\0' ? rest : part->main_key;
    if (key == NULL)
        return refuse(whole, "does not say which key", faults);
    forget(c, part->schema->kind, key);
    struct text *text = &gathered->of[part - construction_sections];
    if (text->length == 0)
        text_addf(text, "[%s]\n", part->schema->kind);
    text_addf(text, "%s = %s\n", key, value);
    return text_ok(text, faults);
}

static bool change_all(struct construction *c, char *text, struct faults *faults)
{
    struct gathered gathered = {0};
    bool good = true;
    for (char *one = text; good && one != NULL;) {
        char *next = strchr(one, ';');
        if (next != NULL)
            *next++ = '\0';
        good = gather(c, &gathered, text_trim(one), faults);
        one = next;
    }
    for (size_t i = 0; i < CONSTRUCTION_SECTIONS; i++) {
        if (good && gathered.of[i].length > 0)
            good = read_section(c, &construction_sections[i], &gathered.of[i], faults);
        text_free(&gathered.of[i]);
    }
    return good;
}

bool construction_change(struct construction *construction, const struct collector *collector,
                         const char *change, struct faults *faults)
{
    char text[CHANGE_SIZE], label[CHANGE_SIZE + 32];
    size_t from = faults->n;
    /* The collector's surface is that of the collector as it is. */
    struct collector none = *collector;
    none.surface.at.given = none.emittance.at.given = false;
    if (strlen(change) >= sizeof text)
        return refuse("--change", "is too long", faults);
    strcpy(text, change);
    bool good = change_all(construction, text, faults) &&
                construction_check(construction, &none, "--change", faults);
    snprintf(label, sizeof label, "--change '%s'", change);
    for (size_t i = from; i < faults->n; i++)
        if (faults->items[i].kind == FAULT_INPUT)
            fault_place(&faults->items[i], fault_at(label, 0, 0));
    return good;
}
