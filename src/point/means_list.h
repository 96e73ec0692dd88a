/* A growing list of means: the windows of a log, or the rows of points tables.
 */
#ifndef POINT_MEANS_LIST_H
#define POINT_MEANS_LIST_H

#include "base/faults.h"
#include "domain/means.h"

#include <stdbool.h>
#include <stddef.h>

struct means_list {
    struct means *items;
    size_t n;
    size_t capacity;
};

void means_list_init(struct means_list *list);
void means_list_free(struct means_list *list);
bool means_list_add(struct means_list *list, const struct means *means, struct faults *faults);

#endif
