/* What the files of error_expand.h share. */
#ifndef DOMAIN_ERROR_ROWS_H
#define DOMAIN_ERROR_ROWS_H

#include "domain/error_expand.h"

struct expansion {
    const struct instrument *instruments;
    size_t n;
    struct error_registry *registry;
    const char *file;
    struct faults *faults;
};

/* Cut where it does not fit, at a character; the parts are bounded by a line of the description. */
void error_print(char *out, size_t size, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* The rows that are no instrument's. Return: false when memory is short. */
bool expand_pipe(const struct expansion *expansion, const struct pipe *pipe);
bool expand_area(const struct expansion *expansion, const struct collector *collector);
bool expand_capacity(const struct expansion *expansion, const struct collector *collector);
bool expand_fluid(const struct expansion *expansion, const struct fluid_choice *choice,
                  const struct fluid *fluid);

#endif
