#include "ingest/encoding.h"

#include <string.h>

const char *encoding_name(enum encoding encoding)
{
    static const char *const names[ENCODINGS] = {
        [ENCODING_AUTOMATIC] = "automatic", [ENCODING_UTF_8] = "UTF-8",
        [ENCODING_UTF_16LE] = "UTF-16LE",   [ENCODING_UTF_16BE] = "UTF-16BE",
        [ENCODING_LATIN_1] = "Latin-1",     [ENCODING_WINDOWS_1252] = "Windows-1252",
        [ENCODING_CP850] = "CP850",
    };
    return names[encoding];
}

bool encoding_is_utf_16(enum encoding encoding)
{
    return encoding == ENCODING_UTF_16LE || encoding == ENCODING_UTF_16BE;
}

/* The head's pairs of bytes: in one order's ASCII text nearly all have a NUL on the same side. */
enum encoding encoding_guess(const char *bytes, size_t n)
{
    size_t nul[2] = {0, 0};
    size_t pairs = n / 2;
    if (n >= 2 && memcmp(bytes, "\xFF\xFE", 2) == 0)
        return ENCODING_UTF_16LE;
    if (n >= 2 && memcmp(bytes, "\xFE\xFF", 2) == 0)
        return ENCODING_UTF_16BE;
    for (size_t i = 0; i < 2 * pairs; i++)
        nul[i % 2] += bytes[i] == '\0';
    if (pairs < 4 || nul[0] + nul[1] < pairs * 9 / 10)
        return ENCODING_AUTOMATIC;
    if (nul[1] >= pairs * 9 / 10 && nul[0] * 20 < pairs)
        return ENCODING_UTF_16LE;
    if (nul[0] >= pairs * 9 / 10 && nul[1] * 20 < pairs)
        return ENCODING_UTF_16BE;
    return ENCODING_AUTOMATIC;
}
