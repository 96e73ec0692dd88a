#include "description/reader.h"

#include "base/text.h"
#include "description/line.h"

#include <ctype.h>
#include <ini.h>
#include <stdlib.h>
#include <string.h>

/* libinih takes " ;" for a comment even inside a value. It is shown this byte instead, which no
 * accepted line holds, and the byte is turned back in what it hands over. */
enum { SEMICOLON_STAND_IN = 0x01 };

struct reading {
    struct description *description;
    struct line_source source;
    const char *const *named;
    size_t n_named;
    bool skip;            /* entries below a refused head */
    bool foreign;         /* libinih handed over something else than it was given */
    struct entry pending; /* the entry that libinih is being shown */
    struct faults *faults;
};

void description_init(struct description *description)
{
    memset(description, 0, sizeof *description);
}

void description_free(struct description *description)
{
    free(description->path);
    free(description->sections);
    free(description->entries);
    description_init(description);
}

const struct section *description_find(const struct description *description, const char *kind)
{
    for (size_t i = 0; i < description->n_sections; i++)
        if (text_same(description->sections[i].kind, kind) &&
            description->sections[i].name[0] == '\0')
            return &description->sections[i];
    return NULL;
}

struct place entry_key_place(const struct description *description, const struct entry *entry)
{
    return fault_at(description->path, entry->line, entry->key_column);
}

struct place entry_value_place(const struct description *description, const struct entry *entry)
{
    return fault_at(description->path, entry->line, entry->value_column);
}

struct place section_place(const struct description *description, const struct section *section)
{
    return fault_at(description->path, section->line, section->column);
}

static struct fault *fault_in_line(const struct reading *reading, const char *line,
                                   const char *where)
{
    struct place at = line_place(reading->description->path, reading->source.line, line, where);
    return fault_new(reading->faults, FAULT_INPUT, at);
}

/* Lower case (ASCII), single blanks inside, outer blanks cut. out holds n + 1 bytes. */
static void fold_name(const char *bytes, size_t n, char *out)
{
    size_t used = 0;
    for (size_t i = 0; i < n; i++) {
        if (line_is_blank(bytes[i])) {
            if (used > 0 && out[used - 1] != ' ')
                out[used++] = ' ';
        } else {
            out[used++] = (char)tolower((unsigned char)bytes[i]);
        }
    }
    while (used > 0 && out[used - 1] == ' ')
        used--;
    out[used] = '\0';
}

static bool is_named(const struct reading *reading, const char *word)
{
    for (size_t i = 0; i < reading->n_named; i++)
        if (text_same(reading->named[i], word))
            return true;
    return false;
}

/* "instrument  Sun" -> kind "instrument", name "Sun"; "Steady  State" -> kind "steady state". */
static void split_head(const struct reading *reading, const char *bytes, size_t n,
                       struct section *section)
{
    size_t word = 0;
    while (word < n && !line_is_blank(bytes[word]))
        word++;
    fold_name(bytes, word, section->kind);
    section->name[0] = '\0';
    if (!is_named(reading, section->kind)) {
        fold_name(bytes, n, section->kind);
        return;
    }
    while (word < n && line_is_blank(bytes[word]))
        word++;
    memcpy(section->name, bytes + word, n - word);
    section->name[n - word] = '\0';
}

static const struct section *find_twin(const struct description *description,
                                       const struct section *section)
{
    for (size_t i = 0; i < description->n_sections; i++)
        if (text_same(description->sections[i].kind, section->kind) &&
            text_same_nocase(description->sections[i].name, section->name))
            return &description->sections[i];
    return NULL;
}

/* Grows an array by one item of zeros. Returns: the item, NULL with a machine fault. */
static void *grow(void **items, size_t *n, size_t size, struct faults *faults)
{
    void *grown = realloc(*items, (*n + 1) * size);
    if (grown == NULL) {
        fault_memory(faults);
        return NULL;
    }
    *items = grown;
    void *item = (char *)grown + *n * size;
    memset(item, 0, size);
    (*n)++;
    return item;
}

static bool add_section(struct reading *reading, const struct section *section)
{
    struct description *description = reading->description;
    void *items = description->sections;
    struct section *added =
        grow(&items, &description->n_sections, sizeof *section, reading->faults);
    description->sections = items;
    if (added == NULL)
        return false;
    *added = *section;
    added->first = description->n_entries;
    return true;
}

/* The text between the brackets, or a fault. */
static bool find_head(struct reading *reading, const char *line, const char **text, size_t *n)
{
    const char *head = *text;
    const char *close = memchr(head, ']', *n);
    if (close == NULL || close + 1 != head + *n) {
        struct fault *fault = fault_in_line(reading, line, close == NULL ? head : close + 1);
        if (close == NULL)
            fault_found(fault, "the section head '%.*s' is not closed by ']'", (int)*n, head);
        else
            fault_found(fault, "'%.*s' follows a section head on its line",
                        (int)(head + *n - close - 1), close + 1);
        fault_expected(fault, "a head alone on its line, such as '[collector]'");
        return false;
    }
    *text = head + 1;
    *n = (size_t)(close - head - 1);
    while (*n > 0 && line_is_blank((*text)[*n - 1]))
        --*n;
    while (*n > 0 && line_is_blank(**text)) {
        ++*text;
        --*n;
    }
    if (*n > 0 && *n <= DESCRIPTION_NAME)
        return true;
    struct fault *fault = fault_in_line(reading, line, *text);
    if (*n == 0)
        fault_found(fault, "the section head is empty");
    else
        fault_found(fault, "the section head '%.*s' is %zu bytes long", (int)*n, *text, *n);
    fault_expected(fault, "1 to %d bytes between the brackets", DESCRIPTION_NAME);
    return false;
}

/* Returns: whether libinih shall see `[text]`. */
static bool take_head(struct reading *reading, const char *line, const char *text, size_t n)
{
    reading->skip = true;
    struct section section = {.line = reading->source.line};
    if (!find_head(reading, line, &text, &n))
        return false;
    section.column = (long)text_characters(line, (size_t)(text - line)) + 1;
    split_head(reading, text, n, &section);
    const struct section *twin = find_twin(reading->description, &section);
    if (twin != NULL) {
        struct fault *fault = fault_in_line(reading, line, text);
        fault_found(fault, "section [%.*s] appears twice", (int)n, text);
        fault_expected(fault, "each section once; the first is on line %ld", twin->line);
        fault_hint(fault, section.name[0] != '\0' ? "give one of them another name"
                                                  : "move its keys into the first");
        return false;
    }
    reading->skip = !add_section(reading, &section);
    return !reading->skip;
}

/* A line with '=' whose left side can be a key. */
static bool check_key(struct reading *reading, const char *line, const char *text, size_t n,
                      const char *equals)
{
    size_t key = equals != NULL ? (size_t)(equals - text) : n;
    const char *colon = memchr(text, ':', key);
    while (key > 0 && line_is_blank(text[key - 1]))
        key--;
    if (equals != NULL && colon == NULL && key > 0 && key <= DESCRIPTION_NAME && *text != ';')
        return true;
    struct fault *fault = fault_in_line(reading, line, text);
    if (*text == ';') {
        fault_found(fault, "';' does not start a comment");
        fault_hint(fault, "write '#' in its place");
    } else if (equals == NULL) {
        fault_found(fault, "'%.*s' is neither a section head, a key with its value nor a comment",
                    (int)n, text);
        fault_expected(fault, "'[section]', 'key = value' or '# comment'");
        if (colon != NULL)
            fault_hint(fault, "write '=' in place of ':'");
    } else if (colon != NULL) {
        fault_found(fault, "the key '%.*s' holds a ':'", (int)key, text);
        fault_hint(fault, "only '=' separates a key from its value");
    } else if (key == 0) {
        fault_found(fault, "there is no key left of the '='");
        fault_expected(fault, "'key = value'");
    } else {
        fault_found(fault, "the key '%.*s' is %zu bytes long", (int)key, text, key);
        fault_expected(fault, "at most %d bytes", DESCRIPTION_NAME);
    }
    return false;
}

/* Returns: whether libinih shall see the pending entry. */
static bool take_entry(struct reading *reading, const char *line, const char *text, size_t n)
{
    const char *equals = memchr(text, '=', n);
    if (!check_key(reading, line, text, n, equals))
        return false;
    if (reading->description->n_sections == 0 && !reading->skip) {
        struct fault *fault = fault_in_line(reading, line, text);
        fault_found(fault, "'%.*s' stands before the first section head", (int)n, text);
        fault_hint(fault, "put the head of its section above it, such as '[collector]'");
        return false;
    }
    if (reading->skip)
        return false;
    const char *value = equals + 1;
    while (value < text + n && line_is_blank(*value))
        value++;
    struct entry *entry = &reading->pending;
    fold_name(text, (size_t)(equals - text), entry->key);
    size_t length = (size_t)(text + n - value);
    memcpy(entry->value, value, length);
    entry->value[length] = '\0';
    entry->line = reading->source.line;
    entry->key_column = (long)text_characters(line, (size_t)(text - line)) + 1;
    entry->value_column = (long)text_characters(line, (size_t)(value - line)) + 1;
    return true;
}

static void swap_bytes(char *string, char from, char to)
{
    for (char *c = string; *c != '\0'; c++)
        if (*c == from)
            *c = to;
}

/* The head that entries now belong to, as libinih is shown it. */
static void add_head(const struct reading *reading, struct text *out)
{
    const struct section *section =
        &reading->description->sections[reading->description->n_sections - 1];
    text_addf(out, "[%s%s%s]", section->kind, section->name[0] != '\0' ? " " : "", section->name);
}

/* Returns: whether the line is to be shown; then `shown` holds it. */
static bool take_content(struct reading *reading, const char *line, size_t n, struct text *shown)
{
    const char *content = line;
    line_cut_comment(&content, &n);
    if (n == 0)
        return false;
    if (n > DESCRIPTION_LINE) {
        struct fault *fault = fault_in_line(reading, line, content);
        fault_found(fault, "the line is %zu bytes long", n);
        fault_expected(fault, "at most %d bytes without its comment", DESCRIPTION_LINE);
        return false;
    }
    text_clear(shown);
    if (*content == '[') {
        if (!take_head(reading, line, content, n))
            return false;
        add_head(reading, shown);
        text_add(shown, "\n");
    } else {
        if (!take_entry(reading, line, content, n))
            return false;
        text_addf(shown, "%s=%s\n", reading->pending.key, reading->pending.value);
    }
    return text_ok(shown, reading->faults);
}

/* libinih's reader: the next line that it may see. */
static char *show_line(char *out, int size, void *stream)
{
    struct reading *reading = stream;
    struct text shown = {0};
    const char *line;
    size_t n;
    char *answer = NULL;
    while (answer == NULL && line_take(&reading->source, &line, &n)) {
        if (!take_content(reading, line, n, &shown))
            continue;
        if (shown.length >= (size_t)size) {
            reading->foreign = true;
            break;
        }
        swap_bytes(shown.bytes, ';', SEMICOLON_STAND_IN);
        answer = memcpy(out, shown.bytes, shown.length + 1);
    }
    text_free(&shown);
    return answer;
}

/* Whether `theirs` is ours with the stand-in. */
static bool is_shown(const char *theirs, const char *ours)
{
    for (; *theirs != '\0' && *ours != '\0'; theirs++, ours++)
        if (*theirs != (*ours == ';' ? SEMICOLON_STAND_IN : *ours))
            return false;
    return *theirs == *ours;
}

/* Whether libinih counts the pending entry to the section that it stands in. */
static bool same_section(const struct reading *reading, const char *theirs)
{
    struct text ours = {0};
    add_head(reading, &ours);
    bool same = !ours.failed && ours.length >= 2;
    if (same) {
        ours.bytes[ours.length - 1] = '\0';
        same = is_shown(theirs, ours.bytes + 1);
    }
    text_free(&ours);
    return same;
}

/* libinih's handler. What it hands over must be what it was shown. Returns: 0 to report an
 * error. */
static int take_pair(void *user, const char *section, const char *key, const char *value)
{
    struct reading *reading = user;
    struct description *description = reading->description;
    if (!same_section(reading, section) || !is_shown(key, reading->pending.key) ||
        !is_shown(value, reading->pending.value)) {
        reading->foreign = true;
        return 0;
    }
    void *items = description->entries;
    struct entry *entry = grow(&items, &description->n_entries, sizeof *entry, reading->faults);
    description->entries = items;
    if (entry == NULL)
        return 0;
    *entry = reading->pending;
    description->sections[description->n_sections - 1].n++;
    return 1;
}

static bool read_lines(struct reading *reading)
{
    size_t before = faults_errors(reading->faults);
    int status = ini_parse_stream(show_line, reading, take_pair, reading);
    if ((status != 0 || reading->foreign) && faults_errors(reading->faults) == before) {
        struct place at = fault_at(reading->description->path, reading->source.line, 0);
        struct fault *fault = fault_new(reading->faults, FAULT_MACHINE, at);
        fault_found(fault, "the INI library did not give back the line that it was shown");
        fault_hint(fault, "please report this with the description");
    }
    return faults_errors(reading->faults) == before && !reading->foreign;
}

static void take_hash(struct description *description, const char *bytes, size_t n)
{
    struct hash hash;
    hash_start(&hash);
    hash_feed(&hash, bytes, n);
    hash_end(&hash, description->sha256);
}

bool description_parse(struct description *description, const char *path, const char *bytes,
                       size_t n, const char *const *named, size_t n_named, struct faults *faults)
{
    description_free(description);
    description->path = text_copy(path, faults);
    if (description->path == NULL)
        return false;
    take_hash(description, bytes, n);
    struct reading reading = {.description = description,
                              .source = line_source_of(bytes, n),
                              .named = named,
                              .n_named = n_named,
                              .faults = faults};
    description->whole =
        line_check_text(reading.source, description->path, faults) && read_lines(&reading);
    return description->whole;
}
