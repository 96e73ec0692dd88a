/* Schema: tables of keys. A module that takes part in the description declares one table and the
 * struct that it fills; reading, refusing, help and documentation all come from the table.
 *
 *     static const struct schema_row rows[] = {
 *         {.key = "gross area", .kind = VALUE_QUANTITY, .dimension = DIM_AREA,
 *          .limits = {0.0, 1000.0, true}, .offset = offsetof(struct collector, gross_area_m2),
 *          .help = "outside of the frame", .example = "2.05 m2"},
 *     };
 *     const struct schema collector_schema = {"collector", false, "...", rows, LENGTH(rows)};
 *
 * Rows are read in table order, not in file order: a row may depend on those above it (the unit of
 * an instrument on what it measures).
 */
#ifndef DESCRIPTION_SCHEMA_H
#define DESCRIPTION_SCHEMA_H

#include "base/text.h"
#include "description/reader.h"
#include "description/value.h"

#include <stdbool.h>
#include <stddef.h>

/* Kind of value; beside it what the field at `offset` must be. */
enum value_kind {
    VALUE_TEXT,       /* struct stated_text */
    VALUE_QUANTITY,   /* struct stated_number */
    VALUE_DIFFERENCE, /* struct stated_number */
    VALUE_NUMBER,     /* struct stated_number */
    VALUE_ERROR,      /* struct stated_error */
    VALUE_RANGE,      /* struct stated_range */
    VALUE_CHOICE,     /* struct stated_choice */
    VALUE_DATE,       /* struct stated_date */
    VALUE_UNIT,       /* struct stated_text: the spelling of a unit of the dimension */
    VALUE_LIST        /* struct stated_list: commas separate */
};

struct schema_row {
    const char *key; /* lower case */
    enum value_kind kind;
    enum dimension dimension;
    /* Where the dimension depends on rows above, or on the value as written; NULL: `dimension`
     * holds. DIM_COUNT: it cannot be known because those were wrong, and the row is passed over. */
    enum dimension (*dimension_of)(const void *target, const char *text);
    struct value_limits limits; /* all zero: none */
    const char *const *choices;
    size_t n_choices;
    /* What to do about a choice that is none, where it is a likely one; NULL: nothing is known. */
    const char *(*hint_of)(const char *text);
    bool no_relative; /* an error that must be in the unit */
    bool per;         /* an error that says per sample or per window */
    bool required;
    bool repeat;   /* VALUE_TEXT only: the field is a struct stated_list */
    size_t offset; /* of the field in the target */
    const char *help;    /* one line, no full stop */
    const char *example; /* a value that is accepted */
    /* One that suits the rows above it; NULL, or where it returns NULL: `example` holds. */
    const char *(*example_of)(const void *target);
    const char *by_default; /* what holds when the key is absent, in words; NULL if nothing does */
};

struct schema {
    const char *kind; /* of the section: "instrument" */
    bool named;       /* [kind NAME] */
    const char *help; /* one sentence */
    const struct schema_row *rows;
    size_t n;
};

#define LENGTH(array) (sizeof(array) / sizeof((array)[0]))

/* Fills `target` (zeroed by the caller) from a section.
 * Returns: false with all faults of the section: unknown key (nearest name, list of keys), key
 *          twice, required key absent (said only where every line was understood), empty value, and
 *          whatever is wrong with each value. Fields whose value was wrong stay "not given". */
bool schema_read(const struct schema *schema, const struct description *description,
                 const struct section *section, void *target, struct faults *faults);

/* Adds a fault for each section that no schema knows, for a name where none belongs, for a missing
 * name. Returns: false if any. */
bool schema_sections(const struct schema *const *schemas, size_t n,
                     const struct description *description, struct faults *faults);

/* The section with all its keys as a commented block that can be pasted. */
void schema_help(const struct schema *schema, struct text *out);

/* Faults of one file from index `from` on are put into the order of their lines. */
void schema_sort_faults(struct faults *faults, size_t from);

#endif
