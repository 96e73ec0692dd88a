#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "tests/unit/aid_zone.h"

#include <stdio.h>
#include <string.h>

void aid_zones_list(struct aid_zones *zones)
{
    char line[500];
    zones->n = 0;
    FILE *file = fopen(AID_ZONES_FOLDER "/zone1970.tab", "re");
    assert_non_null(file);
    while (fgets(line, sizeof line, file) != NULL && zones->n < AID_ZONES_MAX)
        if (line[0] != '#' && sscanf(line, "%*s %*s %63s", zones->name[zones->n]) == 1)
            zones->n++;
    fclose(file);
}

static bool ends_in(const char *name, const char *rule)
{
    char path[200];
    char line[500];
    char last[500] = "";
    snprintf(path, sizeof path, AID_ZONES_FOLDER "/%s", name);
    FILE *file = fopen(path, "re");
    if (file == NULL)
        return false;
    while (fgets(line, sizeof line, file) != NULL)
        strcpy(last, line);
    fclose(file);
    last[strcspn(last, "\n")] = '\0';
    return strcmp(last, rule) == 0;
}

bool aid_zone_of_rule(const char *rule, char name[ZONE_NAME_SIZE])
{
    static struct aid_zones zones;
    aid_zones_list(&zones);
    for (size_t i = 0; i < zones.n; i++)
        if (ends_in(zones.name[i], rule)) {
            strcpy(name, zones.name[i]);
            return true;
        }
    return false;
}
