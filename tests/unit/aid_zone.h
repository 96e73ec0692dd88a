/* Aid for tests of zones: names out of the system's time-zone database, chosen by rule, not by
 * place.
 */
#ifndef TESTS_AID_ZONE_H
#define TESTS_AID_ZONE_H

#include "base/zone.h"

#include <stdbool.h>
#include <stddef.h>

#define AID_ZONES_FOLDER "/usr/share/zoneinfo"

enum { AID_ZONES_MAX = 1000 };

struct aid_zones {
    size_t n;
    char name[AID_ZONES_MAX][ZONE_NAME_SIZE];
};

/* Every zone of the database's own table. */
void aid_zones_list(struct aid_zones *zones);

/* The first of them whose file ends in this rule. Returns: false if none does. */
bool aid_zone_of_rule(const char *rule, char name[ZONE_NAME_SIZE]);

#endif
