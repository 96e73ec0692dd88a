/* Colours of a class's groups: the named one where a name is a colour, readable on white, told
 * apart. */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "run/group_tints.h"

static double channel(const char *tint, int i)
{
    char two[3] = {tint[1 + 2 * i], tint[2 + 2 * i], '\0'};
    return (double)strtol(two, NULL, 16) / 255;
}

/* Relative luminance and contrast as WCAG 2.2 defines them. */
static double linear(double c)
{
    return c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
}

static double contrast_on_white(const char *tint)
{
    double luminance = 0.2126 * linear(channel(tint, 0)) + 0.7152 * linear(channel(tint, 1)) +
                       0.0722 * linear(channel(tint, 2));
    return 1.05 / (luminance + 0.05);
}

/* Degrees on the circle of colours: red 0, green 120, blue 240; NaN for greys. */
static double hue_of(const char *tint)
{
    double r = channel(tint, 0), g = channel(tint, 1), b = channel(tint, 2);
    double high = fmax(r, fmax(g, b)), span = high - fmin(r, fmin(g, b));
    if (span < 0.01)
        return NAN;
    double hue = high == r ? (g - b) / span : high == g ? 2 + (b - r) / span : 4 + (r - g) / span;
    return fmod(60 * hue + 360, 360);
}

static void a_colour_that_is_named_is_drawn(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        double from, to; /* hue; NAN: a grey */
    } rows[] = {
        {"Red table", 345, 360},   {"RED", 345, 360},         {"table red", 345, 360},
        {"Gruppe Rot", 345, 360},  {"Blue", 190, 240},        {"Groupe bleu", 190, 240},
        {"Green 2", 100, 150},     {"grün", 100, 150},        {"Yellow table", 40, 60},
        {"Orange", 15, 40},        {"purple", 260, 300},      {"Pink", 315, 345},
        {"black", NAN, NAN},       {"White", NAN, NAN},       {"grey/5", NAN, NAN},
        {"Team-blue", 190, 240},   {"brown", 15, 40},         {"Turquoise", 170, 190},
        {"5blue", 190, 240},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        const char *tint;
        group_tints(&rows[i].name, 1, &tint);
        double hue = hue_of(tint);
        bool good = isnan(rows[i].from) ? isnan(hue) : hue >= rows[i].from && hue <= rows[i].to;
        if (!good)
            print_message("row '%s': %s, hue %.0f\n", rows[i].name, tint, hue);
        assert_true(good);
    }
}

static void no_word_that_holds_a_colour_counts(void **state)
{
    (void)state;
    const char *plain, *tint, *name = "Anna";
    static const char *const names[] = {"Redmond", "Bluebell", "Hundred", "Greenwich", ""};
    group_tints(&name, 1, &plain);
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        group_tints(&names[i], 1, &tint);
        assert_string_equal(tint, plain);
    }
}

static void no_two_share_a_colour_while_there_are_some(void **state)
{
    (void)state;
    static const char *const classes[][8] = {
        {"Red", "Blue", "Green", "Yellow", "Orange", "Purple", "Black", "White"},
        {"Anna", "Ben", "Red", "Carla", "Blue", "Dora", "Emil", "Red 2"},
        {"1", "2", "3", "4", "5", "6", "7", "8"},
        {"green", "Green", "x", "y", "z", "red", "rot", "black"},
    };
    for (size_t c = 0; c < sizeof classes / sizeof classes[0]; c++) {
        const char *tints[8];
        group_tints(classes[c], 8, tints);
        for (size_t i = 0; i < 8; i++)
            for (size_t k = 0; k < i; k++) {
                if (strcmp(tints[i], tints[k]) == 0)
                    print_message("'%s' and '%s': %s\n", classes[c][i], classes[c][k], tints[i]);
                assert_string_not_equal(tints[i], tints[k]);
            }
    }
}

static void every_colour_is_readable_on_white(void **state)
{
    (void)state;
    static const char *const names[] = {"red",    "blue", "green",     "purple", "brown", "orange",
                                        "turquoise", "pink", "yellow", "grey",   "black", "white"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        const char *const twice[] = {names[i], names[i]};
        const char *tints[2];
        group_tints(twice, 2, tints);
        for (size_t k = 0; k < 2; k++) {
            if (contrast_on_white(tints[k]) < 4.5)
                print_message("'%s': %s has %.2f\n", names[i], tints[k],
                              contrast_on_white(tints[k]));
            assert_true(contrast_on_white(tints[k]) >= 4.5);
        }
    }
    assert_true(fabs(contrast_on_white("#767676") - 4.54) <
                0.01); /* WCAG's own example of a limit */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_colour_that_is_named_is_drawn),
        cmocka_unit_test(no_word_that_holds_a_colour_counts),
        cmocka_unit_test(no_two_share_a_colour_while_there_are_some),
        cmocka_unit_test(every_colour_is_readable_on_white),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
