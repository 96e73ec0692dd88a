#include "plots/gnuplot.h"

#include "result/clean.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { STDERR_SHOWN = 200, PICTURE_MAX = 64 * 1000 * 1000, TICK_NS = 2 * 1000 * 1000 };

/* The child's standard input, output and error: open files without a name. */
struct pipes {
    int fd[3];
};

/* A file that has a name for an instant, where the file system cannot do without. */
static int unnamed_file(const char *folder, struct faults *faults)
{
    char *path = text_copyf(faults, "%s/.drawing-XXXXXX", folder);
    if (!path)
        return -1;
    int fd = mkostemp(path, O_CLOEXEC);
    if (fd < 0)
        fault_system(faults, NULL, "gnuplot's temporary files cannot be made", errno);
    else
        unlink(path);
    free(path);
    return fd;
}

/* A program that is ended can leave nothing behind of a file that never had a name. */
static int nameless_file(const char *folder, struct faults *faults)
{
#ifdef O_TMPFILE
    int fd = open(folder, O_TMPFILE | O_RDWR | O_CLOEXEC, 0600);
    if (fd >= 0)
        return fd;
    if (errno != EOPNOTSUPP && errno != EISDIR && errno != EINVAL) {
        fault_system(faults, NULL, "gnuplot's temporary files cannot be made", errno);
        return -1;
    }
#endif
    return unnamed_file(folder, faults);
}

static void pipes_close(struct pipes *pipes)
{
    for (int i = 0; i < 3; i++)
        if (pipes->fd[i] >= 0)
            close(pipes->fd[i]);
}

static bool write_all(int fd, const char *bytes, size_t n)
{
    while (n > 0) {
        ssize_t done = write(fd, bytes, n);
        if (done < 0 && errno == EINTR)
            continue;
        if (done < 0)
            return false;
        bytes += done;
        n -= (size_t)done;
    }
    return true;
}

static bool pipes_open(struct pipes *pipes, const char *folder, const char *script,
                       struct faults *faults)
{
    *pipes = (struct pipes){{-1, -1, -1}};
    for (int i = 0; i < 3; i++) {
        pipes->fd[i] = nameless_file(folder, faults);
        if (pipes->fd[i] < 0)
            return false;
    }
    if (!write_all(pipes->fd[0], script, strlen(script)) || lseek(pipes->fd[0], 0, SEEK_SET) < 0)
        return fault_system(faults, NULL, "gnuplot's temporary files cannot be written", errno);
    return true;
}

static bool read_back(int fd, size_t limit, struct text *out)
{
    char buffer[16384];
    if (lseek(fd, 0, SEEK_SET) < 0)
        return false;
    for (;;) {
        ssize_t n = read(fd, buffer, sizeof buffer);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0 || out->length >= limit)
            return n == 0 || out->length >= limit;
        text_add_bytes(out, buffer, (size_t)n);
    }
}

/* Where the child's files go, its folder, and no signal ignored or held.
 * Returns: 0 or an error number. */
static int spawn(const char *folder, const struct pipes *pipes, pid_t *pid, char *const *env)
{
    char *argv[] = {(char[]){"gnuplot"}, (char[]){"-d"}, (char[]){"-"}, NULL};
    posix_spawn_file_actions_t actions;
    posix_spawnattr_t attributes;
    sigset_t plain, none;
    sigemptyset(&none);
    sigemptyset(&plain);
    sigaddset(&plain, SIGPIPE);
    int error = posix_spawn_file_actions_init(&actions);
    if (error)
        return error;
    error = posix_spawnattr_init(&attributes);
    if (error) {
        posix_spawn_file_actions_destroy(&actions);
        return error;
    }
    error = posix_spawn_file_actions_addchdir_np(&actions, folder);
    for (int i = 0; i < 3 && !error; i++)
        error = posix_spawn_file_actions_adddup2(&actions, pipes->fd[i], i);
    if (!error)
        error = posix_spawnattr_setsigdefault(&attributes, &plain);
    if (!error)
        error = posix_spawnattr_setsigmask(&attributes, &none);
    if (!error)
        error = posix_spawnattr_setflags(&attributes,
                                         POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETSIGMASK);
    if (!error)
        error = posix_spawnp(pid, argv[0], &actions, &attributes, argv, env);
    posix_spawnattr_destroy(&attributes);
    posix_spawn_file_actions_destroy(&actions);
    return error;
}

static bool start(const char *folder, const struct pipes *pipes, pid_t *pid, struct faults *faults)
{
    const char *search = getenv("PATH");
    char *path = text_copyf(faults, "PATH=%s", search ? search : "/usr/bin:/bin");
    if (!path)
        return false;
    char *const env[] = {path, (char[]){"LC_ALL=C.UTF-8"}, NULL};
    int error = spawn(folder, pipes, pid, env);
    free(path);
    if (error == 0)
        return true;
    struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(NULL, 0, 0));
    if (error == ENOENT)
        fault_found(fault, "'gnuplot' is not installed or not on PATH");
    else
        fault_found(fault, "'gnuplot' cannot be started: %s", strerror(error));
    fault_hint(fault, "install it (Debian, Ubuntu: apt install gnuplot-nox), or add --no-plots");
    return false;
}

enum ending { BY_ITSELF, TOO_LATE, TOO_MUCH };

static bool is_flood(const struct pipes *pipes)
{
    struct stat about;
    for (int i = 1; i < 3; i++)
        if (fstat(pipes->fd[i], &about) == 0 && about.st_size > PICTURE_MAX)
            return true;
    return false;
}

/* Waits, at most until the deadline or until it has written too much, then kills. */
static enum ending finish(pid_t pid, const struct pipes *pipes, int deadline_s, int *status)
{
    struct timespec begun;
    struct timespec now;
    const struct timespec tick = {0, TICK_NS};
    enum ending ending = BY_ITSELF;
    clock_gettime(CLOCK_MONOTONIC, &begun);
    while (ending == BY_ITSELF) {
        pid_t done = waitpid(pid, status, WNOHANG);
        if (done == pid)
            return BY_ITSELF;
        if (done < 0 && errno != EINTR) {
            *status = -1; /* somebody else took its status: judge it as failed */
            return BY_ITSELF;
        }
        clock_gettime(CLOCK_MONOTONIC, &now);
        if (is_flood(pipes))
            ending = TOO_MUCH;
        else if (now.tv_sec - begun.tv_sec >= deadline_s)
            ending = TOO_LATE;
        else
            nanosleep(&tick, NULL);
    }
    kill(pid, SIGKILL);
    while (waitpid(pid, status, 0) < 0 && errno == EINTR)
        continue;
    return ending;
}

static bool ends_with(const struct text *text, size_t length, const char *tail, size_t n)
{
    return length >= n && memcmp(text->bytes + length - n, tail, n) == 0;
}

static bool is_whole_svg(const struct text *svg)
{
    static const char tail[] = "</svg>";
    size_t n = svg->length;
    while (n > 0 && strchr(" \t\r\n", svg->bytes[n - 1]))
        n--;
    return ends_with(svg, n, tail, strlen(tail));
}

/* The signature, and the empty chunk that ends every PNG (PNG specification, 5.2 and 11.2.5). */
static bool is_whole_png(const struct text *png)
{
    static const char head[] = "\x89PNG\r\n\x1A\n";
    static const char tail[] = "\0\0\0\0IEND\xAE\x42\x60\x82";
    return png->length > sizeof head && memcmp(png->bytes, head, sizeof head - 1) == 0 &&
           ends_with(png, png->length, tail, sizeof tail - 1);
}

/* gnuplot's own words on one line, cut, without blanks around them. */
static void first_words(int fd, struct text *out)
{
    struct text raw;
    text_init(&raw);
    if (read_back(fd, 4096, &raw))
        clean_add(out, text_string(&raw), STDERR_SHOWN);
    text_free(&raw);
    size_t blanks = strspn(text_string(out), " ");
    if (blanks > 0) {
        memmove(out->bytes, out->bytes + blanks, out->length - blanks + 1);
        out->length -= blanks;
    }
    while (out->length > 0 && out->bytes[out->length - 1] == ' ')
        out->bytes[--out->length] = '\0';
}

static void say_why(struct fault *fault, const char *what, enum ending ending, int status,
                    int deadline_s)
{
    if (ending == TOO_MUCH)
        fault_found(fault, "gnuplot wrote more than %d MB for '%s' and was ended",
                    PICTURE_MAX / 1000000, what);
    else if (ending == TOO_LATE)
        fault_found(fault, "gnuplot did not draw '%s' within %d s and was ended", what, deadline_s);
    else if (status >= 0 && WIFSIGNALED(status))
        fault_found(fault, "gnuplot was ended by signal %d while it drew '%s'", WTERMSIG(status),
                    what);
    else if (status >= 0 && WIFEXITED(status) && WEXITSTATUS(status) != 0)
        fault_found(fault, "gnuplot failed at '%s' with status %d", what, WEXITSTATUS(status));
    else
        fault_found(fault, "gnuplot's picture '%s' is not complete", what);
}

static bool judge(const struct pipes *pipes, const char *what, enum gnuplot_picture kind,
                  enum ending ending, int status, int deadline_s, struct text *picture,
                  struct faults *faults)
{
    struct text words;
    text_init(&words);
    first_words(pipes->fd[2], &words);
    bool ok = ending == BY_ITSELF && status == 0 && read_back(pipes->fd[1], PICTURE_MAX, picture) &&
              text_ok(picture, faults) &&
              (kind == GNUPLOT_PNG ? is_whole_png(picture) : is_whole_svg(picture));
    if (!ok) {
        struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(NULL, 0, 0));
        say_why(fault, what, ending, status, deadline_s);
        if (words.length > 0)
            fault_expected(fault, "a picture; gnuplot said: %s", text_string(&words));
        fault_hint(fault,
                   "is there space on the disk, does 'gnuplot --version' work? --no-plots gives "
                   "the results without pictures");
        text_free(picture);
    } else if (words.length > 0) {
        struct fault *note = fault_new(faults, FAULT_NOTE, fault_at(NULL, 0, 0));
        fault_found(note, "gnuplot said about '%s': %s", what, text_string(&words));
    }
    text_free(&words);
    return ok;
}

bool gnuplot_run(const char *folder, const char *what, const char *script,
                 enum gnuplot_picture kind, int deadline_s, struct text *picture,
                 struct faults *faults)
{
    struct pipes pipes;
    pid_t pid = 0;
    int status = 0;
    bool ok = pipes_open(&pipes, folder, script, faults) && start(folder, &pipes, &pid, faults);
    if (ok) {
        enum ending ending = finish(pid, &pipes, deadline_s, &status);
        ok = judge(&pipes, what, kind, ending, status, deadline_s, picture, faults);
    }
    pipes_close(&pipes);
    return ok;
}

/* Anything but a plain "yes" is a no: the SVG pictures show what else may be wrong with gnuplot. */
static bool ask_for_png(const char *folder, struct text *answer, struct faults *faults)
{
    static const char script[] =
        "set print '-'\nprint strstrt(GPVAL_TERMINALS, ' pngcairo ') > 0 ? 'yes' : 'no'\n";
    struct pipes pipes;
    pid_t pid = 0;
    int status = 0;
    bool asked =
        pipes_open(&pipes, folder, script, faults) && start(folder, &pipes, &pid, faults);
    if (asked && finish(pid, &pipes, GNUPLOT_DEADLINE_S, &status) == BY_ITSELF && status == 0 &&
        !read_back(pipes.fd[1], 100, answer))
        asked = fault_system(faults, NULL, "gnuplot's answer cannot be read", errno);
    asked = asked && text_ok(answer, faults);
    pipes_close(&pipes);
    return asked;
}

bool gnuplot_ask_png(const char *folder, bool *png, struct faults *faults)
{
    struct text answer;
    text_init(&answer);
    bool asked = ask_for_png(folder, &answer, faults);
    *png = asked && text_same(text_string(&answer), "yes\n");
    text_free(&answer);
    if (!asked || *png)
        return asked;
    struct fault *note = fault_new(faults, FAULT_NOTE, fault_at(NULL, 0, 0));
    fault_found(note,
                "this gnuplot has no terminal 'pngcairo': the figures are SVG alone, not PNG");
    return true;
}

bool gnuplot_probe(struct faults *faults)
{
    static const char script[] = "set encoding utf8\n"
                                 "set terminal svg size 200,100 font 'sans-serif,12' noenhanced\n"
                                 "unset key\n"
                                 "plot [0:1] [0:1] x with lines\n";
    const char *folder = getenv("TMPDIR");
    struct text svg;
    text_init(&svg);
    bool ok = gnuplot_run(folder && folder[0] == '/' ? folder : P_tmpdir, "a trial picture", script,
                          GNUPLOT_SVG, GNUPLOT_DEADLINE_S, &svg, faults);
    text_free(&svg);
    return ok;
}
