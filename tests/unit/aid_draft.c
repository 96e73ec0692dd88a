#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/unit/aid_draft.h"

#include "draft/draft.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static char folder[100];

int aid_draft_begin(void **state)
{
    (void)state;
    const char *tmp = getenv("TMPDIR");
    snprintf(folder, sizeof folder, "%s/draft-XXXXXX", tmp != NULL ? tmp : P_tmpdir);
    return mkdtemp(folder) == NULL;
}

int aid_draft_end(void **state)
{
    (void)state;
    return rmdir(folder);
}

const char *aid_draft_folder(void)
{
    return folder;
}

const char *aid_draft_path(const char *name, char out[AID_DRAFT_PATH])
{
    snprintf(out, AID_DRAFT_PATH, "%s/%s", folder, name);
    return out;
}

static void put(const char *path, const char *bytes)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, strlen(bytes), file), strlen(bytes));
    assert_int_equal(fclose(file), 0);
}

bool aid_draft(const char *first, const char *second, struct text *understood,
               struct text *description, struct faults *faults)
{
    char a[AID_DRAFT_PATH], b[AID_DRAFT_PATH];
    const char *logs[] = {aid_draft_path("a.csv", a), aid_draft_path("b.csv", b)};
    put(a, first);
    if (second != NULL)
        put(b, second);
    faults_init(faults);
    bool good = draft_write(logs, second == NULL ? 1 : 2, NULL, NULL, understood, description, NULL,
                            faults);
    unlink(a);
    unlink(b);
    return good;
}

void aid_draft_fail(const char *name, const char *what, const char *found)
{
    fail_msg("%s: %s: %s", name, what, found);
}

void aid_draft_want(const char *name, const char *whole, const char *part)
{
    if (strstr(whole, part) == NULL)
        fail_msg("%s: lacks '%s' in\n%s", name, part, whole);
}
