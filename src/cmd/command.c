#include "cmd/command.h"

#include "base/version.h"
#include "report/wrap.h"
#include "study/compare.h"

#include <stdio.h>

static const struct command commands[] = {
    {"demo", "DIR", 1, 1, "write a complete small test (logs, descriptions) into a new folder",
     "Two plates side by side on one rack, and a homemade rig with a heated bucket. All of it is\n"
     "invented. Go on with: etabench reduce DIR/plate-a.txt\n",
     cmd_demo},
    {"draft", "[LOG...]", 0, -1, "show what is understood of a log and write a description for it",
     "The description is written beside the log (LOG without its ending, .txt) and is never\n"
     "overwritten; places to fill in are marked FILL IN. With --points: a blank points table\n"
     "(points.csv) and a page to print (points.html).\n",
     cmd_draft},
    {"check", "TEST", 1, 1, "judge a test's log: channels, windows, what was refused and why",
     "Writes a folder (by default the description's name with .check) with a timeline, the\n"
     "windows and the refused stretches. Ends with 0 whenever the log could be judged.\n",
     cmd_check},
    {"reduce", "TEST", 1, 1, "the main job: every run of the description becomes results",
     "Writes a folder (by default the description's name with .results); an earlier one of ours\n"
     "is kept as .results.old. With --verify it ends with 0 if every number of the kept result is\n"
     "the same, with 4 if not. Caution: an idle glazed collector can pass 150-200 degC; never fill\n"
     "a hot, empty one with cold water.\n",
     cmd_reduce},
    {"compare", "TEST...", 1, COMPARE_MOST,
     "two collectors or more: what is the difference, and is it real",
     "The others are held against the first. Errors of instruments with the same 'id', and of one\n"
     "column of one file, are shared and cancel as far as they do. Writes a folder (by default the\n"
     "first description's name with .compare).\n",
     cmd_compare},
    {"predict", "TEST", 1, 1, "what the construction should give, beside what was measured",
     "Needs the sections [cover], [absorber], [tubes], [bond] and [back] of the description. Writes\n"
     "a folder (by default the description's name with .predict): curve and losses as built, beside\n"
     "those measured and what would explain a difference; how hot the idle absorber gets, against\n"
     "what its materials stand. --change shows what another part would do, and may be repeated.\n"
     "Caution: an idle glazed collector can pass 150-200 degC; never fill a hot, empty one.\n",
     cmd_predict},
    {"plan", "TEST", 1, 1, "what to measure or check next, also before the first day",
     "Says how well one answer is known, by how much each addition would narrow it (windows at an\n"
     "inlet temperature, a check of the instruments, a better one), and what stays however many\n"
     "points are taken. Works with a description alone, and with readings so far. Writes a folder (by\n"
     "default the description's name with .plan). Caution: hot water scalds, an idle collector can\n"
     "pass 150-200 degC; local codes and a licensed practitioner have the last word.\n",
     cmd_plan},
    {"selftest", "", 0, 0, "check this very program against published numbers",
     "Certified regressions, intervals of another program, water, and the demo's known truth: what\n"
     "was expected, what came out, how far they agree, whether that is enough. Dated by the clock,\n"
     "or by SOURCE_DATE_EPOCH. Works in a folder of its own below TMPDIR (/tmp) and takes it away.\n"
     "Ends with 5 if a check fails.\n",
     cmd_selftest},
};
enum { COMMANDS = sizeof commands / sizeof commands[0], SUMMARY_COLUMN = 23 };

const struct command *commands_table(size_t *n)
{
    *n = COMMANDS;
    return commands;
}

const struct command *command_find(const char *name)
{
    for (int i = 0; i < COMMANDS; i++)
        if (text_same(commands[i].name, name))
            return &commands[i];
    return NULL;
}

static void program_help(struct text *out)
{
    text_add(out, "usage: etabench COMMAND [OPTION...] ...\n\n"
                  "From a solar collector test's log to an efficiency curve with honest bands.\n\n");
    for (int i = 0; i < COMMANDS; i++) {
        char left[32];
        snprintf(left, sizeof left, "%s %s", commands[i].name, commands[i].operands);
        char head[48];
        snprintf(head, sizeof head, "  %-20s ", left);
        wrap_add(out, head, SUMMARY_COLUMN, 0, commands[i].summary);
    }
    text_add(out, "\n'etabench COMMAND --help' says more; 'etabench --version' the licence.\n\n"
                  "Exit status: 0 done; 2 wrong usage; 3 an input is wrong; 4 the data cannot give\n"
                  "a result that was asked for, or a kept one differs; 5 the machine could not.\n\n"
                  "A result is no certification. Hot surfaces, steam, glass, work at height, mains\n"
                  "near water: local codes and a licensed practitioner have the last word.\n");
}

/* Wherever its lines end in the table above. */
static void add_paragraph(const char *words, struct text *out)
{
    struct text line = {0};
    for (; *words != '\0'; words++)
        text_add_bytes(&line, *words == '\n' ? " " : words, 1);
    wrap_add(out, "", 0, 0, text_string(&line));
    text_fail_with(out, &line);
    text_free(&line);
}

void command_help(const struct command *command, struct text *out)
{
    if (command == NULL) {
        program_help(out);
        return;
    }
    text_addf(out, "usage: etabench %s [OPTION...]%s%s\n\n%s.\n\n", command->name,
              command->operands[0] == '\0' ? "" : " ", command->operands, command->summary);
    add_paragraph(command->more, out);
    text_add(out, "\n");
    options_help(command->name, out);
}

static void version(struct text *out)
{
    text_addf(out,
              "etabench %s\n"
              "Copyright (C) 2026 the etabench authors. Licence GPL-3.0-or-later:\n"
              "<https://www.gnu.org/licenses/gpl-3.0.html>. There is NO WARRANTY, to the extent\n"
              "permitted by law.\n",
              ETABENCH_VERSION);
}

static bool unknown(const char *word, struct faults *faults)
{
    const char *names[COMMANDS];
    for (int i = 0; i < COMMANDS; i++)
        names[i] = commands[i].name;
    const char *nearest = text_nearest(word, names, COMMANDS);
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
    fault_found(fault, "'%s' is not a command", word);
    if (nearest != NULL)
        fault_hint(fault, "did you mean 'etabench %s'?", nearest);
    else
        fault_hint(fault, "'etabench --help' lists the commands");
    return false;
}

static bool operands_fit(const struct command *command, const struct options *options,
                         struct faults *faults)
{
    bool few = options->n_operands < command->least_operands;
    bool many = command->most_operands >= 0 && options->n_operands > command->most_operands;
    bool empty = false;
    for (int i = 0; i < options->n_operands; i++)
        empty = empty || options->operands[i][0] == '\0';
    if (!few && !many && !empty)
        return true;
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
    if (few)
        fault_found(fault, "'%s' needs %s", command->name, command->operands);
    else if (empty)
        fault_found(fault, "a name given to '%s' is empty", command->name);
    else
        fault_found(fault, "'%s' is one name too many for '%s' (a name with blanks needs quotes)",
                    options->operands[command->most_operands], command->name);
    fault_hint(fault, "usage: etabench %s [OPTION...]%s%s; 'etabench %s --help' says more",
               command->name, command->operands[0] == '\0' ? "" : " ", command->operands,
               command->name);
    return false;
}

bool command_line(int argc, char **argv, struct text *out, struct faults *faults)
{
    if (argc < 2) {
        struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
        fault_found(fault, "no command");
        fault_hint(fault, "'etabench --help' lists them; 'etabench demo DIR' is a good start");
        return false;
    }
    if (text_same(argv[1], "--version")) {
        version(out);
        return true;
    }
    if (text_same(argv[1], "--help") || text_same(argv[1], "-h") || text_same(argv[1], "help")) {
        program_help(out);
        return true;
    }
    const struct command *command = command_find(argv[1]);
    struct options options;
    if (command == NULL)
        return unknown(argv[1], faults);
    if (!options_read(command->name, argc - 1, argv + 1, &options, faults))
        return false;
    if (options.help) {
        command_help(command, out);
        return true;
    }
    return operands_fit(command, &options, faults) && command->run(&options, out, faults);
}
