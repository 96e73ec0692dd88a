#include "base/fold.h"

#include <stdbool.h>

enum { FIRST = 0xC0, LAST = 0x17F, MARKS_FIRST = 0x300, MARKS_LAST = 0x36F, NOTHING = '-' };

/* U+00C0 to U+017F without their signs; '?' is no letter. Unicode's decompositions (NFD) give them,
 * but for those that have none: the Nordic and Polish ones with a stroke, sharp s, ligatures. */
static const char bare[] = "aaaaaaaceeeeiiiidnooooo?ouuuuytsaaaaaaaceeeeiiiidnooooo?ouuuuyty"
                           "aaaaaaccccccccddddeeeeeeeeeegggggggghhhhiiiiiiiiiiiijjkkklllllll"
                           "lllnnnnnnnnnoooooooorrrrrrssssssssttttttuuuuuuuuuuuuwwyyyzzzzzzs";

/* Returns: a letter; NOTHING for a sign upon the letter before; '?' for all else */
static char bare_letter(unsigned code)
{
    if ((code >= 'a' && code <= 'z') || (code >= 'A' && code <= 'Z'))
        return (char)(code | 0x20U);
    if (code >= FIRST && code <= LAST)
        return bare[code - FIRST];
    if (code >= 0x218 && code <= 0x21B)
        return code < 0x21A ? 's' : 't';
    return code >= MARKS_FIRST && code <= MARKS_LAST ? NOTHING : '?';
}

/* The letters of Windows-1252 that Unicode has elsewhere. */
static char letter_of_byte(unsigned char byte)
{
    switch (byte) {
    case 0x8A:
    case 0x9A:
        return 's';
    case 0x8E:
    case 0x9E:
        return 'z';
    case 0x9F:
        return 'y';
    default:
        return bare_letter(byte);
    }
}

/* Out: n   bytes of the character */
static char next_letter(const unsigned char *at, const unsigned char *end, size_t *n)
{
    bool pair = end - at >= 2 && at[0] >= 0xC3 && at[0] <= 0xDF && (at[1] & 0xC0U) == 0x80U;
    *n = pair ? 2 : 1;
    return pair ? bare_letter((at[0] & 0x1FU) << 6 | (at[1] & 0x3FU)) : letter_of_byte(at[0]);
}

const char *fold_word(const char *at, const char *end, char word[FOLD_WORD_SIZE])
{
    size_t length = 0, n;
    for (; at < end; at += n) {
        char letter = next_letter((const unsigned char *)at, (const unsigned char *)end, &n);
        if (letter == '?')
            break;
        if (letter != NOTHING && length < FOLD_WORD_SIZE)
            word[length++] = letter;
    }
    word[length < FOLD_WORD_SIZE ? length : 0] = '\0';
    return at;
}
