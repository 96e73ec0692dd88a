#include "domain/construction_keys.h"

#define SHARE                                                                                      \
    {                                                                                              \
        0.0, 1.0, false                                                                            \
    }
#define SHARE_ABOVE_0                                                                              \
    {                                                                                              \
        0.0, 1.0, true                                                                             \
    }

#define QUANTITY(word, dim, type, field, ...)                                                      \
    .key = word, .kind = VALUE_QUANTITY, .dimension = dim, .offset = offsetof(struct type, field), \
    .limits = {__VA_ARGS__}
#define NUMBER(word, type, field, ...)                                                             \
    .key = word, .kind = VALUE_NUMBER, .offset = offsetof(struct type, field), .limits = __VA_ARGS__
#define ERROR(word, dim, type, field)                                                              \
    .key = word, .kind = VALUE_ERROR, .dimension = dim, .offset = offsetof(struct type, field)
#define CHOICE(word, words, n, type, field)                                                        \
    .key = word, .kind = VALUE_CHOICE, .choices = words, .n_choices = n,                           \
    .offset = offsetof(struct type, field)

static const struct schema_row cover_rows[] = {
    {CHOICE("glazing", glazing_words, GLAZING_KINDS, cover_keys, glazing),
     .help = "usual figures of such a pane, with their spread", .example = "low-iron glass"},
    {.key = "number",
     .kind = VALUE_NUMBER,
     .limits = {1.0, 3.0, false},
     .offset = offsetof(struct cover_keys, number),
     .help = "of such panes one behind the other, each with the gap behind it",
     .example = "2",
     .by_default = "1"},
    {NUMBER("transmittance", cover_keys, transmittance, {0.0, 0.99, true}),
     .help = "of one pane for sunshine at right angles, as measured", .example = "0.905",
     .by_default = "that of the glazing, or of 'extinction' and 'thickness'"},
    {ERROR("transmittance error", DIM_NONE, cover_keys, transmittance_error),
     .help = "how well it is known, as a part of it", .example = "1 % standard",
     .by_default = "1.1 % standard (our figure), or the spread of the glazing"},
    {NUMBER("index", cover_keys, index, {1.0, 3.0, true}), .help = "of refraction",
     .example = "1.526", .by_default = "that of the glazing, 1.526 without one"},
    {NUMBER("extinction", cover_keys, extinction_1_m, {0.0, 1000.0, false}),
     .help = "per metre: about 4 for low-iron glass, 16 for ordinary, 32 for greenish",
     .example = "16"},
    {QUANTITY("thickness", DIM_LENGTH, cover_keys, thickness_m, 0.0, 0.1, true),
     .help = "of one pane", .example = "4 mm"},
    {NUMBER("emittance", cover_keys, emittance, SHARE_ABOVE_0),
     .help = "of its faces for heat radiation", .example = "0.88",
     .by_default = "that of the glazing, 0.88 without one"},
    {ERROR("emittance error", DIM_NONE, cover_keys, emittance_error),
     .help = "how well it is known, as a part of it", .example = "3 % standard",
     .by_default = "2.5 % standard (our figure), or the spread of the glazing"},
    {QUANTITY("gap", DIM_LENGTH, cover_keys, gap_m, 0.0, 0.5, true), .required = true,
     .help = "air between it and what is behind it", .example = "25 mm"},
};

static const struct schema_row absorber_rows[] = {
    {CHOICE("surface", surface_kind_words, SURFACE_KINDS, absorber_keys, surface),
     .help = "usual figures of such a surface, with their spread", .example = "black paint"},
    {NUMBER("absorptance", absorber_keys, absorptance, SHARE_ABOVE_0),
     .help = "for sunshine at right angles, as measured", .example = "0.95",
     .by_default = "that of the surface"},
    {ERROR("absorptance error", DIM_NONE, absorber_keys, absorptance_error),
     .help = "how well it is known, as a part of it", .example = "1 % standard",
     .by_default = "1 % standard (our figure), or the spread of the surface"},
    {NUMBER("emittance", absorber_keys, emittance, SHARE),
     .help = "for heat radiation, as measured", .example = "0.12",
     .by_default = "that of the surface"},
    {ERROR("emittance error", DIM_NONE, absorber_keys, emittance_error),
     .help = "how well it is known, as a part of it", .example = "10 % standard",
     .by_default = "0.01 to 0.03 (15 % of it; our figure), or the spread of the surface"},
    {CHOICE("material", sheet_words, SHEET_KINDS, absorber_keys, material), .help = "of the sheet",
     .example = "copper"},
    {QUANTITY("conductivity", DIM_PIPE_LOSS, absorber_keys, conductivity_W_mK, 0.0, 1000.0, true),
     .help = "of the sheet, instead of its material", .example = "211 W/(m K)"},
    {QUANTITY("thickness", DIM_LENGTH, absorber_keys, thickness_m, 0.0, 0.05, true),
     .required = true, .help = "of the sheet", .example = "0.3 mm"},
};

static const char *const layouts[TUBE_LAYOUTS] = {"harp", "serpentine"};

static const struct schema_row tubes_rows[] = {
    {CHOICE("layout", layouts, TUBE_LAYOUTS, tubes_keys, layout),
     .help = "tubes side by side between two headers, or one tube to and fro", .example = "harp",
     .by_default = "harp"},
    {.key = "number",
     .kind = VALUE_NUMBER,
     .limits = {1.0, 1000.0, false},
     .offset = offsetof(struct tubes_keys, number),
     .required = true,
     .help = "of tubes of the harp, or legs of the serpentine",
     .example = "8"},
    {QUANTITY("spacing", DIM_LENGTH, tubes_keys, spacing_m, 0.0, 2.0, true), .required = true,
     .help = "from the middle of one tube to the middle of the next", .example = "120 mm"},
    {QUANTITY("outside diameter", DIM_LENGTH, tubes_keys, outside_m, 0.0, 0.5, true),
     .required = true, .help = "of a tube", .example = "10 mm"},
    {QUANTITY("inside diameter", DIM_LENGTH, tubes_keys, inside_m, 0.0, 0.5, true),
     .required = true, .help = "of a tube", .example = "8.4 mm"},
    {QUANTITY("length", DIM_LENGTH, tubes_keys, length_m, 0.0, 100.0, true),
     .help = "of one tube or leg: checked against the absorber's area", .example = "1.9 m"},
    {QUANTITY("film", DIM_HEAT_LOSS, tubes_keys, film_W_m2K, 0.0, 1e5, true),
     .help = "heat transfer from the tube's inner surface to the fluid", .example = "400 W/(m2 K)",
     .by_default = "from flow and diameter, as docs/physics.md says"},
};

static const struct schema_row bond_rows[] = {
    {CHOICE("kind", bond_words, BOND_KINDS, bond_keys, kind),
     .help = "how the tube is joined to the sheet: usual figures, with their spread",
     .example = "soldered"},
    {QUANTITY("conductance", DIM_PIPE_LOSS, bond_keys, conductance_W_mK, 0.0, 1e6, true),
     .help = "of a metre of it, instead of its kind", .example = "30 W/(m K)"},
    {ERROR("conductance error", DIM_PIPE_LOSS, bond_keys, error),
     .help = "how well a stated conductance is known", .example = "20 % standard",
     .by_default = "20 % standard (our figure)"},
};

#define INSULATION_ROWS                                                                            \
    {CHOICE("material", insulation_words, INSULATION_KINDS, insulation_keys, material),            \
     .help = "usual figures of such an insulation, with their spread", .example = "mineral wool"}, \
        {QUANTITY("thickness", DIM_LENGTH, insulation_keys, thickness_m, 0.0, 1.0, false),         \
         .required = true, .help = "of the layer; 0: none", .example = "50 mm"},                   \
        {QUANTITY("conductivity", DIM_PIPE_LOSS, insulation_keys, conductivity_W_mK, 0.0, 10.0,    \
                  true),                                                                           \
         .help = "with the layer's mean at 10 degC", .example = "0.037 W/(m K)",                   \
         .by_default = "that of the material"},                                                    \
        {QUANTITY("conductivity at 100 degc", DIM_PIPE_LOSS, insulation_keys, hot_W_mK, 0.0, 10.0, \
                  true),                                                                           \
         .help = "with its mean at 100 degC: it grows along a straight line",                      \
         .example = "0.051 W/(m K)",                                                               \
         .by_default = "that of the material; without one it does not grow"},                      \
        {ERROR("conductivity error", DIM_PIPE_LOSS, insulation_keys, error),                       \
         .help = "how well it is known", .example = "5 % standard",                                \
         .by_default = "5 % standard (our figure), or the spread of the material"},                \
    {                                                                                              \
        QUANTITY("service limit", DIM_TEMPERATURE, insulation_keys, limit_degC, 0.0, 1500.0,       \
                 false),                                                                           \
            .help = "up to which it may be used, from its data sheet", .example = "200 degC",      \
            .by_default = "that of the material"                                                   \
    }

static const struct schema_row back_rows[] = {INSULATION_ROWS};

static const struct schema_row edge_rows[] = {
    INSULATION_ROWS,
    {QUANTITY("height", DIM_LENGTH, insulation_keys, height_m, 0.0, 1.0, true), .required = true,
     .help = "of the box's sides, as far as they are warm", .example = "60 mm"},
    {QUANTITY("perimeter", DIM_LENGTH, insulation_keys, perimeter_m, 0.0, 1000.0, true),
     .help = "of the box", .example = "6.1 m",
     .by_default = "that of a rectangle of the reference area, twice as long as wide"},
};

static const struct schema_row stagnation_rows[] = {
    {QUANTITY("temperature", DIM_TEMPERATURE, stagnation_keys, plate_degC, 0.0, 500.0, false),
     .required = true, .help = "of the absorber, empty or standing, as it was seen",
     .example = "152 degC"},
    {QUANTITY("irradiance", DIM_IRRADIANCE, stagnation_keys, g_W_m2, 200.0, 1500.0, false),
     .required = true, .help = "in the collector's plane at that time", .example = "930 W/m2"},
    {QUANTITY("ambient", DIM_TEMPERATURE, stagnation_keys, ambient_degC, -60.0, 60.0, false),
     .required = true, .help = "air temperature at that time", .example = "22 degC"},
    {.key = "error",
     .kind = VALUE_ERROR,
     .dimension = DIM_TEMPERATURE,
     .no_relative = true,
     .offset = offsetof(struct stagnation_keys, error),
     .help = "how well the absorber's temperature is known",
     .example = "3 K standard",
     .by_default = "3 K standard (our figure)"},
};

static const struct schema_row operating_rows[] = {
    {QUANTITY("irradiance", DIM_IRRADIANCE, operating_keys, g_W_m2, 0.0, 1500.0, true),
     .help = "in the collector's plane", .example = "800 W/m2",
     .by_default = "the mean of the test's points"},
    {QUANTITY("ambient", DIM_TEMPERATURE, operating_keys, ambient_degC, -60.0, 60.0, false),
     .help = "air temperature", .example = "10 degC",
     .by_default = "the mean of the test's points"},
    {QUANTITY("inlet", DIM_TEMPERATURE, operating_keys, inlet_degC, -60.0, 200.0, false),
     .help = "temperature of the fluid that enters", .example = "45 degC",
     .by_default = "30 K above the air"},
    {QUANTITY("flow", DIM_VOLUME_FLOW, operating_keys, flow_m3_s, 0.0, 1.0, true),
     .help = "through the collector", .example = "2.4 L/min",
     .by_default = "the mean of the test's points, or 0.02 kg/s a m2"},
    {QUANTITY("wind", DIM_SPEED, operating_keys, wind_m_s, 0.0, 20.0, false),
     .help = "over the glass", .example = "2 m/s",
     .by_default = "the mean of the test's points, or 3 m/s"},
};

#define SCHEMA(name, kind, help, rows)                                                             \
    const struct schema name = {kind, false, help, rows, LENGTH(rows)}

SCHEMA(cover_schema, "cover",
       "What `predict` needs: the pane over the absorber, the outermost where there are several. "
       "Without it the collector has none.",
       cover_rows);
SCHEMA(inner_cover_schema, "inner cover", "A pane of another kind behind the outermost.",
       cover_rows);
SCHEMA(absorber_schema, "absorber", "The sheet that the sun warms.", absorber_rows);
SCHEMA(tubes_schema, "tubes", "What the fluid flows in.", tubes_rows);
SCHEMA(bond_schema, "bond", "Between tube and sheet: one of the first two.", bond_rows);
SCHEMA(back_schema, "back", "The insulation behind the absorber.", back_rows);
SCHEMA(edge_schema, "edge", "The insulation of the box's sides.", edge_rows);
SCHEMA(stagnation_schema, "stagnation",
       "How hot the idle absorber was seen to get. Caution: burns, steam, breaking glass.",
       stagnation_rows);
SCHEMA(operating_schema, "operating point", "Where `predict` shows temperatures and losses.",
       operating_rows);

const struct construction_section construction_sections[CONSTRUCTION_SECTIONS] = {
    {&cover_schema, offsetof(struct construction, cover), "glazing"},
    {&inner_cover_schema, offsetof(struct construction, inner_cover), "glazing"},
    {&absorber_schema, offsetof(struct construction, absorber), "surface"},
    {&tubes_schema, offsetof(struct construction, tubes), NULL},
    {&bond_schema, offsetof(struct construction, bond), "kind"},
    {&back_schema, offsetof(struct construction, back), "material"},
    {&edge_schema, offsetof(struct construction, edge), "material"},
    {&stagnation_schema, offsetof(struct construction, stagnation), NULL},
    {&operating_schema, offsetof(struct construction, operating), NULL},
};
