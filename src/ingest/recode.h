/* Recode: bytes of another encoding -> UTF-8, by iconv. Bytes that are no character become U+FFFD,
 * so that a reading with one is not taken for a number.
 */
#ifndef INGEST_RECODE_H
#define INGEST_RECODE_H

#include "ingest/source.h"

/* UTF-16 by its mark, or by NUL bytes at every other place of ASCII text; else ENCODING_AUTOMATIC.
 */
enum encoding recode_guess(const char *bytes, size_t n);

/* Takes the bytes read ahead in source->head as its first ones, without a byte order mark.
 * Returns: NULL with a machine fault (out of memory, or this system's iconv lacks the encoding). */
struct recode *recode_new(struct source *source, enum encoding encoding, struct faults *faults);

/* In, Out, Returns: as source_read. */
bool recode_read(struct recode *recode, struct source *source, char *out, size_t room, size_t *n,
                 struct faults *faults);

/* A text that is no UTF-8, taken as Windows-1252 (which holds the printable part of Latin-1): n
 * bytes -> UTF-8 with NUL. out holds 3 n + 1 bytes. */
void recode_text(const char *bytes, size_t n, char *out);

void recode_free(struct recode *recode); /* NULL is fine */

#endif
