/* The construction of a flat plate as a description states it: covers, absorber, tubes, bond, back
 * and edge; how hot it was seen to get; and the operating point that a prediction is asked for.
 *
 * Every section is optional for who only wants a curve measured. A prediction needs [absorber],
 * [tubes], [bond] and [back]: construction_whole says what is missing.
 */
#ifndef DOMAIN_CONSTRUCTION_H
#define DOMAIN_CONSTRUCTION_H

#include "description/schema.h"
#include "domain/collector.h"
#include "domain/error_source.h"
#include "domain/material.h"

#include <stdbool.h>
#include <stddef.h>

enum { CONSTRUCTION_COVERS = 3 };
enum tube_layout { TUBES_HARP, TUBES_SERPENTINE, TUBE_LAYOUTS };

/* [cover], the outermost, and [inner cover], behind it. */
struct cover_keys {
    bool given;
    struct place head;
    struct stated_number number; /* of panes alike */
    struct stated_choice glazing;
    struct stated_number transmittance;
    struct stated_error transmittance_error;
    struct stated_number index;
    struct stated_number extinction_1_m;
    struct stated_number thickness_m;
    struct stated_number emittance;
    struct stated_error emittance_error;
    struct stated_number gap_m; /* behind each */
};

struct absorber_keys {
    bool given;
    struct place head;
    struct stated_choice surface;
    struct stated_number absorptance;
    struct stated_error absorptance_error;
    struct stated_number emittance;
    struct stated_error emittance_error;
    struct stated_choice material;
    struct stated_number conductivity_W_mK;
    struct stated_number thickness_m;
};

struct tubes_keys {
    bool given;
    struct place head;
    struct stated_choice layout;
    struct stated_number number;
    struct stated_number spacing_m;
    struct stated_number outside_m;
    struct stated_number inside_m;
    struct stated_number length_m; /* of each */
    struct stated_number film_W_m2K;
};

struct bond_keys {
    bool given;
    struct place head;
    struct stated_choice kind;
    struct stated_number conductance_W_mK;
    struct stated_error error;
};

/* [back] and [edge]; height and perimeter of the edge alone. */
struct insulation_keys {
    bool given;
    struct place head;
    struct stated_choice material;
    struct stated_number thickness_m;
    struct stated_number conductivity_W_mK; /* mean temperature 10 degC */
    struct stated_number hot_W_mK;          /* mean temperature 100 degC */
    struct stated_error error;
    struct stated_number limit_degC;
    struct stated_number height_m;
    struct stated_number perimeter_m;
};

/* [stagnation]: an idle plate's temperature as it was seen. */
struct stagnation_keys {
    bool given;
    struct place head;
    struct stated_number plate_degC;
    struct stated_number g_W_m2;
    struct stated_number ambient_degC;
    struct stated_error error;
};

/* [operating point]: what is not stated is as the test met it. */
struct operating_keys {
    bool given;
    struct place head;
    struct stated_number g_W_m2;
    struct stated_number ambient_degC;
    struct stated_number inlet_degC;
    struct stated_number flow_m3_s;
    struct stated_number wind_m_s;
};

struct construction {
    struct cover_keys cover, inner_cover;
    struct absorber_keys absorber;
    struct tubes_keys tubes;
    struct bond_keys bond;
    struct insulation_keys back, edge;
    struct stagnation_keys stagnation;
    struct operating_keys operating;
};

enum { CONSTRUCTION_SECTIONS = 9 };
extern const struct schema cover_schema, inner_cover_schema, absorber_schema, tubes_schema,
    bond_schema, back_schema, edge_schema, stagnation_schema, operating_schema;

/* Reads and checks every section of the construction that is there.
 * In:      collector  its surface and emittance must not contradict the absorber's
 *          file       of the description, kept by the heads: it must outlive them
 * Returns: false with all their faults */
bool construction_read(struct construction *construction, const struct collector *collector,
                       const struct description *description, const char *file,
                       struct faults *faults);

/* Whether a section of the construction itself (not [stagnation], [operating point]) is there. */
bool construction_given(const struct construction *construction);

/* Returns: false with an input fault for each section that a prediction lacks. */
bool construction_whole(const struct construction *construction, const char *file,
                        struct faults *faults);

/* Changes a construction as `SECTION = VALUE` (its main key: a cover's glazing, an absorber's
 * surface, a bond's kind, an insulation's material) or `SECTION KEY = VALUE` says; several are
 * parted by ';'. A named material takes the place of figures stated beside it. Returns: false with
 * the faults, each placed at the change */
bool construction_change(struct construction *construction, const struct collector *collector,
                         const char *change, struct faults *faults);

#endif
