#include "point/means_list.h"

#include <stdlib.h>
#include <string.h>

void means_list_init(struct means_list *list)
{
    memset(list, 0, sizeof *list);
}

void means_list_free(struct means_list *list)
{
    free(list->items);
    means_list_init(list);
}

bool means_list_add(struct means_list *list, const struct means *means, struct faults *faults)
{
    if (list->n == list->capacity) {
        size_t capacity = list->capacity == 0 ? 32 : 2 * list->capacity;
        struct means *items = realloc(list->items, capacity * sizeof *items);
        if (items == NULL)
            return fault_memory(faults);
        list->items = items;
        list->capacity = capacity;
    }
    list->items[list->n++] = *means;
    return true;
}
