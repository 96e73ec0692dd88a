/* Files of the time-zone database: "TZif", RFC 9636, versions 1 to 4. */
#include "base/files.h"
#include "base/text.h"
#include "base/zone.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { HEADER = 44, FILE_MOST = 1 << 20, TYPE = 6 };

/* Years 1 to 9999, which the calendar knows. */
#define EARLIEST_S INT64_C(-62135596800)
#define LATEST_S INT64_C(253402300799)

/* What is left to be read; a read past the end clears `good`. */
struct bytes {
    const unsigned char *at;
    size_t n;
    bool good;
};

static const unsigned char *take(struct bytes *bytes, size_t n)
{
    static const unsigned char nothing[HEADER] = {0};
    if (!bytes->good || n > bytes->n) {
        bytes->good = false;
        return nothing;
    }
    const unsigned char *at = bytes->at;
    bytes->at += n;
    bytes->n -= n;
    return at;
}

/* A big-endian number of 4 or 8 bytes in two's complement. */
static int64_t number_at(const unsigned char *at, size_t width)
{
    uint64_t sum = (at[0] & 0x80U) != 0 ? UINT64_MAX : 0;
    for (size_t i = 0; i < width; i++)
        sum = sum << 8 | at[i];
    int64_t value;
    memcpy(&value, &sum, sizeof value);
    return value;
}

struct counts {
    char version;
    size_t utc, standard, leaps, times, types, letters;
};

static bool take_header(struct bytes *bytes, struct counts *counts)
{
    const unsigned char *at = take(bytes, HEADER);
    size_t count[6];
    for (size_t i = 0; i < 6; i++) {
        int64_t number = number_at(at + 20 + 4 * i, 4);
        if (number < 0 || number > FILE_MOST)
            return false;
        count[i] = (size_t)number;
    }
    *counts = (struct counts){(char)at[4], count[0], count[1], count[2],
                              count[3],    count[4], count[5]};
    return bytes->good && memcmp(at, "TZif", 4) == 0 && counts->types > 0;
}

static size_t rest_size(const struct counts *counts, size_t width)
{
    return counts->letters + counts->leaps * (width + 4) + counts->standard + counts->utc;
}

static bool offset_at(const unsigned char *types, size_t type, int64_t *offset_s)
{
    *offset_s = number_at(types + TYPE * type, 4);
    return *offset_s >= -ZONE_MOST_S && *offset_s <= ZONE_MOST_S;
}

/* Leap seconds are none of a clock's in a log. */
static bool take_changes(struct bytes *bytes, const struct counts *counts, size_t width,
                         struct zone *zone, bool *memory)
{
    const unsigned char *times = take(bytes, counts->times * width);
    const unsigned char *type = take(bytes, counts->times);
    const unsigned char *types = take(bytes, counts->types * TYPE);
    take(bytes, rest_size(counts, width));
    if (!bytes->good || counts->leaps > 0 || !offset_at(types, 0, &zone->offset_s))
        return false;
    for (size_t i = 0; i < counts->times; i++) {
        int64_t at_s = number_at(times + i * width, width);
        int64_t offset_s;
        if (type[i] >= counts->types || !offset_at(types, type[i], &offset_s) || at_s > LATEST_S)
            return false;
        if (at_s < EARLIEST_S) /* some files begin with the beginning of the world */
            zone->offset_s = offset_s;
        else if (!zone_add(zone, at_s, offset_s, memory))
            return false;
    }
    return true;
}

/* The rule stands between two ends of line; an empty one says nothing. */
static bool take_rule(struct bytes *bytes, struct zone *zone, bool *memory)
{
    char rule[128];
    const unsigned char *end = bytes->n > 1 ? memchr(bytes->at + 1, '\n', bytes->n - 1) : NULL;
    if (end == NULL || *bytes->at != '\n' || (size_t)(end - bytes->at) > sizeof rule)
        return false;
    size_t n = (size_t)(end - bytes->at - 1);
    memcpy(rule, bytes->at + 1, n);
    rule[n] = '\0';
    return n == 0 || zone_follow_rule(zone, rule, memory);
}

/* The first part holds 4-byte times; from version 2 on a second one has all in 8 bytes. */
static bool read_bytes(struct zone *zone, const struct text *text, bool *memory)
{
    struct bytes bytes = {(const unsigned char *)text_string(text), text->length, true};
    struct counts counts;
    if (!take_header(&bytes, &counts))
        return false;
    if (counts.version == '\0')
        return take_changes(&bytes, &counts, 4, zone, memory);
    take(&bytes, counts.times * 5 + counts.types * TYPE + rest_size(&counts, 4));
    return take_header(&bytes, &counts) && take_changes(&bytes, &counts, 8, zone, memory) &&
           take_rule(&bytes, zone, memory);
}

static const char *find_folder(void)
{
    static const char *const folders[] = {"/usr/share/zoneinfo", "/usr/lib/zoneinfo",
                                          "/usr/share/lib/zoneinfo", "/etc/zoneinfo"};
    for (size_t i = 0; i < sizeof folders / sizeof folders[0]; i++)
        if (file_exists(folders[i]))
            return folders[i];
    return NULL;
}

/* Letters, digits, _ + - and single inner slashes: nothing that leaves the folder. */
static bool is_name(const char *name)
{
    static const char *const letters =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_+-/";
    size_t n = strlen(name);
    return n > 0 && n < ZONE_NAME_SIZE && strspn(name, letters) == n && name[0] != '/' &&
           name[n - 1] != '/' && strstr(name, "//") == NULL;
}

/* Returns: NULL, or why a name that the folder may hold is not to be used. */
static const char *why_not(const char *name)
{
    if (text_starts(name, "Etc/GMT") && strpbrk(name, "+-") != NULL)
        return "counts its offset westward, so that its sign misleads";
    if (text_same(name, "localtime") || text_same(name, "posixrules"))
        return "is the zone of the machine on which it is read";
    if (text_same(name, "Factory"))
        return "is the zone of a machine that was never set up";
    if (text_starts(name, "right/"))
        return "counts leap seconds, which no logger does";
    return NULL;
}

static bool refuse(const char *name, const char *why, struct place at, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "zone '%s' %s", name, why);
    fault_expected(fault, "a fixed offset such as 'UTC+1', or a name of the time-zone database");
    return false;
}

static bool refuse_unknown(const char *folder, const char *name, struct place at,
                           struct faults *faults)
{
    char near[ZONE_NAME_SIZE];
    struct fault *fault = fault_new(faults, FAULT_INPUT, at);
    fault_found(fault, "zone '%s' is not in the time-zone database (%s)", name, folder);
    fault_expected(fault, "a fixed offset such as 'UTC', 'UTC+1' or 'UTC-3:30', a name of that "
                          "database, or 'in stamp'");
    if (zone_nearest(folder, name, near) != NULL)
        fault_hint(fault, "did you mean '%s'? names are compared letter for letter", near);
    else
        fault_hint(fault, "the names are those of the files in %s", folder);
    return false;
}

static bool no_database(const char *name, struct place at, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_MACHINE, at);
    fault_found(fault, "there is no time-zone database on this machine to look up '%s'", name);
    fault_hint(fault, "install it (Debian: tzdata), or state the clock's fixed offset, such as "
                      "'UTC+1'");
    return false;
}

/* "# version 2025b" on the first line of its source; nothing where that is not installed. */
static void read_edition(struct zone *zone, const char *folder)
{
    char path[512];
    char line[64] = "";
    snprintf(path, sizeof path, "%s/tzdata.zi", folder);
    FILE *file = fopen(path, "re");
    if (file == NULL)
        return;
    if (fgets(line, sizeof line, file) == NULL ||
        sscanf(line, "# version %15[0-9a-z]", zone->database) != 1)
        zone->database[0] = '\0';
    fclose(file);
}

static bool read_file(struct zone *zone, const char *path, const char *name, struct place at,
                      struct faults *faults)
{
    struct text text = {0};
    bool memory = false;
    bool read = file_read(path, FILE_MOST, &text, faults);
    bool good = read && read_bytes(zone, &text, &memory);
    text_free(&text);
    if (memory)
        return fault_memory(faults);
    if (read && !good)
        return refuse(name, "has a file in the time-zone database that cannot be read", at, faults);
    return good;
}

bool zone_read(struct zone *zone, const char *folder, const char *name, struct place at,
               struct faults *faults)
{
    struct stat status;
    char path[512];
    zone_fixed(zone, 0);
    if (folder == NULL)
        folder = find_folder();
    if (why_not(name) != NULL)
        return refuse(name, why_not(name), at, faults);
    if (folder == NULL)
        return no_database(name, at, faults);
    bool named = is_name(name) && (size_t)snprintf(path, sizeof path, "%s/%s", folder, name) <
                                      sizeof path;
    if (!named || stat(path, &status) != 0 || !S_ISREG(status.st_mode))
        return refuse_unknown(folder, name, at, faults);
    if (!read_file(zone, path, name, at, faults)) {
        zone_free(zone);
        return false;
    }
    strcpy(zone->name, name);
    read_edition(zone, folder);
    return true;
}
