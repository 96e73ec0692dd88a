/* A drawn figure inside of a page: the bytes of its SVG as a data: URI.
 */
#ifndef REPORT_HTML_PICTURE_H
#define REPORT_HTML_PICTURE_H

#include "base/faults.h"
#include "base/files.h"
#include "base/text.h"

#include <stdbool.h>

/* Appends ` width="960" height="640"` as the head of ID.svg says; nothing where it says none. Room
 * is then kept before the picture is there.
 * Returns: false with a machine fault if the file cannot be read. */
bool html_picture_size(const struct folder *folder, const char *id, struct text *out,
                       struct faults *faults);

/* Appends "data:image/svg+xml;base64,..." of ID.svg in the open folder, piece by piece: a drained
 * text holds no whole picture.
 * Returns: false with a machine fault if the file cannot be read. */
bool html_picture(const struct folder *folder, const char *id, struct text *out,
                  struct faults *faults);

#endif
