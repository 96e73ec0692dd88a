/* Materials of a flat plate: what an absorber's surface, a pane, an insulation, a sheet of metal
 * and a bond between sheet and tube are usually like. Tables for a specialist to proof-read: kinds,
 * not products, each figure as a range with its source and mark, and how hot it may get.
 *
 * A range low..high becomes the middle with half of its width over sqrt 3 (rectangular; JCGM
 * 100:2008, 4.3.7); of a bond, whose range spans powers of two, the same of its logarithm.
 */
#ifndef DOMAIN_MATERIAL_H
#define DOMAIN_MATERIAL_H

#include <stdbool.h>
#include <stddef.h>

struct material_range {
    double low, high;
};

/* The middle and the standard uncertainty of a range. */
double material_middle(struct material_range range);
double material_u(struct material_range range);

enum {
    SURFACE_KINDS = 9,
    GLAZING_KINDS = 6,
    INSULATION_KINDS = 7,
    SHEET_KINDS = 4,
    BOND_KINDS = 6
};

/* limit_degC: what it stands for long, NAN where none is known. source ends with its mark:
 * "(read)",
 * "(read second-hand)", "(from memory)", "(common practice, no source)", "(our figure)". */
struct surface_kind {
    const char *name;
    struct material_range absorptance; /* solar, normal */
    struct material_range emittance;   /* hemispherical, near 80 degC */
    double limit_degC;
    const char *source;
};

struct glazing_kind {
    const char *name;
    double index;
    struct material_range transmittance; /* solar, normal, as usually fitted */
    struct material_range emittance;     /* hemispherical */
    double limit_degC;
    const char *source;
};

struct insulation_kind {
    const char *name;
    struct material_range conductivity_W_mK; /* mean temperature 10 degC */
    double rise_W_mK2;                       /* and a kelvin more */
    double limit_degC;
    const char *source;
};

struct sheet_kind {
    const char *name;
    double conductivity_W_mK;
    double u_relative;
    const char *source;
};

struct bond_kind {
    const char *name;
    struct material_range conductance_W_mK; /* per metre of tube; INFINITY: no resistance */
    const char *source;
};

extern const struct surface_kind surface_kinds[SURFACE_KINDS];
extern const struct glazing_kind glazing_kinds[GLAZING_KINDS];
extern const struct insulation_kind insulation_kinds[INSULATION_KINDS];
extern const struct sheet_kind sheet_kinds[SHEET_KINDS];
extern const struct bond_kind bond_kinds[BOND_KINDS];

/* Their names in the same order, for choices. */
extern const char *const surface_kind_words[SURFACE_KINDS];
extern const char *const glazing_words[GLAZING_KINDS];
extern const char *const insulation_words[INSULATION_KINDS];
extern const char *const sheet_words[SHEET_KINDS];
extern const char *const bond_words[BOND_KINDS];

/* The kind whose range holds a value; where several do, the one whose middle is nearest (of bonds,
 * by ratio). Returns: NULL if none does. */
const char *material_surface_of_absorptance(double absorptance);
const char *material_surface_of_emittance(double emittance);
const char *material_glazing_of_transmittance(double transmittance);
const char *material_bond_of_conductance(double conductance_W_mK);
const char *material_insulation_of_conductivity(double conductivity_W_mK);

#endif
