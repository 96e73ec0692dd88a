#include "point/points_cells.h"

#include "base/number_spelled.h"
#include "base/numbers.h"
#include "base/text.h"
#include "ingest/csv.h"
#include "ingest/stamp.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

struct fault *points_fault(const struct points_text *text, const struct points_record *record,
                           const char *path, size_t number, const char *name, struct faults *faults)
{
    const char *bytes = text->bytes.bytes + record->start;
    size_t start = 0, length = 0;
    long column = 0;
    if (csv_field_span(bytes, record->n, text->separator, number, &start, &length))
        column = (long)text_characters(bytes, start) + 1;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, record->line, column));
    if (name != NULL)
        fault_field(fault, "field %zu '%s'", number + 1, name);
    else
        fault_field(fault, "field %zu", number + 1);
    return fault;
}

static struct fault *complain(struct points_row *row, size_t number)
{
    const struct points_column *column =
        number < row->heads->n ? row->heads->of[number].column : NULL;
    return points_fault(row->text, row->record, row->path, number,
                        column == NULL ? NULL : column->head, row->faults);
}

/* A number with the other decimal sign among numbers with one, or with both: neither may be
 * guessed. */
static void refuse_number(struct points_row *row, size_t number, const char *bytes, size_t n)
{
    char mark = row->text->decimal;
    double other;
    struct fault *fault = complain(row, number);
    fault_found(fault, "'%s' is not a number", bytes);
    fault_expected(fault, "a number with a decimal %s, like %s", mark == '.' ? "point" : "comma",
                   mark == '.' ? "23.4" : "23,4");
    if (number_is_thousand_or_fraction(bytes, n, mark))
        fault_hint(fault,
                   "is it a thousand or a fraction? write it without a sign between thousands, and "
                   "a fraction with a decimal %s",
                   mark == '.' ? "point" : "comma");
    else if (number_read(bytes, n, mark == '.' ? ',' : '.', &other))
        fault_hint(fault, "write a decimal %s in place of the %s, as the table's other numbers",
                   mark == '.' ? "point" : "comma", mark == '.' ? "comma" : "point");
    else if (strchr(bytes, '.') != NULL && strchr(bytes, ',') != NULL)
        fault_hint(fault, "write it without a sign between thousands");
    else if (bytes[0] >= '0' && bytes[0] <= '9')
        fault_hint(fault, "write the number alone: its unit belongs into the head");
}

/* A table may have both signs in its numbers: there a sign between thousands is not read. */
static bool cell_number(struct points_row *row, size_t number, const char *bytes, size_t n,
                        double *value)
{
    bool both = strchr(bytes, '.') != NULL && strchr(bytes, ',') != NULL;
    if (number_read(bytes, n, row->text->decimal, value) ||
        (!both && number_spelled(bytes, n, row->text->decimal, value)))
        return true;
    refuse_number(row, number, bytes, n);
    return false;
}

static void take_time(struct points_row *row, size_t number, const char *bytes, size_t n,
                      int64_t *time_us)
{
    struct stamp_format format;
    struct place at = fault_at(row->path, row->record->line, 0);
    if (!stamp_compile("ISO 8601", true, NULL, at, &format, row->faults))
        return;
    enum stamp_status status = stamp_read(&format, bytes, n, time_us);
    if (status == STAMP_GOOD)
        return;
    struct fault *fault = complain(row, number);
    fault_found(fault, "'%s' %s", bytes, stamp_status_words(status));
    fault_expected(fault, "a time with its zone, like 2026-06-21T10:15:00Z");
}

/* In the unit of the head, as the user knows it. */
static void impossible_mean(struct points_row *row, size_t number, const struct points_head *head,
                            double value)
{
    const struct channel_row *channel = channel_row(head->column->channel);
    const struct unit *unit = head->unit;
    char text[32];
    struct fault *fault = complain(row, number);
    fault_found(fault, "%s is %s %s, outside of what a collector test can hold", channel->word,
                number_exact(value, text, sizeof text), unit->name);
    fault_expected(fault, "%g to %g %s", (channel->least_si - unit->offset) / unit->scale,
                   (channel->most_si - unit->offset) / unit->scale, unit->name);
    fault_hint(fault,
               "is a decimal point missing, or the unit in the head another? correct it, or put "
               "'#' before the row to leave it out");
}

/* Our own figure: in no lamp's light so weak does a collector give heat. */
#define SUN_LEAST_W_M2 5.0

static void weak_sun(struct points_row *row, size_t number, const struct points_head *head,
                     double value)
{
    char text[32];
    struct fault *fault = complain(row, number);
    fault_found(fault, "%s %s is no sunshine that a collector could be measured in",
                number_exact(value, text, sizeof text), head->unit->name);
    fault_hint(fault, text_same(head->unit->name, "W/m2")
                          ? "is it in kW/m2? then the head is 'irradiance [kW/m2]'; or correct the "
                            "number"
                          : "correct the number or the unit in the head");
}

static void take_mean(struct points_row *row, size_t number, const struct points_head *head,
                      double value)
{
    const struct channel_row *channel = channel_row(head->column->channel);
    double si = unit_absolute(head->unit, value);
    if (si < channel->least_si || si > channel->most_si) {
        impossible_mean(row, number, head, value);
        return;
    }
    if (si <= 0 &&
        (channel->id == CH_IRRADIANCE || channel->id == CH_FLOW || channel->id == CH_MASS_FLOW)) {
        struct fault *fault = complain(row, number);
        fault_found(fault, "a point without %s gives no efficiency",
                    channel->id == CH_IRRADIANCE ? "sunshine" : "flow");
        fault_expected(fault, "more than 0 %s", head->unit->name);
        fault_hint(fault, "correct the number, or take the row out");
        return;
    }
    if (channel->id == CH_IRRADIANCE && si < SUN_LEAST_W_M2) {
        weak_sun(row, number, head, value);
        return;
    }
    row->means.mean[channel->id] = si;
    row->means.has[channel->id] = true;
    row->origin.typed[channel->id] = value;
    row->origin.unit[channel->id] = head->unit;
}

static void take_u(struct points_row *row, size_t number, const struct points_head *head,
                   double value, double *u)
{
    if (value >= 0) {
        *u = head->unit == NULL ? value : unit_difference(head->unit, value);
        return;
    }
    fault_found(complain(row, number), "the uncertainty '%s' is negative", head->column->head);
}

/* Whole and not so large that a double could not hold it exactly. */
static bool is_count(struct points_row *row, size_t number, double value, double least)
{
    if (value == floor(value) && value >= least && value <= 1e15)
        return true;
    fault_found(complain(row, number), "%g is not a whole number from %g to 1e15", value, least);
    return false;
}

/* 62 for 0.62 is the usual slip; no efficiency lies beyond these bounds. */
static bool is_efficiency(struct points_row *row, size_t number, double value)
{
    if (fabs(value) <= 1.5)
        return true;
    struct fault *fault = complain(row, number);
    fault_found(fault, "%g is no efficiency", value);
    fault_expected(fault,
                   "a share of the sunshine, like 0.62 for 62 %%, or the head 'efficiency [%%]'");
    return false;
}

static void take_compared(struct points_row *row, const struct points_head *head, double value,
                          const char *cell, struct points_compared *compared)
{
    points_compared_take(compared, cell, row->text->decimal, value, head->unit,
                         head->column->difference);
}

static void take_value(struct points_row *row, size_t number, const struct points_head *head,
                       double value, const char *cell)
{
    struct means *means = &row->means;
    double si = head->unit == NULL ? value : unit_absolute(head->unit, value);
    double difference = head->unit == NULL ? value : unit_difference(head->unit, value);
    switch (head->column->field) {
    case POINTS_SESSION:
        if (is_count(row, number, value, -1e15))
            means->session = (int64_t)value;
        break;
    case POINTS_READINGS:
        if (is_count(row, number, value, 0))
            means->readings = (size_t)value;
        break;
    case POINTS_MEAN:
        take_mean(row, number, head, value);
        break;
    case POINTS_U:
        take_u(row, number, head, value, &means->u[head->column->channel]);
        break;
    case POINTS_T_MEAN:
        take_compared(row, head, value, cell, &row->origin.t_mean);
        break;
    case POINTS_RISE:
        take_compared(row, head, value, cell, &row->origin.rise);
        break;
    case POINTS_POWER:
        take_compared(row, head, value, cell, &row->origin.power);
        break;
    case POINTS_DRIFT:
        means->drift_K_s = difference;
        break;
    case POINTS_U_DRIFT:
        take_u(row, number, head, value, &means->u_drift_K_s);
        break;
    case POINTS_ETA:
        if (is_efficiency(row, number, si))
            means->eta = si;
        row->origin.eta_typed = value;
        row->origin.eta_unit = head->unit;
        break;
    case POINTS_X:
        means->x = si;
        row->origin.x_typed = value;
        row->origin.x_unit = head->unit;
        break;
    case POINTS_U_ETA:
        take_u(row, number, head, value, &means->u_eta);
        break;
    case POINTS_U_X:
        take_u(row, number, head, value, &means->u_x);
        break;
    default:
        break;
    }
}

static bool is_result(const struct points_row *row, enum points_field field)
{
    return !row->heads->reduced && (field == POINTS_ETA || field == POINTS_X ||
                                    field == POINTS_U_ETA || field == POINTS_U_X);
}

/* More cells than heads: numbers whose decimal comma was taken for a separator, mostly. */
static void refuse_surplus(struct points_row *row, size_t number, const char *bytes)
{
    if (row->surplus)
        return; /* said once */
    row->surplus = true;
    struct fault *fault = complain(row, number);
    fault_found(fault, "'%s' stands under no head: the heads are %zu", bytes, row->heads->n);
    fault_hint(fault, row->text->separator == ','
                          ? "write decimal points, or separate the fields by semicolons"
                          : "give the column a head, or take the cell out");
}

static void remember_cell(struct points_row *row, const char *bytes)
{
    if (row->filled++ == 0)
        snprintf(row->first, sizeof row->first, "%s", bytes);
}

void points_cell_take(void *state, size_t number, const char *bytes, size_t n)
{
    struct points_row *row = state;
    double value = 0;
    if (n == 0)
        return;
    remember_cell(row, bytes);
    if (number >= row->heads->n) {
        refuse_surplus(row, number, bytes);
        return;
    }
    const struct points_head *head = &row->heads->of[number];
    if (head->column == NULL)
        return;
    switch (head->column->field) {
    case POINTS_NAME:
        snprintf(row->means.name, sizeof row->means.name, "%s", bytes);
        row->origin.named = true;
        return;
    case POINTS_GROUP:
        snprintf(row->means.group, sizeof row->means.group, "%s", bytes);
        return;
    case POINTS_START:
        take_time(row, number, bytes, n, &row->means.start_us);
        row->means.timed = true;
        return;
    case POINTS_END:
        take_time(row, number, bytes, n, &row->means.end_us);
        return;
    default:
        if (!is_result(row, head->column->field) && cell_number(row, number, bytes, n, &value))
            take_value(row, number, head, value, bytes);
    }
}
