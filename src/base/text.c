#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { NEAREST_LONGEST = 64, DRAIN_BYTES = 32 * 1024 };

void text_init(struct text *text)
{
    memset(text, 0, sizeof *text);
}

void text_free(struct text *text)
{
    free(text->bytes);
    text_init(text);
}

void text_clear(struct text *text)
{
    text->length = 0;
    text->failed = text->refused = false;
    if (text->bytes != NULL)
        text->bytes[0] = '\0';
}

/* Room for n more bytes and the closing NUL. */
static bool reserve(struct text *text, size_t n)
{
    if (text->failed)
        return false;
    size_t needed = text->length + n + 1;
    if (needed <= text->capacity)
        return true;
    size_t capacity = text->capacity < 64 ? 64 : text->capacity;
    while (capacity < needed)
        capacity *= 2;
    char *bytes = realloc(text->bytes, capacity);
    if (bytes == NULL) {
        text->failed = true;
        return false;
    }
    text->bytes = bytes;
    text->capacity = capacity;
    return true;
}

void text_drain(struct text *text, text_taker *take, void *state)
{
    text->take = take;
    text->taker = state;
}

void text_flush(struct text *text)
{
    if (text->take == NULL || text->failed || text->length == 0)
        return;
    if (!text->take(text->taker, text->bytes, text->length))
        text->failed = text->refused = true;
    text->length = 0;
    text->bytes[0] = '\0';
}

/* Hands on at a line's end only: a writer may still cut blanks off the line in progress. */
static void drain_full(struct text *text)
{
    if (text->take != NULL && text->length >= DRAIN_BYTES && text->bytes[text->length - 1] == '\n')
        text_flush(text);
}

void text_add_bytes(struct text *text, const char *bytes, size_t n)
{
    if (!reserve(text, n))
        return;
    if (n > 0)
        memcpy(text->bytes + text->length, bytes, n);
    text->length += n;
    text->bytes[text->length] = '\0';
    drain_full(text);
}

void text_add(struct text *text, const char *string)
{
    text_add_bytes(text, string, strlen(string));
}

static void add_args(struct text *text, const char *format, va_list args)
{
    va_list again;
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, format, again);
    va_end(again);
    if (n < 0) {
        text->failed = true;
        return;
    }
    if (!reserve(text, (size_t)n))
        return;
    vsnprintf(text->bytes + text->length, (size_t)n + 1, format, args);
    text->length += (size_t)n;
    drain_full(text);
}

void text_addf(struct text *text, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    add_args(text, format, args);
    va_end(args);
}

const char *text_string(const struct text *text)
{
    return text->bytes == NULL ? "" : text->bytes;
}

bool text_ok(const struct text *text, struct faults *faults)
{
    if (text->failed && !text->refused)
        fault_memory(faults);
    return !text->failed;
}

void text_fail_with(struct text *out, const struct text *part)
{
    out->failed = out->failed || part->failed;
}

char *text_copy(const char *string, struct faults *faults)
{
    char *copy = strdup(string);
    if (copy == NULL)
        fault_memory(faults);
    return copy;
}

char *text_copyf(struct faults *faults, const char *format, ...)
{
    struct text text = {0};
    va_list args;
    va_start(args, format);
    add_args(&text, format, args);
    va_end(args);
    if (!text_ok(&text, faults)) {
        text_free(&text);
        return NULL;
    }
    if (text.bytes == NULL)
        return text_copy("", faults);
    return text.bytes;
}

size_t text_characters(const char *bytes, size_t n)
{
    size_t count = 0;
    for (size_t i = 0; i < n && bytes[i] != '\0'; i++)
        count += ((unsigned char)bytes[i] & 0xC0U) != 0x80U;
    return count;
}

/* Length of the well-formed sequence at s (RFC 3629: no overlong form, no surrogate), 0 if none. */
static size_t sequence(const unsigned char *s, size_t left)
{
    if (s[0] < 0x80)
        return 1;
    size_t n = s[0] >= 0xF0 ? 4 : s[0] >= 0xE0 ? 3 : 2;
    if (s[0] < 0xC2 || s[0] > 0xF4 || n > left)
        return 0;
    for (size_t i = 1; i < n; i++)
        if ((s[i] & 0xC0U) != 0x80U)
            return 0;
    bool overlong = (s[0] == 0xE0 && s[1] < 0xA0) || (s[0] == 0xF0 && s[1] < 0x90);
    bool surrogate = s[0] == 0xED && s[1] >= 0xA0;
    bool beyond = s[0] == 0xF4 && s[1] >= 0x90;
    return overlong || surrogate || beyond ? 0 : n;
}

bool text_is_utf8(const char *bytes, size_t n)
{
    for (size_t i = 0; i < n;) {
        size_t step = sequence((const unsigned char *)bytes + i, n - i);
        if (step == 0)
            return false;
        i += step;
    }
    return true;
}

char *text_trim(char *string)
{
    while (*string == ' ' || *string == '\t')
        string++;
    size_t n = strlen(string);
    while (n > 0 && (string[n - 1] == ' ' || string[n - 1] == '\t'))
        n--;
    string[n] = '\0';
    return string;
}

bool text_same(const char *a, const char *b)
{
    return strcmp(a, b) == 0;
}

/* Not tolower(): it would obey a locale. */
static int fold(char c)
{
    return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : (unsigned char)c;
}

bool text_same_nocase(const char *a, const char *b)
{
    while (*a != '\0' && fold(*a) == fold(*b)) {
        a++;
        b++;
    }
    return *a == *b;
}

bool text_starts(const char *string, const char *head)
{
    return strncmp(string, head, strlen(head)) == 0;
}

static size_t least(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Levenshtein distance of two short words, ASCII case ignored. */
static size_t distance(const char *a, const char *b)
{
    size_t row[NEAREST_LONGEST + 1];
    size_t n = strlen(b);
    for (size_t j = 0; j <= n; j++)
        row[j] = j;
    for (size_t i = 1; a[i - 1] != '\0'; i++) {
        size_t diagonal = row[0];
        row[0] = i;
        for (size_t j = 1; j <= n; j++) {
            size_t change = diagonal + (fold(a[i - 1]) != fold(b[j - 1]));
            diagonal = row[j];
            row[j] = least(change, least(row[j] + 1, row[j - 1] + 1));
        }
    }
    return row[n];
}

const char *text_nearest(const char *word, const char *const *names, size_t n)
{
    size_t length = strlen(word);
    if (length > NEAREST_LONGEST)
        return NULL;
    size_t best = length <= 4 ? 1 : length <= 8 ? 2 : 3;
    const char *nearest = NULL;
    for (size_t i = 0; i < n; i++) {
        if (strlen(names[i]) > NEAREST_LONGEST)
            continue;
        size_t d = distance(word, names[i]);
        if (d < best || (d == best && nearest == NULL)) {
            best = d;
            nearest = names[i];
        }
    }
    return nearest;
}
