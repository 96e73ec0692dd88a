#include "domain/fluid_choice.h"

#include "base/files.h"
#include "base/numbers.h"
#include "domain/fluid_mixture.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const meter_places[] = {"inlet", "outlet"};

static const char *const heats_from[] = {"flow", "heat meter"};

static const struct schema_row rows[] = {
    {.key = "name",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct fluid_choice, name),
     .help = "water, propylene glycol, ethylene glycol, or whatever the table is of",
     .example = "water",
     .by_default = "water"},
    {.key = "fraction",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct fluid_choice, fraction),
     .help = "how much glycol is in the mixture, by volume or by mass: it must say which",
     .example = "30 % by volume"},
    {.key = "table",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct fluid_choice, table),
     .help = "CSV file with the columns t_degC, density_kg_m3 and cp_J_kgK",
     .example = "antifreeze.csv"},
    {.key = "meter at",
     .kind = VALUE_CHOICE,
     .choices = meter_places,
     .n_choices = LENGTH(meter_places),
     .offset = offsetof(struct fluid_choice, meter_at),
     .help = "whose temperature the fluid in the flow meter has",
     .example = "inlet",
     .by_default = "inlet"},
    {.key = "heat from",
     .kind = VALUE_CHOICE,
     .choices = heats_from,
     .n_choices = LENGTH(heats_from),
     .offset = offsetof(struct fluid_choice, heat_from),
     .help = "what the heat of a window is made of: flow and both temperatures, or what a heat "
             "meter of its own shows",
     .example = "heat meter",
     .by_default = "flow, where it is measured"},
    {.key = "transit time",
     .kind = VALUE_QUANTITY,
     .dimension = DIM_TIME,
     .limits = {0.0, 3600.0, false},
     .offset = offsetof(struct fluid_choice, transit_s),
     .help = "from the inlet's thermometer to the outlet's, by which the inlet is delayed",
     .example = "40 s",
     .by_default = "0 s"},
    {.key = "cp error",
     .kind = VALUE_ERROR,
     .dimension = DIM_NONE,
     .offset = offsetof(struct fluid_choice, cp_error),
     .help = "how well the specific heat is known, relative",
     .example = "1 % standard",
     .by_default = "water 0.05 %, glycol and a table 1.5 %, standard (our figures)"},
    {.key = "density error",
     .kind = VALUE_ERROR,
     .dimension = DIM_NONE,
     .offset = offsetof(struct fluid_choice, density_error),
     .help = "how well the density is known, relative",
     .example = "0.5 % limit",
     .by_default = "water 0.03 %, glycol and a table 0.5 %, standard (our figures)"},
    {.key = "fraction error",
     .kind = VALUE_ERROR,
     .dimension = DIM_NONE,
     .offset = offsetof(struct fluid_choice, fraction_error),
     .help = "how well the fraction is known, in points: 2 % means 30 % could be 28 or 32 %",
     .example = "1 % limit",
     .by_default = "2 points, standard (our figure)"},
};

const struct schema fluid_schema = {"fluid", false, "The fluid in the collector.", rows,
                                    LENGTH(rows)};

/* The three columns while they are read. */
struct table_text {
    const char *path;
    double *values[3];
    size_t n;
    size_t capacity;
    bool head_seen;
    struct faults *faults;
};

static const char table_head[] = "t_degC,density_kg_m3,cp_J_kgK";

static bool grow_table(struct table_text *table)
{
    if (table->n < table->capacity)
        return true;
    size_t capacity = table->capacity > 0 ? 2 * table->capacity : 32;
    for (int i = 0; i < 3; i++) {
        double *grown = realloc(table->values[i], capacity * sizeof *grown);
        if (grown == NULL)
            return fault_memory(table->faults);
        table->values[i] = grown;
    }
    table->capacity = capacity;
    return true;
}

static bool refuse_line(const struct table_text *table, long line, size_t column, const char *found)
{
    struct place at = fault_at(table->path, line, (long)column);
    struct fault *fault = fault_new(table->faults, FAULT_INPUT, at);
    fault_found(fault, "%s", found);
    fault_expected(fault, "three numbers with decimal points: %s", table_head);
    return false;
}

static bool take_row(struct table_text *table, char *text, long line)
{
    char *field = text;
    if (!grow_table(table))
        return false;
    for (int i = 0; i < 3; i++) {
        if (field == NULL)
            return refuse_line(table, line, strlen(text) + 1, "the row ends early");
        char *comma = strchr(field, ',');
        if (comma != NULL)
            *comma = '\0';
        if (comma != NULL && i == 2)
            return refuse_line(table, line, (size_t)(comma - text) + 1, "the row has more fields");
        char *trimmed = text_trim(field);
        double *value = &table->values[i][table->n];
        if (!number_read(trimmed, strlen(trimmed), '.', value))
            return refuse_line(table, line, (size_t)(trimmed - text) + 1,
                               "the field is not a number");
        field = comma != NULL ? comma + 1 : NULL;
    }
    table->n++;
    return true;
}

/* Blanks around the names do not count. */
static bool is_head(const char *text)
{
    const char *want = table_head;
    for (; *text != '\0'; text++) {
        if (*text == ' ' || *text == '\t')
            continue;
        if (*text != *want)
            return false;
        want++;
    }
    return *want == '\0';
}

static bool take_line(struct table_text *table, char *text, long line)
{
    text[strcspn(text, "\r")] = '\0';
    char *trimmed = text_trim(text);
    if (*trimmed == '\0' || *trimmed == '#')
        return true;
    if (table->head_seen)
        return take_row(table, trimmed, line);
    table->head_seen = true;
    return is_head(trimmed) ||
           refuse_line(table, line, 1, "the first line is not the table's head");
}

static bool take_lines(struct table_text *table, struct text *bytes)
{
    bool good = true;
    long line = 1;
    if (strlen(text_string(bytes)) != bytes->length)
        return refuse_line(table, 0, 0, "this is not a text file");
    char *next = bytes->bytes;
    if (next != NULL && text_starts(next, "\xEF\xBB\xBF"))
        next += 3;
    while (next != NULL) {
        char *end = strchr(next, '\n');
        if (end != NULL)
            *end = '\0';
        good = take_line(table, next, line++) && good;
        next = end != NULL ? end + 1 : NULL;
    }
    return good;
}

/* The table's name and hash become the fluid's source. */
static void name_source(char source[FLUID_SOURCE_SIZE], const char *path, const struct text *bytes)
{
    struct hash hash;
    char hex[HASH_HEX_SIZE];
    hash_start(&hash);
    hash_feed(&hash, text_string(bytes), bytes->length);
    hash_end(&hash, hex);
    snprintf(source, FLUID_SOURCE_SIZE, "table %.100s, SHA-256 %s", path_base(path), hex);
}

bool fluid_read_table(const char *path, const char *name, struct fluid *fluid,
                      struct faults *faults)
{
    enum { TABLE_BYTES = 1 << 20 };
    struct text bytes = {0};
    struct table_text table = {.path = path, .faults = faults};
    char source[FLUID_SOURCE_SIZE];
    bool good = file_read(path, TABLE_BYTES, &bytes, faults);
    if (good)
        name_source(source, path, &bytes); /* of the bytes as they are: lines are cut in place */
    good = good && take_lines(&table, &bytes) &&
           fluid_table(fluid, name, table.values[0], table.values[1], table.values[2], table.n, path,
                       faults);
    if (good)
        memcpy(fluid->source, source, sizeof source);
    for (int i = 0; i < 3; i++)
        free(table.values[i]);
    text_free(&bytes);
    return good;
}

static bool choose_table(const struct fluid_choice *choice, const char *file, struct fluid *fluid,
                         struct faults *faults)
{
    char *path = path_beside(file, choice->table.text, faults);
    if (path == NULL)
        return false;
    const char *name = choice->name.at.given ? choice->name.text : choice->table.text;
    bool good = fluid_read_table(path, name, fluid, faults);
    free(path);
    return mixture_refuse_keys(choice, "that of a table", file, faults) && good;
}

static bool refuse_name(const struct fluid_choice *choice, const char *file, struct faults *faults)
{
    struct place at = fault_at(file, choice->name.at.line, choice->name.at.column);
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "the properties of '%s' are not built in", choice->name.text);
    fault_expected(fault, "'water', 'propylene glycol', 'ethylene glycol', or a table of the "
                          "fluid's own properties");
    if (strchr(choice->name.text, '%') != NULL)
        fault_hint(fault, "how much is in has a key of its own: 'fraction = 30 %% by volume'");
    else
        fault_hint(fault, "add 'table = FILE.csv' with the columns %s", table_head);
    return false;
}

static bool choose_built_in(const struct fluid_choice *choice, const char *file,
                            struct fluid *fluid, struct faults *faults)
{
    enum glycol glycol;
    if (choice->name.at.given && mixture_find(choice->name.text, &glycol))
        return mixture_choose(choice, glycol, file, fluid, faults);
    if (choice->name.at.given && !text_same_nocase(choice->name.text, "water"))
        return refuse_name(choice, file, faults);
    fluid_water(fluid);
    return mixture_refuse_keys(choice, "water", file, faults);
}

bool fluid_choose(const struct fluid_choice *choice, const char *file, struct fluid *fluid,
                  struct faults *faults)
{
    bool good = choice->table.at.given ? choose_table(choice, file, fluid, faults)
                                       : choose_built_in(choice, file, fluid, faults);
    if (!good)
        return false;
    if (choice->cp_error.at.given)
        fluid->u_cp = choice->cp_error.u;
    if (choice->density_error.at.given)
        fluid->u_density = choice->density_error.u;
    return true;
}
