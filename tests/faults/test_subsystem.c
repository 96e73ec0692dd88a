/* The whole program under Windows' Linux subsystem, as far as a program can see it: the kernel's
 * words and one variable. The last line of the first screen names the report as Windows' browser
 * finds it; everywhere else there is no such line. What drives are called is test_windows_path's.
 */
#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "scene.h"

#include "base/text.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char *distribution; /* NULL: not told */

/* In the new process, in the scene's folder: the first screen goes into a file. */
static void enter(void)
{
    int fd = open("screen", O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    if (fd < 0 || dup2(fd, 1) < 0 || close(fd) != 0)
        _exit(123);
    if (distribution == NULL ? unsetenv("WSL_DISTRO_NAME") != 0
                             : setenv("WSL_DISTRO_NAME", distribution, 1) != 0)
        _exit(124);
}

/* The last line of a file, without its end. */
static void last_line(const char *path, struct text *out)
{
    char line[1200];
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    while (fgets(line, sizeof line, file) != NULL) {
        text_clear(out);
        text_add_bytes(out, line, strcspn(line, "\n"));
    }
    fclose(file);
}

/* The name below \\wsl.localhost\NAME as Linux has it. */
static void must_be_there(const struct scene *scene, const char *windows, const char *prefix)
{
    char path[1200];
    scene_must(scene, strncmp(windows, prefix, strlen(prefix)) == 0, windows);
    snprintf(path, sizeof path, "%s", windows + strlen(prefix));
    for (char *at = path; (at = strchr(at, '\\')) != NULL;)
        *at = '/';
    scene_must(scene, access(path, R_OK) == 0, "no such report");
}

static void the_last_line_opens_in_windows(void **state)
{
    (void)state;
    static const struct {
        const char *version, *distribution;
        const char *prefix; /* of the last line; NULL: there is no word of Windows */
    } rows[] = {
        {"Linux version 5.15.90.1-microsoft-standard-WSL2 (x@y) #1 SMP", "Debian",
         "in Windows: \\\\wsl.localhost\\Debian"},
        {"Linux version 4.4.0-19041-Microsoft (Microsoft@Microsoft.com)", "Mine 2",
         "in Windows: \\\\wsl.localhost\\Mine 2"},
        {"Linux version 5.15.90.1-microsoft-standard-WSL2 (x@y) #1 SMP", NULL, NULL},
        {"Linux version 6.1.0-18-amd64 (kernel)", "Debian", NULL},
    };
    struct scene scene;
    scene_open(&scene, SCENE_LOG);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char version[700], screen[700];
        struct text line = {0};
        snprintf(version, sizeof version, "%s/version", scene.folder);
        snprintf(screen, sizeof screen, "%s/screen", scene.folder);
        snprintf(scene.row, sizeof scene.row, "%s", rows[i].version);
        FILE *file = fopen(version, "wb");
        assert_true(file != NULL && fprintf(file, "%s\n", rows[i].version) > 0 &&
                    fclose(file) == 0);
        struct shim_plan plan = {.action = SHIM_NOTHING, .version = version};
        distribution = rows[i].distribution;
        struct seen seen = scene_run(&scene, &plan, enter);
        scene_must(&scene, seen.status == 0, seen.words);
        last_line(screen, &line);
        if (rows[i].prefix == NULL)
            scene_must(&scene, strstr(text_string(&line), "Windows: ") == NULL,
                       "it speaks of Windows");
        else
            must_be_there(&scene, text_string(&line), rows[i].prefix);
        text_free(&line);
    }
    scene_close(&scene);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_last_line_opens_in_windows),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
