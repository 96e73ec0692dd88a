#include "report/html_facts.h"

#include "report/fact_words.h"
#include "report/html_text.h"

bool html_has_facts(const struct document *doc, const char *group)
{
    for (size_t i = 0; i < doc->n_facts; i++)
        if (text_same(doc->facts[i].group, group))
            return true;
    return false;
}

static void add_fact(const struct fact *fact, struct text *out)
{
    char buffer[FACT_SIZE];
    html_prose_element(out, "dt", NULL, fact->key);
    if (text_same(fact->group, DOCUMENT_PAPERWORK)) /* a client's own words */
        html_element(out, "dd", NULL, fact->value);
    else
        html_prose_element(out, "dd", NULL, fact_words(fact, buffer));
    text_add(out, "\n");
}

static bool add_silent(const struct document *doc, const char *group, struct text *out,
                       struct faults *faults)
{
    struct text keys = {0};
    fact_silent_keys(doc, group, &keys);
    if (keys.length > 0) {
        text_add(out, "<dt>not stated</dt><dd>");
        html_add(out, text_string(&keys));
        text_add(out, "</dd>\n");
    }
    bool good = text_ok(&keys, faults);
    text_free(&keys);
    return good;
}

bool html_facts(const struct document *doc, const char *group, struct text *out,
                struct faults *faults)
{
    if (!html_has_facts(doc, group))
        return true;
    html_element(out, "h3", NULL, group);
    text_add(out, "\n<dl class=\"facts\">\n");
    for (size_t i = 0; i < doc->n_facts; i++)
        if (text_same(doc->facts[i].group, group) && !fact_silent(&doc->facts[i]))
            add_fact(&doc->facts[i], out);
    bool good = add_silent(doc, group, out, faults);
    text_add(out, "</dl>\n");
    return good;
}
