#include "aid_page.h"

#include "description/schema.h"
#include "domain/channel.h"
#include "domain/instrument_kind.h"
#include "point/points_table.h"
#include "ingest/error_codes.h"
#include "ingest/screen_limits.h"
#include "run/setup.h"
#include "window/criteria_table.h"
#include "window/rules_table.h"
#include "window/rules_text.h"

#include <stdio.h>
#include <string.h>

#define DEG_PER_RAD (180.0 / 3.14159265358979323846)

/* A text inside a table: a bar would end the cell. */
static void add_cell(const char *words, struct text *out)
{
    for (; *words != '\0'; words++) {
        text_add(out, *words == '|' ? "\\" : "");
        text_add_bytes(out, words, 1);
    }
}

/* "KIND", or "KIND NAME" where a kind stands with and without a name. */
static const struct schema *schema_of(const char *name)
{
    size_t n;
    const struct schema *const *schemas = setup_schemas(&n);
    for (size_t i = 0; i < n; i++) {
        char head[80];
        snprintf(head, sizeof head, "%s%s", schemas[i]->kind, schemas[i]->named ? " NAME" : "");
        if (text_same(schemas[i]->kind, name) || text_same(head, name))
            return schemas[i];
    }
    return NULL;
}

static void add_sections(struct text *out)
{
    size_t n;
    const struct schema *const *schemas = setup_schemas(&n);
    text_add(out, "| section | what |\n| --- | --- |\n");
    for (size_t i = 0; i < n; i++)
        text_addf(out, "| `[%s%s]` | %s |\n", schemas[i]->kind, schemas[i]->named ? " NAME" : "",
                  schemas[i]->help);
}

/* What is written right of the '='. */
static void add_value_words(const struct schema_row *row, struct text *out)
{
    const char *what = row->dimension_of != NULL ? "in the instrument's unit"
                                                 : dimension_name(row->dimension);
    switch (row->kind) {
    case VALUE_QUANTITY:
        text_add(out, what);
        break;
    case VALUE_DIFFERENCE:
        text_addf(out, "difference %s", what);
        break;
    case VALUE_NUMBER:
        text_add(out, "number");
        break;
    case VALUE_ERROR:
        text_addf(out, "error%s%s", row->no_relative ? ", not in %" : "",
                  row->per ? ", `per sample` or `per window`" : "");
        break;
    case VALUE_RANGE:
        text_addf(out, "range of %s", what);
        break;
    case VALUE_CHOICE:
        for (size_t i = 0; i < row->n_choices; i++)
            text_addf(out, "%s`%s`", i > 0 ? ", " : "", row->choices[i]);
        break;
    case VALUE_UNIT:
        text_add(out, "unit");
        break;
    case VALUE_DATE:
        text_add(out, "date");
        break;
    case VALUE_LIST:
        text_add(out, "list with commas");
        break;
    case VALUE_TEXT:
        text_add(out, "text");
        break;
    }
}

static bool add_keys(const char *kind, struct text *out)
{
    const struct schema *schema = schema_of(kind);
    if (schema == NULL)
        return false;
    text_add(out, "| key | meaning | value | default | example |\n"
                  "| --- | --- | --- | --- | --- |\n");
    for (size_t i = 0; i < schema->n; i++) {
        const struct schema_row *row = &schema->rows[i];
        text_addf(out, "| `%s` | %s%s | ", row->key, row->help,
                  row->repeat ? "; may be repeated" : "");
        add_value_words(row, out);
        text_addf(out, " | %s | `%s` |\n",
                  row->required             ? "required"
                  : row->by_default != NULL ? row->by_default
                                            : "none",
                  row->example);
    }
    return true;
}

static void add_channels(struct text *out)
{
    text_add(out, "| word | what | symbol | needed | used from | to |\n"
                  "| --- | --- | --- | --- | --- | --- |\n");
    for (int id = 0; id < CH_LOGGED; id++) {
        const struct channel_row *row = channel_row((enum channel)id);
        bool angle = row->dimension == DIM_ANGLE;
        double scale = angle ? DEG_PER_RAD : 1.0;
        const char *unit = angle ? "deg" : dimension_si(row->dimension);
        text_addf(out, "| `%s` | %s | %s | %s | %.4g %s | %.4g %s |\n", row->word, row->label,
                  row->symbol, row->needed ? "yes" : "no", row->least_si * scale, unit,
                  row->most_si * scale, unit);
    }
}

/* "calibration 0.5 K limit": the figure as a description would state it. */
static void add_codes(struct text *out)
{
    size_t n;
    const struct error_code *codes = error_codes(&n);
    text_add(out, "| number | in a column of | what it means |\n| --- | --- | --- |\n");
    for (size_t i = 0; i < n; i++)
        text_addf(out, "| `%g` | %s | %s |\n", codes[i].number,
                  codes[i].unit == NULL ? "any unit" : codes[i].unit, codes[i].words);
}

static void add_code_words(struct text *out)
{
    size_t n;
    const char *const *words = error_code_words(&n);
    for (size_t i = 0; i < n; i++)
        text_addf(out, "%s`%s`", i > 0 ? ", " : "", words[i]);
    text_add(out, "\n");
}

static void add_screens(struct text *out)
{
    text_add(out, "| channel | spike | stuck where steps are at most | at rest up to | reason |\n"
                  "| --- | --- | --- | --- | --- |\n");
    for (int id = 0; id < CH_LOGGED; id++) {
        const struct channel_row *row = channel_row((enum channel)id);
        const struct screen_limits *limits = screen_limits((enum channel)id);
        bool heat = row->dimension == DIM_TEMPERATURE;
        const char *unit = heat ? "K" : dimension_si(row->dimension);
        text_addf(out, "| `%s` | ", row->word);
        if (limits->spike)
            text_addf(out, "%g %s", limits->jump_si, unit);
        else
            text_add(out, "off");
        if (limits->fine_share > 0.0)
            text_addf(out, " | %g %% | ", 100.0 * limits->fine_share);
        else if (limits->fine_si > 0.0)
            text_addf(out, " | %g %s | ", limits->fine_si, unit);
        else
            text_add(out, " | off | ");
        if (limits->rest_si > 1e-6)
            text_addf(out, "%g %s", limits->rest_si, unit);
        else
            text_add(out, limits->rest_si > 0.0 ? "0" : "never");
        text_addf(out, " | %s |\n", limits->why);
    }
}

static void add_figure(const struct kind_figure *figure, const struct instrument_kind *kind,
                       struct text *out)
{
    static const char *const shapes[] = {
        [SHAPE_STANDARD] = "standard", [SHAPE_LIMIT] = "limit", [SHAPE_STEP] = "a step"};
    enum channel channel = CH_IRRADIANCE;
    while (!kind_measures(kind, channel))
        channel++;
    enum dimension dimension = channel_row(channel)->dimension;
    bool gain = figure->target == SHIFT_GAIN;
    double scale = gain ? 100.0 : dimension == DIM_ANGLE ? DEG_PER_RAD : 1.0;
    const char *unit = gain                           ? "%"
                       : dimension == DIM_ANGLE       ? "deg"
                       : dimension == DIM_TEMPERATURE ? "K"
                                                      : dimension_si(dimension);
    text_addf(out, "%s %.4g %s %s%s (", slot_word(figure->slot), figure->value * scale, unit,
              figure->slot == SLOT_AGEING ? "a year, " : "", shapes[figure->shape]);
    add_cell(figure->source, out);
    text_add(out, ")");
}

static void add_kinds(struct text *out)
{
    text_add(out, "| kind | what it is | measures | errors (source) |\n"
                  "| --- | --- | --- | --- |\n");
    for (size_t i = 0; i < instrument_kinds_n; i++) {
        const struct instrument_kind *kind = &instrument_kinds[i];
        text_addf(out, "| `%s` | %s | ", kind->name, kind->help);
        const char *comma = "";
        for (int id = 0; id < CH_LOGGED; id++)
            if (kind_measures(kind, (enum channel)id)) {
                text_addf(out, "%s%s", comma, channel_row((enum channel)id)->word);
                comma = ", ";
            }
        text_add(out, " | ");
        for (size_t k = 0; k < KIND_FIGURES && kind->figures[k].value > 0.0; k++) {
            text_add(out, k > 0 ? "; " : "");
            add_figure(&kind->figures[k], kind, out);
        }
        text_add(out, " |\n");
    }
}

/* The figure of a set as it would be written. */
static void add_rule_figure(const struct rule_set *set, enum rule_id id, struct text *out)
{
    const struct rule_figure *figure = &set->figure[id];
    double unit = rule_row(id)->unit_si;
    struct rule_value value = {figure->on, figure->low * unit, figure->high * unit};
    char words[RULE_TEXT_SIZE];
    text_addf(out, "`%s`", rule_value_text(id, &value, words, sizeof words));
}

static void add_rules(struct text *out)
{
    size_t n;
    const struct rule_set *sets = rule_sets(&n);
    text_add(out, "| key | what | also before the window |");
    for (size_t k = 0; k < n; k++)
        text_addf(out, " `%s` |", sets[k].name);
    text_add(out, "\n| --- | --- | --- |");
    for (size_t k = 0; k < n; k++)
        text_add(out, " --- |");
    for (int id = 0; id < RULE_COUNT; id++) {
        const struct rule_row *row = rule_row((enum rule_id)id);
        text_addf(out, "\n| `%s` | %s | %s |", row->key, row->label,
                  row->conditioning ? "yes" : "no");
        for (size_t k = 0; k < n; k++) {
            text_add(out, " ");
            add_rule_figure(&sets[k], (enum rule_id)id, out);
            text_add(out, " |");
        }
    }
    text_add(out, "\n");
}

static void add_sources(struct text *out)
{
    size_t n;
    const struct rule_set *sets = rule_sets(&n);
    text_add(out, "| set | key | known | source or reason |\n| --- | --- | --- | --- |\n");
    for (size_t k = 0; k < n; k++)
        for (int id = 0; id < RULE_COUNT; id++) {
            const struct rule_figure *figure = &sets[k].figure[id];
            text_addf(out, "| `%s` | `%s` | %s | ", sets[k].name, rule_row((enum rule_id)id)->key,
                      rule_mark_words(figure->mark));
            add_cell(figure->source, out);
            text_add(out, " |\n");
        }
}

static void add_criteria(struct text *out)
{
    size_t n;
    const struct criteria_set *sets = criteria_sets(&n);
    text_add(out, "| key | what | |");
    for (size_t k = 0; k < n; k++)
        text_addf(out, " `%s` |", sets[k].name);
    text_add(out, "\n| --- | --- | --- |");
    for (size_t k = 0; k < n; k++)
        text_add(out, " --- |");
    for (int id = 0; id < CRITERION_COUNT; id++) {
        const struct criterion_row *row = criterion_row((enum criterion_id)id);
        text_addf(out, "\n| `%s` | %s | %s |", row->key, row->label,
                  row->at_most ? "at most" : "at least");
        for (size_t k = 0; k < n; k++) {
            char words[RULE_TEXT_SIZE];
            double figure = sets[k].figure[id].figure * row->unit_si;
            text_addf(out, " `%s` |",
                      criterion_text((enum criterion_id)id, figure, words, sizeof words));
        }
    }
    text_add(out, "\n");
}

static void add_criteria_sources(struct text *out)
{
    size_t n;
    const struct criteria_set *sets = criteria_sets(&n);
    text_add(out, "| set | key | known | source or reason |\n| --- | --- | --- | --- |\n");
    for (size_t k = 0; k < n; k++)
        for (int id = 0; id < CRITERION_COUNT; id++) {
            const struct criterion_figure *figure = &sets[k].figure[id];
            text_addf(out, "| `%s` | `%s` | %s | ", sets[k].name,
                      criterion_row((enum criterion_id)id)->key, rule_mark_words(figure->mark));
            add_cell(figure->source, out);
            text_add(out, " |\n");
        }
}

/* Whether some key, channel, limit or column takes a quantity of this dimension. */
static bool is_used(enum dimension dimension)
{
    size_t n;
    const struct schema *const *schemas = setup_schemas(&n);
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < schemas[i]->n; k++) {
            const struct schema_row *row = &schemas[i]->rows[k];
            if (row->kind != VALUE_TEXT && row->kind != VALUE_CHOICE && row->kind != VALUE_LIST &&
                row->dimension_of == NULL && row->dimension == dimension)
                return true;
        }
    for (int id = 0; id < RULE_COUNT; id++)
        if (rule_row((enum rule_id)id)->dimension == dimension)
            return true;
    const struct points_column *columns = points_columns(&n);
    for (size_t i = 0; i < n; i++)
        if (columns[i].dimension == dimension)
            return true;
    return false;
}

static void add_units(struct text *out)
{
    size_t n;
    const struct unit *units = unit_table(&n);
    text_add(out, "| quantity | unit | other spellings |\n| --- | --- | --- |\n");
    for (size_t i = 0; i < n; i++) {
        if (!is_used(units[i].dimension))
            continue;
        text_addf(out, "| %s | `%s` | ", dimension_name(units[i].dimension), units[i].name);
        for (const char *word = units[i].also; *word != '\0';) {
            size_t length = strcspn(word, " ");
            text_add(out, word == units[i].also ? "`" : ", `");
            text_add_bytes(out, word, length);
            text_add(out, "`");
            word += length;
            word += strspn(word, " ");
        }
        text_add(out, " |\n");
    }
}

static const char *column_words(enum points_field field)
{
    static const char *const words[] = {
        [POINTS_NAME] = "name of the point; default: `row` and its line",
        [POINTS_GROUP] = "who took it",
        [POINTS_START] = "ISO 8601, with zone",
        [POINTS_END] = "ISO 8601, with zone",
        [POINTS_SESSION] = "whole number: points of one day share it",
        [POINTS_READINGS] = "how many readings are in the mean",
        [POINTS_MEAN] = "mean of the window",
        [POINTS_U] = "standard uncertainty of that mean from readings alone",
        [POINTS_T_MEAN] = "(inlet + outlet) / 2 as somebody worked it out: only compared",
        [POINTS_RISE] = "outlet - inlet, likewise",
        [POINTS_POWER] = "flow times rise times specific heat, likewise",
        [POINTS_DRIFT] = "change of the mean water temperature with time",
        [POINTS_U_DRIFT] = "standard uncertainty of the drift, from readings alone",
        [POINTS_ETA] = "efficiency, for points that were reduced elsewhere",
        [POINTS_X] = "reduced temperature of such points",
        [POINTS_U_ETA] = "standard uncertainty of that efficiency from readings alone",
        [POINTS_U_X] = "standard uncertainty of that reduced temperature from readings alone"};
    return words[field];
}

static void add_points(struct text *out)
{
    size_t n;
    const struct points_column *columns = points_columns(&n);
    text_add(out, "| head as written by the program | what | needed |\n| --- | --- | --- |\n");
    for (size_t i = 0; i < n; i++) {
        char head[64];
        bool needed = columns[i].field == POINTS_MEAN && channel_row(columns[i].channel)->needed;
        text_addf(out, "| `%s` | %s | %s |\n", points_head(&columns[i], head, sizeof head),
                  column_words(columns[i].field), needed ? "yes" : "no");
    }
}

bool aid_page_table(const char *name, struct text *out)
{
    static const struct {
        const char *name;
        void (*add)(struct text *out);
    } tables[] = {
        {"sections", add_sections}, {"channels", add_channels}, {"kinds", add_kinds},
        {"codes", add_codes},       {"code words", add_code_words}, {"screens", add_screens},
        {"rules", add_rules},       {"sources", add_sources},   {"units", add_units},
        {"points", add_points},     {"criteria", add_criteria},
        {"criteria sources", add_criteria_sources},
    };
    if (text_starts(name, "keys "))
        return add_keys(name + 5, out);
    for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++)
        if (text_same(name, tables[i].name)) {
            tables[i].add(out);
            return true;
        }
    return false;
}

bool aid_page_renew(const char *page, struct text *out, int *tables, char name[AID_PAGE_NAME])
{
    static const char begin[] = "<!-- table: ", close[] = " -->\n", end[] = "<!-- end -->";
    *tables = 0;
    name[0] = '\0';
    for (;;) {
        const char *mark = strstr(page, begin);
        if (mark == NULL) {
            text_add(out, page);
            return true;
        }
        const char *word = mark + strlen(begin);
        snprintf(name, AID_PAGE_NAME, "%.*s", (int)strcspn(word, "\n"), word);
        char *tail = strstr(name, " -->");
        const char *body = strstr(word, close);
        const char *stop = strstr(word, end);
        if (tail == NULL || body == NULL || stop == NULL)
            return false;
        *tail = '\0';
        text_add_bytes(out, page, (size_t)(body + strlen(close) - page));
        if (!aid_page_table(name, out))
            return false;
        ++*tables;
        page = stop;
    }
}
