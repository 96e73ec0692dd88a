/* etabench: sets up, runs the command line, prints what it has to say, returns the exit status. */
#include "base/faults.h"
#include "base/text.h"
#include "cmd/command.h"

#include <errno.h>
#include <gsl/gsl_errno.h>
#include <signal.h>
#include <stdio.h>

/* Returns: false if standard output took less than all of it (a full disk says so only here). */
static bool print(const struct text *out, struct faults *faults)
{
    errno = 0;
    fputs(text_string(out), stdout);
    if (fflush(stdout) == 0 && !ferror(stdout))
        return true;
    if (errno == EPIPE)
        return true; /* the reader has seen enough */
    return fault_system(faults, "standard output", "cannot be written", errno);
}

int main(int argc, char **argv)
{
    static struct faults faults;
    struct text out;
    gsl_set_error_handler_off(); /* its default ends the program */
    signal(SIGPIPE, SIG_IGN);
#ifdef SIGXFSZ
    signal(SIGXFSZ, SIG_IGN); /* a file-size limit comes back as an error from write */
#endif
    faults_init(&faults);
    text_init(&out);
    command_line(argc, argv, &out, &faults);
    print(&out, &faults);
    text_free(&out);
    faults_print(&faults, "etabench", stderr);
    return faults_status(&faults);
}
