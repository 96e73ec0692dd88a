/* Errors that say what they mean: the one kind of value with a grammar of its own. */
#include "description/value.h"

#include "base/numbers.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

/* What is being taken apart: the tail is cut off piece by piece. */
struct error_text {
    char bytes[VALUE_SIZE];
    const char *whole; /* for messages */
    const char *bare;  /* what is left of the meaning: "1.2 %" */
    struct place at;
    struct faults *faults;
};

/* Cuts `word` and the blanks before it off the end. Returns: whether it stood there. */
static bool cut_tail(char *bytes, const char *word)
{
    size_t n = strlen(bytes);
    size_t w = strlen(word);
    if (n <= w || (bytes[n - w - 1] != ' ' && bytes[n - w - 1] != '\t') ||
        !text_same_nocase(bytes + n - w, word))
        return false;
    bytes[n - w] = '\0';
    text_trim(bytes);
    return true;
}

static enum error_per cut_per(char *bytes)
{
    if (cut_tail(bytes, "per sample"))
        return PER_SAMPLE;
    if (cut_tail(bytes, "per window"))
        return PER_WINDOW;
    return PER_NOTHING;
}

static bool refuse_meaning(const struct error_text *text)
{
    struct fault *fault = fault_new(text->faults, FAULT_INPUT, text->at);
    fault_found(fault, "'%s' does not say what it means", text->bare);
    fault_expected(fault,
                   "'%s k=2' (expanded, as on a certificate), '%s standard' (one standard "
                   "deviation) or '%s limit' (never more than this)",
                   text->bare, text->bare, text->bare);
    return false;
}

static bool refuse_factor(const struct error_text *text, const char *factor)
{
    struct fault *fault = fault_new(text->faults, FAULT_INPUT, text->at);
    fault_found(fault, "'k=%s' is not a coverage factor", factor);
    fault_expected(fault, "a number of 0.5 to 10, mostly 'k=2'");
    return false;
}

/* The `k=2` (or `k = 2`) at the end, if one is there. */
static char *find_factor(char *bytes)
{
    char *equals = strrchr(bytes, '=');
    if (equals == NULL)
        return NULL;
    char *k = equals;
    while (k > bytes && (k[-1] == ' ' || k[-1] == '\t'))
        k--;
    if (k == bytes || (k[-1] != 'k' && k[-1] != 'K'))
        return NULL;
    k--;
    if (k == bytes || (k[-1] != ' ' && k[-1] != '\t'))
        return NULL;
    *equals = '\0';
    *k = '\0';
    return equals + 1;
}

/* Divisor that makes the number a standard uncertainty, and whether it is a limit. */
static bool cut_meaning(struct error_text *text, double *divisor, bool *limit)
{
    *divisor = 1.0;
    *limit = false;
    if (cut_tail(text->bytes, "standard"))
        return true;
    if (cut_tail(text->bytes, "limit")) {
        *divisor = sqrt(3.0);
        *limit = true;
        return true;
    }
    char *factor = find_factor(text->bytes);
    text_trim(text->bytes);
    if (factor == NULL)
        return refuse_meaning(text);
    factor = text_trim(factor);
    if (!number_read(factor, strlen(factor), '.', divisor) || *divisor < 0.5 || *divisor > 10.0)
        return refuse_factor(text, factor);
    return true;
}

/* "%" where it may stand, else a unit of the dimension. */
static bool read_amount(const struct error_text *text, enum dimension dimension, bool relative,
                        double *si, bool *is_relative)
{
    size_t n = strlen(text->bytes);
    bool percent = n > 0 && text->bytes[n - 1] == '%';
    *is_relative = percent || dimension == DIM_NONE;
    struct value_limits limits = {0.0, NAN, false};
    if (!percent || (relative && dimension != DIM_TEMPERATURE))
        return value_quantity(text->bytes, percent ? DIM_NONE : dimension, true, &limits, text->at,
                              si, text->faults);
    struct fault *fault = fault_new(text->faults, FAULT_INPUT, text->at);
    fault_found(fault, "'%s' is relative", text->bare);
    fault_expected(fault, "an error in a unit of %s: %s", dimension_name(dimension),
                   dimension == DIM_TEMPERATURE ? "K or degF" : dimension_examples(dimension));
    return false;
}

static bool check_per(const struct error_text *text, bool wanted, enum error_per found)
{
    if (wanted == (found != PER_NOTHING))
        return true;
    struct fault *fault = fault_new(text->faults, FAULT_INPUT, text->at);
    if (wanted) {
        fault_found(fault, "'%s' does not say for what it holds", text->whole);
        fault_expected(fault, "'%s per sample' or '%s per window'", text->whole, text->whole);
    } else {
        fault_found(fault, "'%s' cannot hold for a sample or a window", text->whole);
        fault_expected(fault, "'%s'", text->bare);
        fault_hint(fault, "errors that are new in every window stand under 'reading'");
    }
    return false;
}

/* A leading plus-minus sign is welcome and says nothing. */
static const char *skip_sign(const char *text)
{
    static const char *const signs[] = {"\xc2\xb1", "+-", "+/-"};
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (text_starts(text, signs[i]))
            return text + strlen(signs[i]) + strspn(text + strlen(signs[i]), " \t");
    return text;
}

bool value_error(const char *text, enum dimension dimension, bool relative, bool per,
                 struct place at, struct stated_error *error, struct faults *faults)
{
    char bare[VALUE_SIZE];
    struct error_text parts = {.whole = text, .bare = bare, .at = at, .faults = faults};
    const char *start = skip_sign(text);
    if (strlen(start) >= sizeof parts.bytes)
        start = "";
    strcpy(parts.bytes, start);
    enum error_per found_per = cut_per(parts.bytes);
    strcpy(bare, parts.bytes);
    double divisor;
    double si;
    bool is_relative, limit;
    if (!check_per(&parts, per, found_per) || !cut_meaning(&parts, &divisor, &limit) ||
        !read_amount(&parts, dimension, relative, &si, &is_relative))
        return false;
    error->u = si / divisor;
    error->relative = is_relative;
    error->limit = limit;
    error->per = found_per;
    strcpy(error->text, strlen(text) < sizeof error->text ? text : "");
    return true;
}
