/* Libraries: the versions of those on which the numbers of a result rest, as they run, so that
 * another laboratory that gets another digit can see whether they are the cause.
 */
#ifndef BASE_LIBRARIES_H
#define BASE_LIBRARIES_H

#include "base/text.h"

/* Appends "GSL 2.7.1, ERFA 2.0.0, libcsv 3.0.3, zlib 1.2.13, Nettle 3.8, jansson 2.14". */
void libraries_add(struct text *out);

#endif
