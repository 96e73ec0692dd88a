#include "base/windows_path.h"

#include "base/text.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void exchange(char *text, char from, char to)
{
    for (; *text != '\0'; text++)
        if (*text == from)
            *text = to;
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

struct windows_host windows_host(const char *version, const char *name)
{
    struct windows_host host = {.known = strcasestr(version, "microsoft") != NULL};
    if (host.known && name != NULL && strlen(name) < sizeof host.name)
        strcpy(host.name, name);
    return host;
}

struct windows_host windows_host_here(void)
{
    char version[256] = "";
    FILE *file = fopen("/proc/version", "re");
    if (file != NULL && fgets(version, sizeof version, file) == NULL)
        version[0] = '\0';
    if (file != NULL)
        fclose(file);
    return windows_host(version, getenv("WSL_DISTRO_NAME"));
}

char *windows_to_linux(const char *text, struct faults *faults)
{
    bool drive = is_letter(text[0]) && text[1] == ':' && (text[2] == '\\' || text[2] == '/');
    if (!drive && strchr(text, '\\') == NULL)
        return NULL;
    char *path = drive ? text_copyf(faults, "/mnt/%c%s", tolower((unsigned char)text[0]), text + 2)
                       : text_copy(text, faults);
    if (path != NULL)
        exchange(path, '\\', '/');
    return path;
}

/* "/mnt/c" and "/mnt/c/..." */
static bool on_drive(const char *path)
{
    return text_starts(path, "/mnt/") && is_letter(path[5]) && (path[6] == '/' || path[6] == '\0');
}

char *windows_from_linux(const struct windows_host *host, const char *folder, const char *path,
                         struct faults *faults)
{
    char *whole =
        path[0] == '/' ? text_copy(path, faults) : text_copyf(faults, "%s/%s", folder, path);
    if (whole == NULL)
        return NULL;
    char *seen = NULL;
    if (on_drive(whole))
        seen = text_copyf(faults, "%c:%s", toupper((unsigned char)whole[5]),
                          whole[6] == '\0' ? "/" : whole + 6);
    else if (host->name[0] != '\0')
        seen = text_copyf(faults, "\\\\wsl.localhost\\%s%s", host->name, whole);
    free(whole);
    if (seen != NULL)
        exchange(seen, '/', '\\');
    return seen;
}
