#include "ingest/thousand.h"

#include <math.h>

enum { STRIDE = 4, TIMES_LEAST = 2 };

#define LOW 1.0
#define LOW_END 1.2
#define HIGH 940.0
#define WHOLE 1000.0
#define NEAR 60.0

void thousand_init(struct thousand *thousand, const struct log_column *column)
{
    double zero_si = log_column_si(column, 0.0);
    double scale_si = log_column_si(column, 1.0) - zero_si;
    *thousand = (struct thousand){
        .looks = column->signal == NULL && scale_si > 0.0 &&
                 channel_row(column->channel)->dimension == DIM_IRRADIANCE,
        .zero_si = zero_si,
        .scale_si = scale_si,
        .before = NAN,
    };
}

/* As it was written. */
static double number_of(const struct thousand *thousand, double value_si)
{
    return (value_si - thousand->zero_si) / thousand->scale_si;
}

static bool has_third_decimal(double number)
{
    return fabs(100.0 * number - round(100.0 * number)) > 1e-6;
}

static void take_row(struct thousand *t, double number, struct row_place place)
{
    if (number >= LOW && number < LOW_END && fabs(WHOLE * number - t->before) <= NEAR) {
        if (t->rows == 0) {
            t->first = place;
            t->first_before = t->before;
            t->first_number = number;
        }
        t->rows++;
        t->times += t->before < WHOLE;
        t->decimals = t->decimals || has_third_decimal(number);
        t->before = WHOLE * number;
        return;
    }
    t->before = number >= HIGH ? number : NAN;
}

void thousand_take(struct thousand *thousand, const double *value_si, const struct row_place *place,
                   size_t n, double most_si)
{
    double from_si = thousand->zero_si + thousand->scale_si * LOW;
    double to_si = thousand->zero_si + thousand->scale_si * LOW_END;
    bool low = false;
    if (!thousand->looks || number_of(thousand, most_si) >= WHOLE)
        return;
    for (size_t i = 0; i < n; i += STRIDE)
        low |= value_si[i] >= from_si && value_si[i] < to_si;
    if (!low)
        thousand->before = NAN;
    for (size_t i = 0; low && i < n; i++)
        take_row(thousand, number_of(thousand, value_si[i]), place[i]);
}

bool thousand_found(const struct thousand *thousand, double most_si)
{
    return thousand->times >= TIMES_LEAST && thousand->decimals &&
           number_of(thousand, most_si) < WHOLE;
}
