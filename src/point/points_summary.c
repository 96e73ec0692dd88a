#include "point/points_summary.h"

#include "base/text.h"
#include "ingest/csv.h"

#include <stdio.h>
#include <string.h>

enum { NO_WORD = POINTS_SUMMARY_WORDS };

/* What spreadsheets write below their rows. */
static const char *const words[POINTS_SUMMARY_WORDS] = {
    "mittel",  "mittelwert", "durchschnitt", "summe",   "moyenne",  "media",   "promedio",
    "somme",   "suma",       "somma",        "average", "averages", "mean",    "means",
    "avg",     "sum",        "total",        "totals",  "max",      "maximum", "min",
    "minimum", "median",     "std",          "stdev",   "st.dev.",  "count",   "std. dev."};

static size_t word_of(const char *cell)
{
    char plain[32];
    snprintf(plain, sizeof plain, "%.*s", (int)strcspn(cell, ":"), cell);
    size_t i = 0;
    while (i < POINTS_SUMMARY_WORDS && !text_same_nocase(words[i], plain))
        i++;
    return i;
}

/* A row's cells that may name it. */
struct label {
    const struct points_heads *heads;
    char first[32], own[32];
};

static void take_label(void *state, size_t number, const char *bytes, size_t n)
{
    struct label *label = state;
    if (n == 0)
        return;
    if (label->first[0] == '\0')
        snprintf(label->first, sizeof label->first, "%s", bytes);
    if (number < label->heads->n && label->heads->of[number].column != NULL &&
        label->heads->of[number].column->field == POINTS_NAME)
        snprintf(label->own, sizeof label->own, "%s", bytes);
}

static void look_at_row(struct points_summary *summary, size_t record, const struct label *label)
{
    size_t word = word_of(label->first);
    if (word == NO_WORD) {
        summary->below = record + 1;
    } else if (word_of(label->own) != word) {
        summary->n_beside[word]++;
        summary->end_beside[word] = record + 1;
    }
}

bool points_summary_find(struct points_summary *summary, const struct points_text *text,
                         const struct points_heads *heads, size_t first, struct faults *faults)
{
    struct csv csv;
    struct label label = {.heads = heads};
    enum csv_status status = CSV_BLANK;
    size_t bad = 0;
    memset(summary, 0, sizeof *summary);
    if (!csv_open(&csv, text->separator, take_label, &label, faults))
        return false;
    for (size_t i = first; i < text->n && status != CSV_NO_MEMORY; i++) {
        label.first[0] = label.own[0] = '\0';
        status =
            csv_line(&csv, text->bytes.bytes + text->records[i].start, text->records[i].n, &bad);
        if (status != CSV_ROW && status != CSV_BLANK)
            summary->below = i + 1; /* refused as a point */
        else if (label.first[0] != '\0')
            look_at_row(summary, i, &label);
    }
    csv_shut(&csv);
    for (size_t word = 0; word < POINTS_SUMMARY_WORDS; word++)
        if (summary->n_beside[word] > 1 && summary->end_beside[word] > summary->below)
            summary->below = summary->end_beside[word];
    return status != CSV_NO_MEMORY || fault_memory(faults);
}

enum points_sort points_summary_sort(const struct points_summary *summary, size_t record,
                                     const char *first, const char *own)
{
    size_t word = word_of(first);
    if (word == NO_WORD || (word_of(own) != word && summary->n_beside[word] > 1))
        return POINTS_POINT;
    return record >= summary->below ? POINTS_SUMMARY : POINTS_NAMED_LIKE_ONE;
}
