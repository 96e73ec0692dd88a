#include "report/kept.h"

#include "base/files.h"
#include "report/json.h"

#include <stdlib.h>
#include <string.h>

/* Two million windows; more is no result of ours. */
static const size_t LARGEST = (size_t)1 << 30;

const char *kept_text(const json_t *object, const char *key)
{
    const char *text = json_string_value(json_object_get(object, key));
    return text != NULL ? text : "";
}

static bool parse(struct kept *kept, const char *path, struct faults *faults)
{
    json_error_t error;
    kept->root = json_loadb(text_string(&kept->bytes), kept->bytes.length, JSON_REJECT_DUPLICATES,
                            &error);
    if (kept->root != NULL)
        return true;
    if (json_error_code(&error) == json_error_out_of_memory)
        return fault_memory(faults);
    struct fault *fault =
        fault_new(faults, FAULT_INPUT, fault_at(path, error.line, error.column));
    fault_found(fault, "is not JSON: %s", error.text);
    fault_expected(fault, "a results.json of this program");
    return false;
}

static const char wanted[] = "the folder that the same command wrote, for instance TEST.results of "
                             "'etabench reduce TEST'";

static bool is_ours(const struct kept *kept, const char *path, struct faults *faults)
{
    const json_t *version = json_object_get(kept->root, "version");
    bool schema = text_same(kept_text(kept->root, "schema"), REPORT_SCHEMA);
    if (schema && json_integer_value(version) == REPORT_SCHEMA_VERSION)
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(path, 0, 0));
    if (!schema)
        fault_found(fault, "is JSON, but not results of this program (no schema '%s')",
                    REPORT_SCHEMA);
    else
        fault_found(fault, "has another version of the schema than %d, which this program writes",
                    REPORT_SCHEMA_VERSION);
    fault_expected(fault, "%s", wanted);
    return false;
}

bool kept_of_kind(const struct kept *kept, const char *kind, struct faults *faults)
{
    const char *found = kept_text(kept->root, "kind");
    if (text_same(found, kind))
        return true;
    struct fault *fault = fault_new(faults, FAULT_INPUT, fault_at(kept->folder, 0, 0));
    fault_found(fault, "is a result of kind '%s', and '%s' is computed here", found, kind);
    fault_expected(fault, "%s", wanted);
    return false;
}

bool kept_read(struct kept *kept, const char *folder, struct faults *faults)
{
    memset(kept, 0, sizeof *kept);
    kept->folder = text_copy(folder, faults);
    char *path = text_copyf(faults, "%s/%s", folder, FOLDER_MARKER);
    bool good = kept->folder != NULL && path != NULL &&
                file_read(path, LARGEST, &kept->bytes, faults) && parse(kept, path, faults) &&
                is_ours(kept, path, faults);
    free(path);
    return good;
}

void kept_free(struct kept *kept)
{
    if (kept->root != NULL)
        json_decref(kept->root);
    text_free(&kept->bytes);
    free(kept->folder);
    memset(kept, 0, sizeof *kept);
}
