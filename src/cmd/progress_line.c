#include "cmd/progress_line.h"

#include "base/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const double QUIET_S = 1.0;
static const double STEP_S = 0.2;

static double seconds(const struct timespec *from, const struct timespec *to)
{
    return (double)(to->tv_sec - from->tv_sec) + 1e-9 * (double)(to->tv_nsec - from->tv_nsec);
}

const char *progress_line_words(const char *doing, uint64_t done, uint64_t total, double elapsed_s,
                                char *out, size_t size)
{
    if (total == 0) {
        snprintf(out, size, "%s", doing);
        return out;
    }
    double share = done < total ? (double)done / (double)total : 1;
    int used = snprintf(out, size, "%s %.0f %%", doing, 100 * share);
    if (share <= 0 || share >= 1 || elapsed_s < 1 || used < 0 || (size_t)used >= size)
        return out;
    double left_s = elapsed_s * (1 - share) / share;
    if (left_s < 90)
        snprintf(out + used, size - (size_t)used, ", about %.0f s to go", left_s < 1 ? 1 : left_s);
    else
        snprintf(out + used, size - (size_t)used, ", about %.0f min to go", left_s / 60);
    return out;
}

static void tell(void *state, const char *doing, uint64_t done, uint64_t total)
{
    struct progress_line *line = state;
    struct timespec now;
    char words[120];
    if (!line->on)
        return;
    clock_gettime(CLOCK_MONOTONIC, &now);
    if (line->doing == NULL || !text_same(line->doing, doing)) {
        line->doing = doing;
        line->part = now;
    }
    if (seconds(&line->begun, &now) < QUIET_S ||
        (line->shown && seconds(&line->last, &now) < STEP_S))
        return;
    line->last = now;
    line->shown = true;
    fprintf(stderr, "\r%s\033[K",
            progress_line_words(doing, done, total, seconds(&line->part, &now), words,
                                sizeof words));
    fflush(stderr);
}

static bool can_take_back(void)
{
    const char *term = getenv("TERM");
    return isatty(STDERR_FILENO) && term != NULL && term[0] != '\0' && !text_same(term, "dumb");
}

void progress_line_begin(struct progress_line *line, bool wanted)
{
    memset(line, 0, sizeof *line);
    line->on = wanted && can_take_back();
    clock_gettime(CLOCK_MONOTONIC, &line->begun);
}

struct progress progress_line_progress(struct progress_line *line)
{
    return (struct progress){.tell = tell, .state = line};
}

void progress_line_end(struct progress_line *line)
{
    if (line->shown) {
        fputs("\r\033[K", stderr);
        fflush(stderr);
    }
    line->on = line->shown = false;
}
