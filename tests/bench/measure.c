/* Runs a command and appends what it took to a file, as one line: seconds of processor time (user and
 * system), seconds that passed, largest resident memory in KiB.
 *
 *     measure FILE COMMAND [ARGUMENT...]
 *
 * Its exit status is that of the command, 126 if it could not be run, 125 for trouble of its own.
 */
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static double seconds_of(struct timeval time)
{
    return (double)time.tv_sec + 1e-6 * (double)time.tv_usec;
}

static double clock_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Returns: the child's wait status, or -1. */
static int run(char **command, struct rusage *used)
{
    int status;
    pid_t child = fork();
    if (child == 0) {
        execvp(command[0], command);
        perror(command[0]);
        _exit(126);
    }
    if (child < 0 || wait4(child, &status, 0, used) != child)
        return -1;
    return status;
}

int main(int argc, char **argv)
{
    struct rusage used;
    if (argc < 3) {
        fputs("usage: measure FILE COMMAND [ARGUMENT...]\n", stderr);
        return 125;
    }
    double start_s = clock_s();
    int status = run(argv + 2, &used);
    double passed_s = clock_s() - start_s;
    FILE *out = fopen(argv[1], "a");
    if (status < 0 || out == NULL) {
        perror("measure");
        return 125;
    }
    fprintf(out, "%.3f %.3f %ld\n", seconds_of(used.ru_utime) + seconds_of(used.ru_stime), passed_s,
            used.ru_maxrss);
    if (fclose(out) != 0)
        return 125;
    return WIFEXITED(status) ? WEXITSTATUS(status) : 125;
}
