#include "point/points_heads.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/* Cuts "flow [L/min]" or "flow (L/min)" in place. Returns: the unit's text, NULL if there is none.
 */
static char *split_brackets(char *head, char opening, char closing)
{
    char *open = strchr(head, opening);
    if (open == NULL)
        return NULL;
    char *close = strrchr(open, closing);
    if (close != NULL)
        *close = '\0';
    *open = '\0';
    return text_trim(open + 1);
}

/* A line break inside a quoted head, as spreadsheets put it, is a blank. */
static void plain_blanks(char *text)
{
    for (char *c = text; *c != '\0'; c++)
        if (*c == '\n' || *c == '\r' || *c == '\t')
            *c = ' ';
}

/* Heads are words whatever their letter case; symbols (t_in, G) count letter for letter. */
static bool is_head(const struct points_column *column, const char *word)
{
    return text_same_nocase(column->head, word) || text_same(column->label, word);
}

static const struct points_column *find_column(const char *word)
{
    size_t n;
    const struct points_column *columns = points_columns(&n);
    for (size_t i = 0; i < n; i++)
        if (is_head(&columns[i], word))
            return &columns[i];
    return NULL;
}

/* "flow L/min" and "flow, L/min": the longest head before a blank or comma, if a unit of it
 * follows. */
static const struct points_column *find_bare(const char *text, const char **unit_text)
{
    size_t n;
    const struct points_column *columns = points_columns(&n), *found = NULL;
    size_t longest = 0;
    for (size_t i = 0; i < n; i++) {
        char word[POINTS_HEAD_SIZE];
        size_t length = strlen(columns[i].head);
        if (columns[i].dimension == DIM_NONE || strlen(text) <= length || length <= longest ||
            strchr(" ,", text[length]) == NULL)
            continue;
        snprintf(word, sizeof word, "%.*s", (int)length, text);
        const char *rest = text + length + strspn(text + length, " ,");
        if (!text_same_nocase(columns[i].head, word) ||
            unit_find(rest, columns[i].dimension) == NULL)
            continue;
        found = &columns[i];
        longest = length;
        *unit_text = rest;
    }
    return found;
}

bool points_head_read(const char *bytes, struct points_head *head)
{
    char text[POINTS_HEAD_SIZE];
    memset(head, 0, sizeof *head);
    snprintf(text, sizeof text, "%s", bytes);
    plain_blanks(text);
    char *word = text_trim(text);
    head->column = find_column(word);
    const char *unit_text = NULL;
    if (head->column == NULL)
        head->column = find_bare(word, &unit_text);
    if (head->column == NULL) {
        unit_text = split_brackets(word, '[', ']');
        if (unit_text == NULL)
            unit_text = split_brackets(word, '(', ')');
        head->column = find_column(text_trim(word));
    }
    if (head->column == NULL)
        return false;
    snprintf(head->unit_text, sizeof head->unit_text, "%s", unit_text == NULL ? "" : unit_text);
    if (head->unit_text[0] != '\0')
        head->unit = unit_find(head->unit_text, head->column->dimension);
    return true;
}

const char *points_head_nearest(const char *bytes, char word[POINTS_HEAD_SIZE])
{
    char text[POINTS_HEAD_SIZE];
    const char *names[POINTS_HEADS_MAX];
    size_t n;
    const struct points_column *columns = points_columns(&n);
    snprintf(text, sizeof text, "%s", bytes);
    plain_blanks(text);
    if (split_brackets(text, '[', ']') == NULL)
        split_brackets(text, '(', ')');
    for (size_t i = 0; i < n; i++)
        names[i] = columns[i].head;
    snprintf(word, POINTS_HEAD_SIZE, "%s", text_trim(text));
    return text_nearest(word, names, n);
}

static bool has_field(const struct points_heads *heads, enum points_field field,
                      enum channel channel)
{
    for (size_t i = 0; i < heads->n; i++) {
        const struct points_column *column = heads->of[i].column;
        if (column != NULL && column->field == field &&
            (field != POINTS_MEAN || column->channel == channel))
            return true;
    }
    return false;
}

bool points_heads_have(const struct points_heads *heads, enum points_field field,
                       enum channel channel)
{
    return has_field(heads, field, channel) ||
           (field == POINTS_MEAN && channel == CH_FLOW && has_field(heads, field, CH_MASS_FLOW));
}

void points_heads_judge(struct points_heads *heads, struct text *missing)
{
    static const enum channel needed[] = {CH_IRRADIANCE, CH_AMBIENT, CH_INLET, CH_OUTLET, CH_FLOW};
    for (size_t i = 0; i < sizeof needed / sizeof needed[0]; i++)
        if (!points_heads_have(heads, POINTS_MEAN, needed[i]))
            text_addf(missing, "%s'%s'", missing->length > 0 ? ", " : "",
                      channel_row(needed[i])->word);
    heads->reduced = missing->length > 0 && points_heads_have(heads, POINTS_ETA, CH_COUNT) &&
                     points_heads_have(heads, POINTS_X, CH_COUNT) &&
                     points_heads_have(heads, POINTS_MEAN, CH_IRRADIANCE);
}
