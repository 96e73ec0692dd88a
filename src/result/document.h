/* The result document: what a run found, as numbers, tables, findings, figures and cautions. Runs
 * and studies fill it; writers (report/) print it and know no kind of run.
 *
 * The document owns copies of every text given to it. Adding takes `struct faults *` and returns
 * false only when memory is short.
 */
#ifndef RESULT_DOCUMENT_H
#define RESULT_DOCUMENT_H

#include "base/faults.h"
#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>

/* One share of a number's uncertainty. */
struct part {
    char *id;    /* "sun.calibration", "reading", "curvature left out" */
    char *label; /* plain words */
    double u;    /* signed shift of the number for +1 standard uncertainty, or the standard
                    uncertainty where it has no sign (reading) */
};

/* A reported number. unit in ASCII as for JSON ("W/(m2 K)"), "" for a plain number. */
struct number {
    char *id;     /* stable name: "curve.eta0" */
    char *label;  /* "efficiency with water as warm as air" */
    char *symbol; /* "eta0"; writers map to typographic forms */
    char *unit;
    double value;
    double u;   /* combined standard uncertainty; NaN where not stated */
    double low; /* 95 % interval; NaN where not stated */
    double high;
    double dof; /* effective degrees of freedom, INFINITY allowed */
    struct part *parts;
    size_t n_parts;
};

enum cell_kind { CELL_TEXT, CELL_NUMBER };

struct column {
    char *id;    /* CSV head: "t_in_degC" */
    char *label; /* for people: "inlet" */
    char *unit;  /* for people: "degC"; "" if none */
    enum cell_kind kind;
    int digits;  /* for people: digits after the point; CSV always writes every digit */
};

struct cell {
    char *text;   /* CELL_TEXT; NULL prints as empty */
    double value; /* CELL_NUMBER; NaN prints as empty */
};

/* Where a report prints a table or a figure. */
enum table_place {
    TABLE_TEST,        /* how the test went: channels, windows, refusals */
    TABLE_INSTRUMENTS, /* instruments, their certificates and errors */
    TABLE_METHOD,      /* rules and criteria */
    TABLE_POINTS,      /* the points that a result rests on */
    TABLE_WORKED,      /* one point worked through */
    TABLE_FIT,         /* how the curve was found: residuals, budget, other estimates */
    TABLE_RESULT,      /* what a run found */
    TABLE_ANSWER,      /* the finding itself: a figure of it stands on the first screen */
    TABLE_PLACES
};

struct table {
    char *id;    /* "points": also the CSV's name where `file` is set */
    char *title; /* "Points" */
    char *note;  /* a line below the head; "" if none */
    bool file;   /* written as ID.csv into the folder */
    bool report; /* printed in the report */
    enum table_place
        place; /* where it, or the figure that draws it, stands; TABLE_TEST unless set */
    struct column *columns;
    size_t n_columns;
    size_t n_rows;
    /* A long log has thousands of windows: 8 bytes a cell, and each text once in a run of equal
     * ones. Read by table_cell. */
    union table_value {
        double number; /* CELL_NUMBER */
        size_t text;   /* CELL_TEXT: where it begins in texts; TABLE_NO_TEXT for none */
    } *values;         /* row-major */
    size_t rows_capacity;
    struct text texts; /* each ends in NUL */
};
#define TABLE_NO_TEXT ((size_t)-1)

/* Where a sentence stands. FIRST SCREEN parts come in this order. */
enum finding_place {
    FINDING_ANSWER,      /* what was measured, in the reader's words */
    FINDING_CHECKS,      /* what checks of the instruments found */
    FINDING_READINGS,    /* each channel's readings by flag, in a check */
    FINDING_WINDOWS,     /* windows found and refused, counts per limit */
    FINDING_CANNOT,      /* what could not be said and what would be needed */
    FINDING_UNCERTAINTY, /* where the uncertainty comes from, ranked, each with its cure */
    FINDING_CRITERIA,    /* whole-test criteria met and not met */
    FINDING_NOT_STATED,  /* what was not measured or not stated */
    FINDING_DETAIL,      /* anything else worth a sentence, not on the first screen */
    FINDING_LOG,         /* what the log holds; not on the first screen either */
    FINDING_PLACES
};

struct finding {
    enum finding_place place;
    bool doubt; /* printed with a mark: the reader should act on it */
    char *text; /* a sentence; UTF-8 */
};

/* A figure: a template of plots/ and the table that it draws. */
struct figure {
    char *id;       /* "curve": curve.gp, curve.csv, curve.svg */
    char *template_name; /* plots/NAME.gp without the extension */
    char *title;    /* states the finding */
    char *alt;      /* text alternative for who cannot see it */
    char *table_id; /* of the table written beside it */
    struct setting {
        char *name; /* gnuplot variable, our own identifier */
        char *text; /* quoted by plots/quote; NULL: the number */
        double value;
    } *settings;
    size_t n_settings;
};

/* The group of facts that stands at the head of a report: client, item, who answers for it. */
#define DOCUMENT_PAPERWORK "report"

/* Key and value of provenance: inputs and their hashes, rule set, version. */
struct fact {
    char *group; /* "input", "collector", "rules", "program" */
    char *key;
    char *value;
};

struct document {
    char *title;    /* "Plate A, stove paint" */
    char *kind;     /* "efficiency", "check" */
    char *status;   /* "complete", or what hindered the work */
    struct number *numbers;
    size_t n_numbers;
    double *covariance; /* n_curve x n_curve of the numbers "curve.*" in order; NULL if none */
    size_t n_curve;
    struct table *tables;
    size_t n_tables;
    struct finding *findings;
    size_t n_findings;
    struct figure *figures;
    size_t n_figures;
    struct fact *facts;
    size_t n_facts;
    char **cautions;
    size_t n_cautions;
};

bool document_init(struct document *doc, const char *kind, const char *title,
                   struct faults *faults);
void document_free(struct document *doc);

/* Says what hindered the work; the first call counts. Without one a document is "complete".
 * Returns: false with a machine fault */
bool document_hindered(struct document *doc, const char *why, struct faults *faults);

/* Copies the number with all its parts. */
bool document_number(struct document *doc, const struct number *number, struct faults *faults);
const struct number *document_find_number(const struct document *doc, const char *id);
bool document_covariance(struct document *doc, const double *covariance, size_t n,
                         struct faults *faults);

/* Adds an empty table with its columns (copied). Returns: the table, borrowed, valid until the next
 * document_table call; NULL with a fault. */
struct table *document_table(struct document *doc, const char *id, const char *title,
                             const char *note, const struct column *columns, size_t n_columns,
                             struct faults *faults);
const struct table *document_find_table(const struct document *doc, const char *id);

/* Whether any table with rows stands there in the report. */
bool document_has_tables(const struct document *doc, enum table_place place);

/* Adds a row of n_columns cells; of each the part that the column's kind asks for is copied. */
bool table_row(struct table *table, const struct cell *cells, struct faults *faults);

/* A cell as it was added, the other part NULL or NaN. text is borrowed until the next row is added.
 */
struct cell table_cell(const struct table *table, size_t row, size_t column);
struct cell cell_number(double value);
struct cell cell_text(const char *text); /* borrowed until table_row copies it */

bool document_finding(struct document *doc, enum finding_place place, bool doubt,
                      struct faults *faults, const char *format, ...)
    __attribute__((format(printf, 5, 6)));
struct figure *document_figure(struct document *doc, const char *id, const char *template_name,
                               const char *title, const char *alt, const char *table_id,
                               struct faults *faults);
bool figure_set_number(struct figure *figure, const char *name, double value,
                       struct faults *faults);
bool figure_set_text(struct figure *figure, const char *name, const char *text,
                     struct faults *faults);
bool document_fact(struct document *doc, const char *group, const char *key, struct faults *faults,
                   const char *format, ...) __attribute__((format(printf, 5, 6)));
bool document_caution(struct document *doc, const char *text, struct faults *faults);

#endif
