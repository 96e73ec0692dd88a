#include "plots/figure.h"

#include "base/numbers.h"
#include "plots/gnuplot.h"
#include "plots/quote.h"
#include "plots/templates.h"
#include "result/table_csv.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Our own names only: they enter the script as they are. */
static bool is_identifier(const char *name)
{
    size_t n = strspn(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_0123456789");
    return n > 0 && name[n] == '\0' && strchr("0123456789", name[0]) == NULL;
}

static void add_text(struct text *out, const char *name, const char *value)
{
    text_addf(out, "%s = ", name);
    quote_add(out, value);
    text_add(out, "\n");
}

/* Always as a real number: gnuplot divides 5 by 2 as integers. */
static void add_number(struct text *out, const char *name, double value)
{
    char digits[32] = "NaN";
    if (isfinite(value))
        number_exact(value, digits, sizeof digits);
    bool whole = strspn(digits, "-0123456789") == strlen(digits);
    text_addf(out, "%s = %s%s\n", name, digits, whole ? ".0" : "");
}

/* The longest text of the table (first column apart), so that a template can leave room. */
static size_t longest_text(const struct table *table)
{
    size_t longest = 0;
    for (size_t i = 1; i < table->n_columns; i++)
        for (size_t row = 0; row < table->n_rows; row++) {
            const char *text = table_cell(table, row, i).text;
            size_t n = text ? text_characters(text, strlen(text)) : 0;
            longest = n > longest ? n : longest;
        }
    return longest;
}

bool figure_script(const struct figure *figure, const struct table *table,
                   enum figure_purpose purpose, struct text *out, struct faults *faults)
{
    const struct plot_template *template = plot_template_find(figure->template_name);
    assert(template && is_identifier(figure->id));
    text_addf(out, "data = '%s.csv'\n", figure->id);
    add_text(out, "figure_name", figure->id);
    add_text(out, "figure_title", figure->title);
    add_number(out, "longest_text", (double)longest_text(table));
    for (size_t i = 0; i < figure->n_settings; i++) {
        const struct setting *setting = &figure->settings[i];
        assert(is_identifier(setting->name));
        if (setting->text)
            add_text(out, setting->name, setting->text);
        else
            add_number(out, setting->name, setting->value);
    }
    if (purpose == FIGURE_BY_HAND)
        text_addf(out, "set output (exists('png') ? '%s.png' : '%s.svg')\n", figure->id,
                  figure->id);
    if (purpose == FIGURE_PNG)
        text_add(out, "png = 1\n");
    text_add_bytes(out, (const char *)template->bytes, template->n);
    return text_ok(out, faults);
}

static bool write_part(struct folder *folder, const struct figure *figure, const char *extension,
                       const struct text *content, struct faults *faults)
{
    char *name = text_copyf(faults, "%s.%s", figure->id, extension);
    bool ok = name && text_ok(content, faults) &&
              folder_write(folder, name, text_string(content), content->length, faults);
    free(name);
    return ok;
}

static bool write_picture(const struct figure *figure, const struct table *table,
                          enum figure_purpose purpose, struct folder *folder,
                          struct faults *faults)
{
    bool png = purpose == FIGURE_PNG;
    struct text script;
    struct text picture;
    text_init(&script);
    text_init(&picture);
    bool ok = figure_script(figure, table, purpose, &script, faults) &&
              gnuplot_run(folder->partial, figure->id, text_string(&script),
                          png ? GNUPLOT_PNG : GNUPLOT_SVG, GNUPLOT_DEADLINE_S, &picture, faults) &&
              write_part(folder, figure, png ? "png" : "svg", &picture, faults);
    text_free(&picture);
    text_free(&script);
    return ok;
}

static bool write_data(const struct figure *figure, const struct table *table,
                       struct folder *folder, struct faults *faults)
{
    struct folder_file file;
    char *name = text_copyf(faults, "%s.csv", figure->id);
    bool ok = name && folder_file_open(&file, folder, name, faults);
    free(name);
    if (!ok)
        return false;
    table_csv(table, true, &file.text);
    return folder_file_close(&file, faults);
}

bool figure_write(const struct figure *figure, const struct document *doc,
                  enum figure_pictures pictures, struct folder *folder, struct faults *faults)
{
    const struct table *table = document_find_table(doc, figure->table_id);
    assert(table);
    if (table->n_rows == 0)
        return true;
    struct text part;
    text_init(&part);
    bool ok = write_data(figure, table, folder, faults) &&
              figure_script(figure, table, FIGURE_BY_HAND, &part, faults) &&
              write_part(folder, figure, "gp", &part, faults);
    text_free(&part);
    return ok &&
           (pictures == PICTURES_NONE ||
            write_picture(figure, table, FIGURE_SVG, folder, faults)) &&
           (pictures != PICTURES_SVG_PNG ||
            write_picture(figure, table, FIGURE_PNG, folder, faults));
}
