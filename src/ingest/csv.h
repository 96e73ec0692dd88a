/* CSV: one physical line -> its fields, by libcsv in strict mode.
 *
 * A quoted field that runs over the line's end is told (ingest/record.h then lengthens the line).
 * After a bad line the parser starts afresh. Blanks around a field that is not quoted are cut. What
 * a spreadsheet writes as ="0830" is the field 0830.
 */
#ifndef INGEST_CSV_H
#define INGEST_CSV_H

#include "base/faults.h"

#include <stdbool.h>
#include <stddef.h>

enum { CSV_FIELD_BYTES_MAX = 64 * 1024, CSV_FIELDS_MAX = 1024 };

enum csv_status {
    CSV_ROW,
    CSV_BLANK,          /* nothing but blanks: no row */
    CSV_OPEN_QUOTE,     /* a quote opened on this line is not closed on it */
    CSV_STRAY_QUOTE,    /* a quote inside a field, or text after a closing quote */
    CSV_FIELD_TOO_LONG, /* over CSV_FIELD_BYTES_MAX */
    CSV_TOO_MANY,       /* over CSV_FIELDS_MAX fields */
    CSV_NO_MEMORY
};

/* Called for each field in order, number counted from 0. bytes end in NUL and are good for the
 * call. */
typedef void csv_take(void *state, size_t number, const char *bytes, size_t n);

struct csv {
    void *parser; /* struct csv_parser; owned */
    char separator;
    csv_take *take;
    void *state;
    size_t fields;
    bool row;
};

bool csv_open(struct csv *csv, char separator, csv_take *take, void *state, struct faults *faults);

/* In:      line  n bytes, and line[n] is '\n' or '\r' (ingest/lines.h gives it so)
 * Out:     bad   byte of the line where the fault stands (the opening quote, the stray quote);
 *                written only for a status that is neither CSV_ROW nor CSV_BLANK
 * The number of fields taken is csv->fields. Fields of a bad line may have been taken already. */
enum csv_status csv_line(struct csv *csv, const char *line, size_t n, size_t *bad);

void csv_shut(struct csv *csv); /* safe twice */

/* Where field `number` (from 0) stands in a line: for messages only. Returns: false if it has
 * fewer. */
bool csv_field_span(const char *line, size_t n, char separator, size_t number, size_t *start,
                    size_t *length);

#endif
