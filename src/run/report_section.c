#include "run/report_section.h"

static const struct schema_row rows[] = {
    {.key = "report number",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct report_section, number),
     .help = "under which the report is filed",
     .example = "2026-014"},
    {.key = "client",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct report_section, client),
     .help = "who asked for the test",
     .example = "the workshop's spring course"},
    {.key = "item",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct report_section, item),
     .help = "what was tested: maker's mark, serial, state on arrival",
     .example = "plate A, second build, glass without scratches"},
    {.key = "laboratory",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct report_section, laboratory),
     .help = "who tested it, and where",
     .example = "the workshop, yard"},
    {.key = "signatory",
     .kind = VALUE_TEXT,
     .offset = offsetof(struct report_section, signatory),
     .help = "who answers for the report",
     .example = "A. Tester"},
    {.key = "remarks",
     .kind = VALUE_TEXT,
     .repeat = true,
     .offset = offsetof(struct report_section, remarks),
     .help = "anything that the report should say",
     .example = "the glass was washed on the second morning"},
};

const struct schema report_schema = {
    "report", false, "What a report must name and no log can tell.", rows, LENGTH(rows)};

void report_section_free(struct report_section *report)
{
    stated_list_free(&report->remarks);
}
