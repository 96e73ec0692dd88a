/* Numbers with units, as a description holds them: a value that is accepted is finite. The first
 * letter is the quantity, A for the first of enum dimension. */
#include "base/numbers.h"
#include "base/units.h"
#include "description/value.h"
#include "tests/fuzz/fuzz.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *const fuzz_name = "number";
const int fuzz_inputs_least = 60;

enum { TEXT_MOST = 180 };

static void try_bytes(const char *text, size_t n)
{
    static const char marks[] = {'.', ','};
    for (size_t i = 0; i < sizeof marks; i++) {
        double value = NAN;
        if (number_read(text, n, marks[i], &value) && !isfinite(value))
            abort();
    }
    long long whole;
    number_read_integer(text, n, &whole);
}

static void try_unit(const char *text, enum dimension dimension)
{
    const struct unit *unit = unit_find(text, dimension);
    if (unit == NULL) {
        unit_hint(text, dimension);
        return;
    }
    if (unit->dimension != dimension || !(unit->scale > 0))
        abort();
    unit_note(unit);
}

static void try_values(const char *text, enum dimension dimension, struct faults *faults)
{
    const struct value_limits none = {-1e300, 1e300, false};
    double value = NAN, low = NAN, high = NAN;
    struct place at = fault_at("test.txt", 1, 1);
    for (int difference = 0; difference < 2; difference++)
        if (value_quantity(text, dimension, difference, &none, at, &value, faults) &&
            !isfinite(value))
            abort();
    if (value_range(text, dimension, at, &low, &high, faults) && !(low <= high))
        abort();
    struct stated_error error;
    memset(&error, 0, sizeof error);
    if (value_error(text, dimension, true, false, at, &error, faults) && !isfinite(error.u))
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct faults faults;
    char text[TEXT_MOST + 1];
    if (size == 0)
        return 0;
    enum dimension dimension = (enum dimension)((data[0] + 256 - 'A') % 256 % DIM_COUNT);
    size_t n = size - 1 < TEXT_MOST ? size - 1 : TEXT_MOST;
    memcpy(text, data + 1, n);
    text[n] = '\0';
    const char *blank = strchr(text, ' ');
    faults_init(&faults);
    try_bytes(text, n);
    try_unit(text, dimension);
    try_unit(blank == NULL ? "" : blank + 1, dimension);
    try_values(text, dimension, &faults);
    unit_dimension_of(text);
    return 0;
}
