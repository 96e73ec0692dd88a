#include "demo/write.h"

#include "base/files.h"
#include "base/text.h"
#include "demo/logs.h"
#include "demo/sensors.h"
#include "demo/texts.h"
#include "domain/fluid.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* What all files of one demo have in common. */
struct world {
    uint64_t draw;
    struct sensor_errors errors;
    struct fluid water;
};

typedef bool write_file(const struct world *world, struct text *out, struct faults *faults);

static bool write_readme(const struct world *world, struct text *out, struct faults *faults)
{
    return texts_readme(&world->water, out, faults);
}

static bool write_plate_a(const struct world *world, struct text *out, struct faults *faults)
{
    (void)world;
    texts_description(DEMO_PLATE_A, out);
    return text_ok(out, faults);
}

static bool write_plate_b(const struct world *world, struct text *out, struct faults *faults)
{
    (void)world;
    texts_description(DEMO_PLATE_B, out);
    return text_ok(out, faults);
}

static bool write_rig(const struct world *world, struct text *out, struct faults *faults)
{
    (void)world;
    texts_description(DEMO_RIG, out);
    return text_ok(out, faults);
}

static bool write_rig_checked(const struct world *world, struct text *out, struct faults *faults)
{
    return texts_rig_checked(world->draw, &world->errors, out, faults);
}

static bool write_evening(const struct world *world, struct text *out, struct faults *faults)
{
    return logs_rig_evening(world->draw, &world->errors, &world->water, out, faults);
}

static bool write_bucket(const struct world *world, struct text *out, struct faults *faults)
{
    (void)world;
    texts_description(DEMO_BUCKET, out);
    return text_ok(out, faults);
}

static bool write_class(const struct world *world, struct text *out, struct faults *faults)
{
    (void)world;
    texts_class(out);
    return text_ok(out, faults);
}

static bool write_points(const struct world *world, struct text *out, struct faults *faults)
{
    return texts_points(&world->water, world->draw, out, faults);
}

static bool write_glycol(const struct world *world, struct text *out, struct faults *faults)
{
    (void)world;
    texts_glycol(out);
    return text_ok(out, faults);
}

static bool write_glycol_points(const struct world *world, struct text *out, struct faults *faults)
{
    return texts_glycol_points(world->draw, out, faults);
}

static bool write_fluid(const struct world *world, struct text *out, struct faults *faults)
{
    texts_fluid_table(&world->water, out);
    return text_ok(out, faults);
}

static bool write_day1(const struct world *world, struct text *out, struct faults *faults)
{
    return logs_plates(WEATHER_FIRST, world->draw, &world->errors, &world->water, out, faults);
}

static bool write_day2(const struct world *world, struct text *out, struct faults *faults)
{
    return logs_plates(WEATHER_SECOND, world->draw, &world->errors, &world->water, out, faults);
}

static bool write_rig_log(const struct world *world, struct text *out, struct faults *faults)
{
    return logs_rig(world->draw, &world->errors, &world->water, out, faults);
}

static bool write_bucket_log(const struct world *world, struct text *out, struct faults *faults)
{
    return logs_bucket(world->draw, &world->errors, &world->water, out, faults);
}

static const struct {
    const char *name;
    write_file *write;
} files[] = {
    {"README.txt", write_readme},
    {"plate-a.txt", write_plate_a},
    {"plate-b.txt", write_plate_b},
    {"day1.csv", write_day1},
    {"day2.csv", write_day2},
    {"rig.txt", write_rig},
    {"rig.csv", write_rig_log},
    {"rig-checked.txt", write_rig_checked},
    {"rig-evening.csv", write_evening},
    {"bucket.txt", write_bucket},
    {"bucket.csv", write_bucket_log},
    {"class.txt", write_class},
    {"points.csv", write_points},
    {"glycol.txt", write_glycol},
    {"glycol.csv", write_glycol_points},
    {"water-table.csv", write_fluid},
};

enum { FILES = sizeof files / sizeof files[0] };

/* A demo never takes the place of anything, not even of an earlier one. */
static bool is_free(const char *dir, struct faults *faults)
{
    struct stat found;
    if (lstat(dir, &found) != 0)
        return true;
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(dir, 0, 0));
    fault_found(fault, "exists already and is not touched");
    fault_expected(fault, "the name of a folder that does not exist yet");
    fault_hint(fault, "choose another name, or move the folder away");
    return false;
}

static bool write_one(struct folder *folder, size_t i, const struct world *world,
                      struct faults *faults)
{
    struct text text;
    text_init(&text);
    bool good = files[i].write(world, &text, faults) &&
                folder_write(folder, files[i].name, text_string(&text), text.length, faults);
    text_free(&text);
    return good;
}

static bool write_folder(const char *dir, const struct world *world, struct faults *faults)
{
    struct folder folder;
    if (!folder_open(&folder, dir, faults))
        return false;
    bool good = true;
    for (size_t i = 0; i < FILES && good; i++)
        good = write_one(&folder, i, world, faults);
    good = good && folder_commit(&folder, faults);
    folder_abandon(&folder);
    return good;
}

/* "demo/" is "demo", as mkdir takes it. The caller frees. */
static char *without_slashes(const char *dir, struct faults *faults)
{
    char *plain = text_copy(dir, faults);
    size_t n = plain == NULL ? 0 : strlen(plain);
    while (n > 1 && plain[n - 1] == '/')
        plain[--n] = '\0';
    return plain;
}

bool demo_write_seeded(const char *dir, uint64_t draw, struct faults *faults)
{
    struct world world = {.draw = draw};
    fluid_water(&world.water);
    struct randoms randoms;
    if (!randoms_init(&randoms, faults))
        return false;
    sensor_errors_draw(&world.errors, draw, &randoms);
    randoms_free(&randoms);
    char *plain = without_slashes(dir, faults);
    bool good = plain != NULL && is_free(plain, faults) && write_folder(plain, &world, faults);
    free(plain);
    return good;
}

bool demo_write(const char *dir, struct faults *faults)
{
    return demo_write_seeded(dir, DEMO_DRAW, faults);
}
