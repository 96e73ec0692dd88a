/* Recode: bytes of another encoding -> UTF-8, by iconv. Bytes that are no character become U+FFFD,
 * so that a reading with one is not taken for a number. It is given bytes and gives bytes; where
 * they come from is a matter of ingest/source.h.
 */
#ifndef INGEST_RECODE_H
#define INGEST_RECODE_H

#include "base/faults.h"
#include "ingest/encoding.h"

#include <stdbool.h>
#include <stddef.h>

struct recode;

/* In:      head, n  the file's first bytes, already read; 16 KiB at most. A byte order mark is
 *                   dropped
 *          path     for faults
 * Returns: NULL with a machine fault (out of memory, or this system's iconv lacks the encoding). */
struct recode *recode_new(enum encoding encoding, const char *head, size_t n, const char *path,
                          struct faults *faults);

/* Out:     n  bytes put into out, at most room (> 3); 0 at the end, or if it needs more
 * Returns: false if it needs more of the file's bytes first: recode_room, recode_feed. */
bool recode_take(struct recode *recode, char *out, size_t room, size_t *n);

/* Out:     room  for the file's next bytes
 * Returns: where they go */
char *recode_room(struct recode *recode, size_t *room);

/* So many were put there; 0: the file has no more. */
void recode_feed(struct recode *recode, size_t n);

/* A text that is no UTF-8, taken as Windows-1252 (which holds the printable part of Latin-1): n
 * bytes -> UTF-8 with NUL. out holds 3 n + 1 bytes. */
void recode_text(const char *bytes, size_t n, char *out);

void recode_free(struct recode *recode); /* NULL is fine */

#endif
