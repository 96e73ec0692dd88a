#include "aid_calculator.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct reader {
    const char *at;
    calculator_symbol *symbol;
    const void *state;
    bool good;
};

static double sum(struct reader *r);

static void blanks(struct reader *r)
{
    while (*r->at == ' ')
        r->at++;
}

static bool take(struct reader *r, const char *word)
{
    blanks(r);
    if (strncmp(r->at, word, strlen(word)) != 0)
        return false;
    r->at += strlen(word);
    return true;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static double number(struct reader *r)
{
    double value = 0, place = 1;
    bool after = false;
    for (; is_digit(*r->at) || *r->at == ',' || *r->at == '.'; r->at++) {
        after = after || *r->at == '.';
        if (!is_digit(*r->at))
            continue;
        value = 10 * value + (*r->at - '0');
        place *= after ? 10 : 1;
    }
    return value / place;
}

/* A symbol runs to a blank, a bracket or the end. */
static double named(struct reader *r)
{
    double value = NAN;
    size_t n = strcspn(r->at, " ()");
    if (n == 0 || !r->symbol(r->state, r->at, n, &value))
        r->good = false;
    r->at += n;
    return value;
}

static double factor(struct reader *r)
{
    blanks(r);
    if (take(r, "e^−"))
        return exp(-factor(r));
    if (take(r, "e^"))
        return exp(factor(r));
    if (take(r, "(")) {
        double value = sum(r);
        r->good = take(r, ")") && r->good;
        return value;
    }
    return is_digit(*r->at) ? number(r) : named(r);
}

static bool ends_product(struct reader *r)
{
    blanks(r);
    return *r->at == '\0' || *r->at == ')' || *r->at == '+' || strncmp(r->at, "−", 3) == 0;
}

static double product(struct reader *r)
{
    double value = factor(r);
    while (r->good && !ends_product(r)) {
        if (take(r, "/"))
            value /= factor(r);
        else
            value *= factor(r);
    }
    return value;
}

static double sum(struct reader *r)
{
    double value = product(r);
    while (r->good) {
        if (take(r, "+"))
            value += product(r);
        else if (take(r, "−"))
            value -= product(r);
        else
            break;
    }
    return value;
}

bool aid_calculate(const char *formula, calculator_symbol *symbol, const void *state, double *value)
{
    struct reader r = {formula, symbol, state, true};
    *value = sum(&r);
    blanks(&r);
    return r.good && *r.at == '\0';
}
