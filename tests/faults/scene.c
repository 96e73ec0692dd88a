#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "scene.h"

#include "../unit/aid_folder.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

/* The whole program. Its main is one that can be called. */
int etabench_main(int argc, char **argv);
#define main etabench_main
#include "main.c"
#undef main

enum { PATH_SIZE = 600 };

static void inside(const struct scene *scene, const char *name, char path[PATH_SIZE])
{
    snprintf(path, PATH_SIZE, "%s/%s", scene->folder, name);
}

/* Inputs as the command-line cases have them; the draft of a result is drawn from other names. */
static void write_inputs(const struct scene *scene)
{
    /* A Monte Carlo would take longer than all else together: it has a scene of its own. */
    static const char script[] = ". tests/cli/aid; cd \"$0\"; describe; measure; points; "
                                 "loggers 42 4; "
                                 "cp table.txt chance.txt; echo 'draws = 20000' >>chance.txt; "
                                 "echo 'draws = 0' | tee -a test.txt two.txt >>table.txt";
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        execl("/bin/sh", "sh", "-euc", script, scene->folder, (char *)NULL);
        _exit(127);
    }
    int status = -1;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
}

static void mix(uint64_t *hash, const void *bytes, size_t n)
{
    /* FNV-1a, 64 bits: enough to tell results apart that are not made to collide */
    for (size_t i = 0; i < n; i++)
        *hash = (*hash ^ ((const unsigned char *)bytes)[i]) * 0x100000001B3U;
}

static void mix_file(uint64_t *hash, const char *path)
{
    char buffer[8192];
    size_t n;
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    while ((n = fread(buffer, 1, sizeof buffer, file)) > 0)
        mix(hash, buffer, n);
    fclose(file);
}

uint64_t scene_fingerprint(const struct scene *scene, const char *tail)
{
    char folder[PATH_SIZE];
    char name[100];
    uint64_t hash = 0xCBF29CE484222325U;
    snprintf(name, sizeof name, "%s%s", scene->inputs, tail);
    inside(scene, name, folder);
    if (access(folder, F_OK) != 0)
        return 0;
    char *names = aid_list(folder);
    mix(&hash, names, strlen(names));
    for (char *word = strtok(names, " "); word != NULL; word = strtok(NULL, " ")) {
        char path[PATH_SIZE + 300];
        snprintf(path, sizeof path, "%s/%s", folder, word);
        mix_file(&hash, path);
    }
    free(names);
    return hash;
}

/* The files of one folder under a second name each: results are never changed in place. */
static void link_folder(const char *from, const char *to)
{
    DIR *directory = opendir(from);
    struct dirent *entry;
    assert_non_null(directory);
    assert_int_equal(mkdir(to, 0777), 0);
    while ((entry = readdir(directory)) != NULL) {
        char source[PATH_SIZE + 300];
        char target[PATH_SIZE + 300];
        if (entry->d_name[0] == '.')
            continue;
        snprintf(source, sizeof source, "%s/%s", from, entry->d_name);
        snprintf(target, sizeof target, "%s/%s", to, entry->d_name);
        assert_int_equal(link(source, target), 0);
    }
    closedir(directory);
}

static bool is_kept(const char *name)
{
    static const char *const kept[] = {".",          "..",         "test.txt", "log.csv",
                                       "table.txt",  "chance.txt", "points.csv", "two.txt",
                                       "fluid.csv",  "weather.csv", ".kept"};
    for (size_t i = 0; i < sizeof kept / sizeof kept[0]; i++)
        if (strcmp(name, kept[i]) == 0)
            return true;
    return false;
}

static void clear(const struct scene *scene)
{
    DIR *directory = opendir(scene->folder);
    struct dirent *entry;
    assert_non_null(directory);
    while ((entry = readdir(directory)) != NULL) {
        char path[PATH_SIZE + 300];
        if (is_kept(entry->d_name))
            continue;
        snprintf(path, sizeof path, "%s/%s", scene->folder, entry->d_name);
        if (unlink(path) != 0)
            aid_remove(path);
    }
    closedir(directory);
}

void scene_reset(const struct scene *scene)
{
    static const char *const tails[] = {"", ".old"};
    char from[PATH_SIZE];
    char to[PATH_SIZE];
    char name[100];
    clear(scene);
    for (size_t i = 0; i < 2; i++) {
        snprintf(name, sizeof name, ".kept/%s.results%s", scene->inputs, tails[i]);
        inside(scene, name, from);
        inside(scene, name + strlen(".kept/"), to);
        link_folder(from, to);
    }
}

static void allow_files(void)
{
    struct rlimit limit;
    if (getrlimit(RLIMIT_NOFILE, &limit) == 0) {
        limit.rlim_cur = limit.rlim_max;
        setrlimit(RLIMIT_NOFILE, &limit);
    }
}

/* In the new process. */
static int perform(const struct scene *scene, const struct shim_plan *plan, void (*limit)(void),
                   long *count)
{
    char description[32];
    snprintf(description, sizeof description, "%s.txt", scene->inputs);
    char no_plots[] = "--no-plots", threads[] = "--threads", number[16];
    char *argv[7] = {(char[]){"etabench"}, (char[]){"reduce"}, description};
    int argc = 3;
    if (scene->kind != SCENE_DRAWN)
        argv[argc++] = no_plots;
    if (scene->threads != NULL) {
        snprintf(number, sizeof number, "%s", scene->threads);
        argv[argc++] = threads;
        argv[argc++] = number;
    }
    char path[PATH_SIZE + 100];
    char *root = getcwd(NULL, 0);
    snprintf(path, sizeof path, "%s/tests/faults/draws", root == NULL ? "" : root);
    free(root);
    setenv("PATH", path, 1);
    setenv("TMPDIR", scene->folder, 1);
    if (chdir(scene->folder) != 0)
        return 126;
    if (limit != NULL)
        limit();
    shim_arm(plan);
    int status = etabench_main(argc, argv);
    shim_disarm();
    allow_files(); /* the sanitizer opens some at the end */
    for (int i = 0; i <= SHIM_DISK; i++)
        if (i != SHIM_CALLS)
            count[i] = shim_count((enum shim_call)i);
    return status;
}

static void perform_and_exit(const struct scene *scene, const struct shim_plan *plan,
                             void (*limit)(void), long *count, int err)
{
    /* cmocka's handlers would make a failed test of a crash, here in the new process. */
    static const int crashes[] = {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT, SIGSYS};
    for (size_t i = 0; i < sizeof crashes / sizeof crashes[0]; i++)
        signal(crashes[i], SIG_DFL);
    int nothing = open("/dev/null", O_RDWR | O_CLOEXEC);
    if (nothing < 0 || dup2(nothing, 0) < 0 || dup2(nothing, 1) < 0 || dup2(err, 2) < 0)
        _exit(125);
    close(nothing);
    close(err);
    int status = perform(scene, plan, limit, count);
    fflush(NULL);
    exit(status); /* and not _exit: the sanitizer looks for leaks here */
}

static int wait_for(pid_t child)
{
    int status = -1;
    assert_int_equal(waitpid(child, &status, 0), child);
    return WIFSIGNALED(status) ? 128 + WTERMSIG(status) : WEXITSTATUS(status);
}

struct seen scene_run(const struct scene *scene, const struct shim_plan *plan, void (*limit)(void))
{
    struct seen seen = {.status = -1};
    long *count =
        mmap(NULL, sizeof seen.count, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    assert_true(count != MAP_FAILED);
    int err = open(scene->folder, O_TMPFILE | O_RDWR | O_CLOEXEC, 0600);
    assert_true(err >= 0);
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0)
        perform_and_exit(scene, plan, limit, count, err);
    seen.status = wait_for(child);
    ssize_t n = pread(err, seen.words, sizeof seen.words - 1, 0);
    seen.said = n > 0 ? (size_t)n : 0;
    memcpy(seen.count, count, sizeof seen.count);
    close(err);
    munmap(count, sizeof seen.count);
    return seen;
}

void scene_must(const struct scene *scene, bool good, const char *what)
{
    if (good)
        return;
    print_error("%s: %s\n", scene->row, what);
    fail();
}

static bool is_listed_as_before(const struct scene *scene)
{
    char *now = aid_list(scene->folder);
    bool same = strcmp(now, scene->listed) == 0;
    free(now);
    return same;
}

static void must_be_listed_as_before(const struct scene *scene, const char *what)
{
    char *now = aid_list(scene->folder);
    if (strcmp(now, scene->listed) != 0)
        print_error("in the folder: %s\n", now);
    free(now);
    scene_must(scene, is_listed_as_before(scene), what);
}

void scene_assert_all_or_nothing(const struct scene *scene, const struct seen *seen, bool may_leave)
{
    bool told_late =
        seen->status == 5 && may_leave && scene_fingerprint(scene, ".results") == scene->fresh;
    bool done = seen->status == 0 || told_late;
    scene_must(scene, seen->status == 0 || seen->said > 0, "it said nothing");
    scene_must(
        scene, scene_fingerprint(scene, ".results") == (done ? scene->fresh : scene->earlier),
        done ? "the result is not that of an undisturbed run" : "the earlier result is lost");
    scene_must(scene,
               scene_fingerprint(scene, ".results.old") == (done ? scene->earlier : scene->oldest),
               "the result under .old is not the one before");
    if (may_leave && !is_listed_as_before(scene))
        scene_assert_next_run_clears_up(scene);
    else
        must_be_listed_as_before(scene, "something is left behind");
}

void scene_assert_next_run_clears_up(const struct scene *scene)
{
    struct shim_plan none = {.action = SHIM_NOTHING};
    bool was_done = scene_fingerprint(scene, ".results") == scene->fresh;
    struct seen seen = scene_run(scene, &none, NULL);
    scene_must(scene, seen.status == 0, seen.words);
    scene_must(scene, scene_fingerprint(scene, ".results") == scene->fresh,
               "the next run does not give its result");
    scene_must(scene,
               scene_fingerprint(scene, ".results.old") ==
                   (was_done ? scene->fresh : scene->earlier),
               "the next run does not keep the one before");
    must_be_listed_as_before(scene, "the next run leaves something behind");
}

/* A run of the inputs as they are. Returns: what came of it. */
static uint64_t make_result(const struct scene *scene)
{
    struct shim_plan none = {.action = SHIM_NOTHING};
    struct seen seen = scene_run(scene, &none, NULL);
    if (seen.status != 0)
        print_error("%s", seen.words);
    assert_int_equal(seen.status, 0);
    return scene_fingerprint(scene, ".results");
}

/* The same test under another name: results that differ from the fresh one. */
static void rename_collector(const struct scene *scene, const char *from, const char *to)
{
    char path[PATH_SIZE];
    char name[32];
    char text[4096];
    snprintf(name, sizeof name, "%s.txt", scene->inputs);
    inside(scene, name, path);
    FILE *file = fopen(path, "r+b");
    assert_non_null(file);
    size_t n = fread(text, 1, sizeof text - 1, file);
    text[n] = '\0';
    char *place = strstr(text, from);
    assert_non_null(place);
    assert_int_equal(strlen(from), strlen(to));
    memcpy(place, to, strlen(to));
    rewind(file);
    assert_int_equal(fwrite(text, 1, n, file), n);
    assert_int_equal(fclose(file), 0);
}

void scene_open(struct scene *scene, enum scene_kind kind)
{
    memset(scene, 0, sizeof *scene);
    scene->kind = kind;
    scene->folder = aid_folder();
    assert_non_null(scene->folder);
    static const char *const inputs[] = {[SCENE_LOG] = "test",
                                         [SCENE_TABLE] = "table",
                                         [SCENE_DRAWN] = "table",
                                         [SCENE_CHANCE] = "chance",
                                         [SCENE_TWO] = "two"};
    strcpy(scene->inputs, inputs[kind]);
    write_inputs(scene);
    rename_collector(scene, "Test plate", "Last plate");
    scene->oldest = make_result(scene);
    rename_collector(scene, "Last plate", "Next plate");
    scene->earlier = make_result(scene);
    char from[PATH_SIZE];
    char to[PATH_SIZE];
    inside(scene, ".kept", to);
    assert_int_equal(mkdir(to, 0777), 0);
    static const char *const tails[] = {"", ".old"};
    for (size_t i = 0; i < 2; i++) {
        char name[100];
        snprintf(name, sizeof name, ".kept/%s.results%s", scene->inputs, tails[i]);
        inside(scene, name, to);
        inside(scene, name + strlen(".kept/"), from);
        assert_int_equal(rename(from, to), 0);
    }
    rename_collector(scene, "Next plate", "Test plate");
    scene->fresh = make_result(scene);
    assert_true(scene->fresh != scene->earlier && scene->earlier != scene->oldest);
    scene_reset(scene);
    scene->listed = aid_list(scene->folder);
}

void scene_close(struct scene *scene)
{
    aid_remove(scene->folder);
    free(scene->folder);
    free(scene->listed);
    memset(scene, 0, sizeof *scene);
}
