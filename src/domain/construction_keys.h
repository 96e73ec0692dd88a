/* What the files of construction.h share: its sections, each with its schema and its place in the
 * struct.
 */
#ifndef DOMAIN_CONSTRUCTION_KEYS_H
#define DOMAIN_CONSTRUCTION_KEYS_H

#include "domain/construction.h"

struct construction_section {
    const struct schema *schema;
    size_t offset;        /* of its keys in struct construction, which begin with `given`, `head` */
    const char *main_key; /* of construction_change; NULL: a change must name one */
};

extern const struct construction_section construction_sections[CONSTRUCTION_SECTIONS];

/* The head of every struct of keys. */
struct keys_head {
    bool given;
    struct place head;
};

/* Checks the keys of all sections against each other. */
bool construction_check(const struct construction *construction, const struct collector *collector,
                        const char *file, struct faults *faults);

#endif
