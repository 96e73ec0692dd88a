/* A pocket calculator for formulas as a report prints them: "t_a + (r_in − t_a) e^−z_in". Knows + −
 * / ( ) and numbers with groups ("60,000"); what stands side by side is multiplied, from left to
 * right with the divisions; e^ is the exponential. For tests only. */
#ifndef AID_CALCULATOR_H
#define AID_CALCULATOR_H

#include <stdbool.h>
#include <stddef.h>

/* The value of a symbol. Returns: false if there is none of that name. */
typedef bool calculator_symbol(const void *state, const char *symbol, size_t n, double *value);

/* Returns: false if the text is no formula to its end, or names a symbol that is not known. */
bool aid_calculate(const char *formula, calculator_symbol *symbol, const void *state,
                   double *value);

#endif
