#include "ingest/block.h"

const char *flag_word(enum reading_flag flag)
{
    static const char *const words[FLAG_COUNT] = {
        [FLAG_GOOD] = "good",
        [FLAG_MISSING] = "missing",
        [FLAG_NOT_A_NUMBER] = "not a number",
        [FLAG_OUT_OF_RANGE] = "out of range",
        [FLAG_SHORT_ROW] = "row too short",
        [FLAG_ERROR_CODE] = "error code",
        [FLAG_SPIKE] = "spike",
        [FLAG_STUCK] = "stuck",
        [FLAG_SATURATED] = "saturated",
        [FLAG_AFTER_LOST] = "after a row set aside",
    };
    return words[flag];
}
