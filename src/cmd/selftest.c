/* `etabench selftest`: the installed program against published numbers. The only command that looks
 * at a clock: its table is dated. */
#include "cmd/command.h"
#include "cmd/selftest.h"

#include "base/calendar.h"
#include "base/numbers.h"
#include "base/version.h"
#include "report/text_table.h"
#include "result/typography.h"
#include "selftest/selftest.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { DIGITS_SHOWN = 8, GROUP_COLUMNS = 6 };

/* Today, UTC; or the second that SOURCE_DATE_EPOCH names, so that builds can be repeated. */
static bool today(int64_t *time_us, struct faults *faults)
{
    const long long last = 253402300799; /* the end of the year 9999 */
    const char *stated = getenv("SOURCE_DATE_EPOCH");
    long long seconds = (long long)time(NULL);
    if (stated != NULL && (!number_read_integer(stated, strlen(stated), &seconds) || seconds < 0 ||
                           seconds > last)) {
        struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
        fault_found(fault, "SOURCE_DATE_EPOCH is '%.40s'", stated);
        fault_expected(fault, "a whole number of seconds since 1970, 0 to %lld", last);
        fault_hint(fault, "unset it to have today's date");
        return false;
    }
    *time_us = (int64_t)seconds * US_PER_S;
    return true;
}

static const char *agreement(const struct check *check, bool interval, char *out, size_t size)
{
    if (!isfinite(check->agrees) || check->agrees < 0)
        snprintf(out, size, "none");
    else
        snprintf(out, size, interval ? "%.2f" : "%.1f", check->agrees);
    return out;
}

static const char *shown(double value, char *out, size_t size)
{
    char ascii[32];
    return typo_number(number_significant(value, DIGITS_SHOWN, ascii, sizeof ascii), out, size);
}

static bool add_check(const struct checks *checks, const struct check *check, struct table *table,
                      struct faults *faults)
{
    char name[2 * CHECK_NAME + 4], symbol[TYPO_SIZE], expected[TYPO_SIZE], got[TYPO_SIZE];
    char agrees[32], asked[32];
    snprintf(name, sizeof name, "%s%s%s", typo_symbol(check->name, symbol, sizeof symbol),
             check->worst[0] == '\0' ? "" : ": ", check->worst);
    snprintf(asked, sizeof asked, "%.3g", check->asked);
    bool seen = check->seen > 0;
    struct cell cells[GROUP_COLUMNS] = {
        cell_text(name),
        cell_text(seen ? shown(check->expected, expected, sizeof expected) : ""),
        cell_text(seen ? shown(check->got, got, sizeof got) : ""),
        cell_text(seen ? agreement(check, checks->groups[check->group].interval, agrees,
                                   sizeof agrees)
                       : ""),
        cell_text(asked),
        cell_text(check_passed(checks, check) ? "yes" : "NO")};
    return table_row(table, cells, faults);
}

static bool add_group(const struct checks *checks, size_t group, struct document *doc,
                      struct text *out, struct faults *faults)
{
    const struct check_group *about = &checks->groups[group];
    struct column columns[GROUP_COLUMNS] = {
        {.id = "check", .label = "check", .unit = "", .kind = CELL_TEXT},
        {.id = "expected", .label = about->interval ? "truth" : "expected", .unit = ""},
        {.id = "got", .label = "got", .unit = ""},
        {.id = "agrees", .label = about->interval ? "off" : "digits", .unit = ""},
        {.id = "asked", .label = "asked", .unit = ""},
        {.id = "passed", .label = "passed", .unit = ""},
    };
    char id[32];
    snprintf(id, sizeof id, "checks_%zu", group);
    struct table *table = document_table(doc, id, about->title, about->source, columns,
                                         GROUP_COLUMNS, faults);
    if (table == NULL)
        return false;
    for (size_t i = 0; i < checks->n; i++)
        if (checks->items[i].group == group &&
            !add_check(checks, &checks->items[i], table, faults))
            return false;
    text_add(out, "\n");
    return text_table(table, out, faults);
}

static bool print(const struct checks *checks, int64_t time_us, struct text *out,
                  struct faults *faults)
{
    struct document doc;
    struct civil date;
    if (!document_init(&doc, "selftest", "selftest", faults))
        return false;
    calendar_civil(time_us, &date);
    text_addf(out, "etabench %s, selftest of %04d-%02d-%02d\n", ETABENCH_VERSION, date.year,
              date.month, date.day);
    text_add(out, "Each line shows the worst of what it compares: in how many digits both agree,\n"
                  "and how many are asked.\n");
    bool good = true;
    for (size_t k = 0; k < checks->n_groups && good; k++)
        good = add_group(checks, k, &doc, out, faults);
    document_free(&doc);
    size_t failed = checks_failed(checks);
    text_addf(out, "\n%zu of %zu checks passed.\n", checks->n - failed, checks->n);
    return good && text_ok(out, faults);
}

static bool complain(const struct checks *checks, struct faults *faults)
{
    for (size_t i = 0; i < checks->n; i++) {
        const struct check *check = &checks->items[i];
        if (check_passed(checks, check))
            continue;
        struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(NULL, 0, 0));
        fault_found(fault, "the check '%s' of '%s' failed", check->name,
                    checks->groups[check->group].title);
        fault_hint(fault,
                   "this build does not compute as it should on this machine: build it again with "
                   "plain options (no -ffast-math), and use no result of it until then");
    }
    return checks_failed(checks) == 0;
}

bool selftest_tell(const struct checks *checks, int64_t time_us, struct text *out,
                   struct faults *faults)
{
    return print(checks, time_us, out, faults) && complain(checks, faults);
}

bool cmd_selftest(const struct options *options, struct text *out, struct faults *faults)
{
    (void)options;
    int64_t time_us;
    if (!today(&time_us, faults))
        return false;
    struct checks *checks = malloc(sizeof *checks);
    if (checks == NULL)
        return fault_memory(faults);
    checks_init(checks);
    const char *stated = getenv("TMPDIR");
    const char *temporary = stated != NULL && stated[0] != '\0' ? stated : "/tmp";
    bool good = selftest_run(checks, temporary, faults) &&
                selftest_tell(checks, time_us, out, faults);
    free(checks);
    return good;
}
