/* etabench: sets up, runs the command line, prints what it has to say, returns the exit status. */
#include "base/faults.h"
#include "base/text.h"
#include "cmd/command.h"

#include <errno.h>
#include <gsl/gsl_errno.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif
#include <signal.h>
#include <stdio.h>

/* Standard output, as the text for it comes: --json of a long log is not held as a whole. */
struct output {
    int why;   /* errno of the first failure; 0 so far */
    bool full; /* the reader has seen enough (EPIPE): no failure, nothing more is written */
};

static bool write_piece(void *state, const char *bytes, size_t n)
{
    struct output *output = state;
    errno = 0;
    if (output->full || (fwrite(bytes, 1, n, stdout) == n && fflush(stdout) == 0))
        return true;
    output->full = errno == EPIPE;
    if (!output->full)
        output->why = errno != 0 ? errno : EIO;
    return output->full;
}

/* Tables of thousands of windows grow by doubling. glibc gives large pieces back when they are
 * freed and lets them grow in place, but it moves what counts as large up with every one that is
 * freed; then each doubling leaves a hole in its heap. Held where it starts, that saves 0.7 MiB for
 * 3,000 windows, and costs 4 % of their time: a refit's rows are pieces of their own too. What is
 * free at the heap's end goes back at once: 0.15 MiB more. */
static void keep_memory_small(void)
{
#ifdef __GLIBC__
    mallopt(M_MMAP_THRESHOLD, 128 * 1024);
    mallopt(M_TRIM_THRESHOLD, 32 * 1024);
    mallopt(M_TOP_PAD, 4 * 1024);
#endif
}

int main(int argc, char **argv)
{
    static struct faults faults;
    struct text out;
    struct output output = {0, false};
    keep_memory_small();
    gsl_set_error_handler_off(); /* its default ends the program */
    signal(SIGPIPE, SIG_IGN);
#ifdef SIGXFSZ
    signal(SIGXFSZ, SIG_IGN); /* a file-size limit comes back as an error from write */
#endif
    faults_init(&faults);
    text_init(&out);
    text_drain(&out, write_piece, &output);
    command_line(argc, argv, &out, &faults);
    text_flush(&out);
    if (output.why != 0)
        fault_system(&faults, "standard output", "cannot be written", output.why);
    text_free(&out);
    faults_print(&faults, "etabench", stderr);
    return faults_status(&faults);
}
