/* Constructions: tables of materials, and changes of a what-if. Wrong descriptions are in
 * testdata/bad/description. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "aid_near.h"
#include "domain/construction.h"

#include <math.h>
#include <string.h>

static struct faults faults;

static void in_order(const struct material_range *range, const char *name)
{
    if (!(range->low > 0.0) || !(range->low <= range->high))
        fail_msg("%s: %g to %g is no range", name, range->low, range->high);
}

/* Every figure can be, every limit is one, and every choice is the row of its name. */
static void tables_are_in_order(void **state)
{
    (void)state;
    for (size_t i = 0; i < SURFACE_KINDS; i++) {
        const struct surface_kind *k = &surface_kinds[i];
        assert_string_equal(k->name, surface_kind_words[i]);
        in_order(&k->absorptance, k->name);
        in_order(&k->emittance, k->name);
        assert_true(k->absorptance.high < 1.0 && k->emittance.high < 1.0);
        assert_true(k->limit_degC > 50.0 && strchr(k->source, '(') != NULL);
    }
    for (size_t i = 0; i < GLAZING_KINDS; i++) {
        const struct glazing_kind *k = &glazing_kinds[i];
        assert_string_equal(k->name, glazing_words[i]);
        in_order(&k->transmittance, k->name);
        in_order(&k->emittance, k->name);
        assert_true(k->index > 1.3 && k->index < 1.7 && strchr(k->source, '(') != NULL);
    }
    for (size_t i = 0; i < INSULATION_KINDS; i++) {
        const struct insulation_kind *k = &insulation_kinds[i];
        assert_string_equal(k->name, insulation_words[i]);
        in_order(&k->conductivity_W_mK, k->name);
        assert_true(k->limit_degC > 50.0 && strchr(k->source, '(') != NULL);
    }
    for (size_t i = 0; i < SHEET_KINDS; i++)
        assert_string_equal(sheet_kinds[i].name, sheet_words[i]);
    for (size_t i = 0; i < BOND_KINDS; i++) {
        assert_string_equal(bond_kinds[i].name, bond_words[i]);
        in_order(&bond_kinds[i].conductance_W_mK, bond_words[i]);
    }
}

static void ranges_are_rectangular(void **state)
{
    (void)state;
    struct material_range range = {0.82, 0.90};
    aid_near("middle", material_middle(range), 0.86, 1e-15);
    aid_near("half width over sqrt 3", material_u(range), 0.04 / sqrt(3.0), 1e-15);
}

static void kinds_are_found_by_their_figures(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        const char *(*find)(double);
        double value;
        const char *kind;
    } rows[] = {
        {"8 W/(m K)", material_bond_of_conductance, 8.0, "clipped"},
        {"1.3 W/(m K)", material_bond_of_conductance, 1.3, "laid on"},
        {"22 W/(m K)", material_bond_of_conductance, 22.0, "glued"},
        {"0.07 W/(m K)", material_bond_of_conductance, 0.07, NULL},
        {"emittance 0.34", material_surface_of_emittance, 0.34, "semi-selective paint"},
        {"emittance 0.55", material_surface_of_emittance, 0.55, NULL},
        {"transmittance 0.91", material_glazing_of_transmittance, 0.91, "low-iron glass"},
        {"transmittance 0.99", material_glazing_of_transmittance, 0.99, NULL},
        {"absorptance 0.87", material_surface_of_absorptance, 0.87, "semi-selective paint"},
        {"conductivity 0.036", material_insulation_of_conductivity, 0.036, "expanded polystyrene"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *kind = rows[i].find(rows[i].value);
        if (rows[i].kind == NULL ? kind != NULL : kind == NULL || strcmp(kind, rows[i].kind) != 0)
            fail_msg("%s: found '%s'", rows[i].name, kind == NULL ? "none" : kind);
    }
}

static const char text[] = "[cover]\nglazing = window glass\ntransmittance = 0.83\ngap = 25 mm\n"
                           "[absorber]\nabsorptance = 0.95\nemittance = 0.9\nmaterial = copper\n"
                           "thickness = 0.3 mm\n"
                           "[bond]\nconductance = 12 W/(m K)\n"
                           "[tubes]\nnumber = 8\nspacing = 0.12 m\noutside diameter = 10 mm\n"
                           "inside diameter = 8 mm\n"
                           "[back]\nmaterial = mineral wool\nthickness = 50 mm\n"
                           "conductivity = 0.041 W/(m K)\n";

static void read_text(struct construction *c, struct collector *collector)
{
    struct description description;
    faults_init(&faults);
    memset(c, 0, sizeof *c);
    memset(collector, 0, sizeof *collector);
    description_init(&description);
    assert_true(description_parse(&description, "a.txt", text, strlen(text), NULL, 0, &faults));
    assert_true(construction_read(c, collector, &description, "a.txt", &faults));
    description_free(&description);
}

static void changes_take_the_place_of_what_is_stated(void **state)
{
    (void)state;
    struct construction c;
    struct collector collector;
    read_text(&c, &collector);
    assert_true(construction_change(&c, &collector, "Absorber = black chrome", &faults));
    assert_string_equal(surface_kinds[c.absorber.surface.index].name, "black chrome");
    assert_false(c.absorber.absorptance.at.given || c.absorber.emittance.at.given);
    assert_true(c.absorber.thickness_m.at.given);
    assert_true(construction_change(&c, &collector,
                                    "cover number = 2; bond = clipped;back thickness"
                                    " = 80 mm",
                                    &faults));
    aid_near("two panes", c.cover.number.value, 2.0, 0.0);
    aid_near("as transparent as before", c.cover.transmittance.value, 0.83, 0.0);
    assert_true(c.bond.kind.at.given && !c.bond.conductance_W_mK.at.given);
    aid_near("thicker", c.back.thickness_m.value, 0.08, 1e-15);
    assert_true(c.back.conductivity_W_mK.at.given);
    assert_true(construction_change(&c, &collector, "back = cork", &faults));
    assert_false(c.back.conductivity_W_mK.at.given);
    assert_true(construction_change(&c, &collector, "cover = low-iron glass", &faults));
    assert_false(c.cover.transmittance.at.given);
    /* A section that was not there, its keys together. */
    assert_true(construction_change(&c, &collector,
                                    "edge = cork; edge thickness = 20 mm;edge height = 60 mm",
                                    &faults));
    assert_true(c.edge.given && c.edge.height_m.at.given);
    assert_int_equal(faults.n, 0);
}

static void a_change_that_is_none_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *change, *found;
        enum fault_kind kind;
    } rows[] = {
        {"absorber", "'absorber' does not say to what", FAULT_USAGE},
        {"roof = red", "'roof = red' changes no part of the construction", FAULT_USAGE},
        {"tubes = 9", "'tubes = 9' does not say which key", FAULT_USAGE},
        {"stagnation temperature = 90 degC", "changes no part", FAULT_USAGE},
        {"absorber = selctive", "'selctive' is not one of the choices", FAULT_INPUT},
        {"absorber emittance = 1.2", "'1.2' is out of range", FAULT_INPUT},
        {"tubes spacing = 4 mm", "the tubes' spacing, 4 mm, is smaller than a tube", FAULT_INPUT},
        {"bond stickiness = 4", "'stickiness' is not a key of [bond]", FAULT_INPUT},
        {"edge = cork", "[edge] has no 'thickness'", FAULT_INPUT},
        {"cover gap = 9 mm; cover gap = 8 mm", "'gap' appears twice", FAULT_INPUT},
        {"cover gap = ", "'gap' has no value", FAULT_INPUT},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct construction c;
        struct collector collector;
        read_text(&c, &collector);
        if (construction_change(&c, &collector, rows[i].change, &faults))
            fail_msg("%s: accepted", rows[i].change);
        if (faults.n == 0 || strstr(faults.items[0].found, rows[i].found) == NULL)
            fail_msg("%s: said '%s'", rows[i].change, faults.items[0].found);
        assert_int_equal(faults.worst, rows[i].kind);
    }
}

static void what_a_prediction_lacks_is_listed(void **state)
{
    (void)state;
    struct construction c;
    struct collector collector;
    read_text(&c, &collector);
    assert_true(construction_given(&c));
    assert_true(construction_whole(&c, "a.txt", &faults));
    c.bond.given = c.tubes.given = false;
    assert_false(construction_whole(&c, "a.txt", &faults));
    assert_int_equal(faults.n, 2);
    assert_non_null(strstr(faults.items[0].found, "[tubes]"));
    assert_non_null(strstr(faults.items[1].found, "[bond]"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tables_are_in_order),
        cmocka_unit_test(ranges_are_rectangular),
        cmocka_unit_test(kinds_are_found_by_their_figures),
        cmocka_unit_test(changes_take_the_place_of_what_is_stated),
        cmocka_unit_test(a_change_that_is_none_is_refused),
        cmocka_unit_test(what_a_prediction_lacks_is_listed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
