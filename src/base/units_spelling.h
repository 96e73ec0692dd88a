/* Spellings of units: what people type, brought to forms that can be compared.
 *
 * Two ways, tried in this order by base/units.h: the folded text ("W/m²" -> "W/m2"), and the
 * factors of a compound unit ("BTU/hr-ft²-°F", "BTU h^-1 ft^-2 F^-1" and "Btu/(h·ft2·degF)" are
 * one).
 */
#ifndef BASE_UNITS_SPELLING_H
#define BASE_UNITS_SPELLING_H

#include <stdbool.h>
#include <stddef.h>

enum { UNIT_FOLDED_SIZE = 64, UNIT_FACTORS_MAX = 6, UNIT_ATOM_SIZE = 16 };

/* Superscripts, degree signs, micro and minus signs to ASCII; blanks, carets, asterisks and middle
 * dots dropped. In: n bytes. Returns: false if it does not fit, so it is no unit. */
bool unit_fold(const char *spelling, size_t n, char out[UNIT_FOLDED_SIZE]);

struct unit_factors {
    struct {
        char atom[UNIT_ATOM_SIZE]; /* "h", "ft", "BTU" */
        int power;                 /* never 0 */
    } items[UNIT_FACTORS_MAX];     /* in the order of their atoms, each atom once */
    size_t n;
};

/* Takes a compound unit apart. Everything after a slash (or "per") is below the line, with or
 * without brackets, as people write it: "W/m2 K" is W/(m2 K). A difference in degC is one in K
 * here. Returns: false unless it has at least two factors and each is a known word. */
bool unit_factors_read(const char *spelling, struct unit_factors *factors);

bool unit_factors_same(const struct unit_factors *a, const struct unit_factors *b);

#endif
