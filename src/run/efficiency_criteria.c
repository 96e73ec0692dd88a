/* What the rules ask of a whole test, beside what this test holds. */
#include "run/efficiency_view.h"

#include "run/test_criteria.h"
#include "run/words.h"

#include <stdio.h>

static bool say_levels(const struct efficiency_view *view, struct document *doc,
                       struct faults *faults)
{
    const struct design *d = &view->e->design;
    struct text text = {0};
    for (size_t i = 0; i < d->n_levels; i++) {
        char rise[WORDS_SIZE];
        text_addf(&text, "%s%zu at %s K", i > 0 ? ", " : "", d->levels[i].points,
                  words_signed(d->levels[i].rise_K, 0, rise, sizeof rise));
    }
    bool good = text_ok(&text, faults) &&
                document_finding(doc, FINDING_CRITERIA, false, faults,
                                 "Points by temperature above the air: %s.", text_string(&text));
    text_free(&text);
    return good;
}

/* "warmest air (31.2 degC, asked: at most 30 degC)", "... (longitude not stated)". */
static void add_criterion(const struct criterion *criterion, enum criterion_id id,
                          const struct criterion_verdict *verdict, struct text *out)
{
    char found[RULE_TEXT_SIZE], asked[RULE_TEXT_SIZE];
    const struct criterion_row *row = criterion_row(id);
    criterion_found_text(id, verdict->found, found, sizeof found);
    criterion_text(id, criterion->figure, asked, sizeof asked);
    text_addf(out, "%s%s (", out->length > 0 ? "; " : "", row->label);
    if (verdict->state == CRITERION_NOT_JUDGED)
        text_add(out, verdict->why);
    else
        text_addf(out, "%s, asked: at %s %s", found, row->at_most ? "most" : "least", asked);
    text_add(out, ")");
}

static bool say_met(const struct efficiency_view *view, const struct criterion_verdict *verdict,
                    struct document *doc, struct faults *faults)
{
    int met = 0, asked = 0;
    for (int id = 0; id < CRITERION_COUNT; id++) {
        met += verdict[id].state == CRITERION_MET;
        asked += verdict[id].state != CRITERION_OFF;
    }
    if (asked == 0)
        return true;
    return document_finding(doc, FINDING_CRITERIA, false, faults,
                            "Of %d things that '%s' asks of a whole test, %d %s met (the report "
                            "lists them).",
                            asked, view->reduction->rules.set, met, met == 1 ? "is" : "are");
}

/* All criteria of one state in one sentence; nothing where there are none. */
static bool say_state(const struct efficiency_view *view, const struct criterion_verdict *verdict,
                      enum criterion_state state, const char *head, struct document *doc,
                      struct faults *faults)
{
    struct text text = {0};
    for (int id = 0; id < CRITERION_COUNT; id++)
        if (verdict[id].state == state)
            add_criterion(&view->reduction->criteria.criterion[id], (enum criterion_id)id,
                          &verdict[id], &text);
    bool good = text_ok(&text, faults);
    if (good && text.length > 0)
        good = document_finding(doc, FINDING_CRITERIA, state == CRITERION_NOT_MET, faults,
                                "%s: %s.", head, text_string(&text));
    text_free(&text);
    return good;
}

static bool criterion_cells(const struct rules *rules, const struct criterion *criterion,
                            enum criterion_id id, const struct criterion_verdict *verdict,
                            struct table *table, struct faults *faults)
{
    char asked[RULE_TEXT_SIZE], found[RULE_TEXT_SIZE];
    char words[RULE_TEXT_SIZE + 16], remark[RULE_TEXT_SIZE + 16] = "";
    const struct criterion_row *row = criterion_row(id);
    criterion_text(id, criterion->figure, asked, sizeof asked);
    snprintf(words, sizeof words, "%s%s",
             !criterion->on ? ""
             : row->at_most ? "at most "
                            : "at least ",
             asked);
    if (criterion->overridden) {
        criterion_text(id, criterion->set_figure, asked, sizeof asked);
        snprintf(remark, sizeof remark, "the set: %s", asked);
    }
    struct cell cells[] = {cell_text(row->label),
                           cell_text(words),
                           cell_text(criterion_found_text(id, verdict->found, found, sizeof found)),
                           cell_text(criterion_word(verdict->state)),
                           cell_text(rule_known(rules, criterion->mark, criterion->overridden)),
                           cell_text(remark[0] != '\0'
                                         ? remark
                                         : rule_source(rules, criterion->mark, criterion->source))};
    return table_row(table, cells, faults);
}

static bool criteria_of_set(const struct efficiency_view *view,
                            const struct criterion_verdict *verdict, struct document *doc,
                            struct faults *faults)
{
    struct column columns[] = {
        {.id = "criterion", .label = "criterion", .unit = "", .kind = CELL_TEXT},
        {.id = "asked", .label = "asked", .unit = "", .kind = CELL_TEXT},
        {.id = "found", .label = "found", .unit = "", .kind = CELL_TEXT},
        {.id = "verdict", .label = "verdict", .unit = "", .kind = CELL_TEXT},
        {.id = "known", .label = "known", .unit = "", .kind = CELL_TEXT},
        {.id = "source", .label = "source", .unit = "", .kind = CELL_TEXT},
    };
    const struct reduction *r = view->reduction;
    char id[96], note[320];
    snprintf(id, sizeof id, "%s_criteria", view->id);
    snprintf(note, sizeof note,
             "By '%s'. Points whose water lies no more than %.0f K apart count as one temperature. "
             "Noon is when the sun stands highest at the stated longitude.",
             r->rules.set, DESIGN_LEVEL_WIDTH_K);
    struct table *table = document_table(doc, id, "Criteria of the whole test", note, columns,
                                         sizeof columns / sizeof columns[0], faults);
    if (table == NULL)
        return false;
    table->report = table->file = true;
    table->place = TABLE_METHOD;
    for (int k = 0; k < CRITERION_COUNT; k++)
        if (!criterion_cells(&r->rules, &r->criteria.criterion[k], (enum criterion_id)k,
                             &verdict[k], table, faults))
            return false;
    return true;
}

/* Under a lamp, or on a rack that follows the sun, both halves of the day are alike. */
static bool has_no_noon(const struct site *site)
{
    size_t mount = site->mount.index;
    return site->mount.at.given && (mount == SITE_TWO_AXES || mount == SITE_LAMP);
}

bool view_criteria(const struct efficiency_view *view, struct document *doc, struct faults *faults)
{
    struct criterion_verdict verdict[CRITERION_COUNT];
    test_criteria_judge(&view->reduction->criteria, &view->e->design, view->points, view->n,
                        verdict);
    if (has_no_noon(&view->reduction->setup.site))
        verdict[CRITERION_NOON].state = CRITERION_OFF;
    return say_levels(view, doc, faults) && say_met(view, verdict, doc, faults) &&
           say_state(view, verdict, CRITERION_NOT_MET, "Not met", doc, faults) &&
           say_state(view, verdict, CRITERION_NOT_JUDGED, "Not judged", doc, faults) &&
           criteria_of_set(view, verdict, doc, faults);
}
