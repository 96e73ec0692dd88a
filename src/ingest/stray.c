#include "ingest/stray.h"

#include <stdlib.h>

/* HEAD_ROWS of a track that nothing bears out but the rows behind it, BEHIND_ROWS of those at
 * least. */
enum { HEAD_ROWS = 30, BEHIND_ROWS = 3 };

struct stray_track {
    uint64_t id; /* 0: free */
    uint64_t n;
    uint64_t before;  /* rows of the file before its first */
    uint64_t through; /* rows of the file up to its last */
    bool parted;      /* rows of other tracks stand between its own */
    int64_t head_us;  /* the last one */
    long head_line;
    struct stray_by over;  /* the row that it leaps from */
    struct stray_by back;  /* the row that went back; line 0: none did */
    bool follows;          /* back goes on with a track */
    bool hole;             /* where the rows since leave it */
    uint64_t back_id;      /* the track that back begins, if it does not follow */
    int64_t lead_us;       /* over back */
    int64_t before_us;     /* nearest rows on both sides, among those from back on */
    int64_t after_us;
    bool taken;            /* one of its places has another row */
    struct stray_by row[STRAY_ROWS_MAX];
};

bool stray_init(struct stray *stray, int64_t step_us, int64_t gap_us)
{
    *stray = (struct stray){.step_us = step_us, .gap_us = gap_us};
    stray->track = calloc(STRAY_TRACKS, sizeof *stray->track);
    return stray->track != NULL;
}

void stray_free(struct stray *stray)
{
    free(stray->track);
    free(stray->found);
    *stray = (struct stray){0};
}

static bool near(const struct stray *stray, int64_t apart_us)
{
    return 2 * apart_us <= 3 * stray->step_us;
}

/* Whether a row is the next one of a track. To one that was left only a row close by returns, and
 * with one lost between only where the rows have come there: others would by chance. */
static bool goes_on(const struct stray *stray, const struct stray_track *track, int64_t time_us)
{
    int64_t ahead_us = time_us - track->head_us;
    int64_t between = (int64_t)(stray->rows - track->through);
    if (track->id == 0 || ahead_us <= 0)
        return false;
    if (track->follows && between > 0) {
        int64_t since_us = time_us - stray->track[stray->current].head_us;
        return near(stray, ahead_us) ||
               (ahead_us <= 3 * stray->step_us && llabs(since_us) <= 6 * stray->step_us);
    }
    return between == 0 ? near(stray, ahead_us)
                        : ahead_us <= between * stray->step_us + stray->gap_us;
}

/* The current track if the row is its next one, else the one with the nearest last row; of equal
 * ones the latest. Returns: NULL if it is of none. */
static struct stray_track *find_track(struct stray *stray, int64_t time_us)
{
    struct stray_track *best = &stray->track[stray->current];
    if (goes_on(stray, best, time_us) && near(stray, time_us - best->head_us))
        return best;
    best = NULL;
    for (size_t i = 0; i < STRAY_TRACKS; i++) {
        struct stray_track *track = &stray->track[i];
        if (!goes_on(stray, track, time_us))
            continue;
        if (best == NULL || track->head_us > best->head_us ||
            (track->head_us == best->head_us && track->through > best->through))
            best = track;
    }
    return best;
}

/* The rows behind do not show a place for it. */
static bool is_misplaced(const struct stray *stray, const struct stray_track *track)
{
    return track->taken || !near(stray, track->before_us) || !near(stray, track->after_us);
}

/* Whether enough rows go on behind the row that went back without following on a track. */
static bool is_borne_out(const struct stray *stray, const struct stray_track *track)
{
    for (size_t i = 0; i < STRAY_TRACKS; i++)
        if (stray->track[i].id == track->back_id)
            return stray->track[i].n >= BEHIND_ROWS && stray->track[i].n > track->n;
    return true; /* it is long behind */
}

static bool is_stray(const struct stray *stray, const struct stray_track *track)
{
    bool far = track->lead_us > STRAY_LATE_US;
    if (track->back.line == 0 || track->n > STRAY_ROWS_MAX)
        return false;
    if (far && track->follows)
        return !track->parted || stray->rows - track->before >= 3 * track->n;
    if (track->parted || (track->follows && !track->hole))
        return false;
    if (!track->follows && (track->n > HEAD_ROWS || !is_borne_out(stray, track)))
        return false;
    return far || is_misplaced(stray, track);
}

static void add_found(struct stray *stray, const struct stray_track *track, size_t i)
{
    if (stray->n == STRAY_FOUND_MAX)
        return;
    if (stray->n == stray->room) {
        size_t room = stray->room == 0 ? 64 : 2 * stray->room;
        struct stray_found *found = realloc(stray->found, room * sizeof *found);
        stray->failed = stray->failed || found == NULL;
        if (found == NULL)
            return;
        stray->found = found;
        stray->room = room;
    }
    stray->found[stray->n++] = (struct stray_found){.line = track->row[i].line,
                                                    .time_us = track->row[i].us,
                                                    .first = i == 0 || track->parted,
                                                    .before = track->over,
                                                    .after = track->back};
}

/* Nothing follows on the track any more. */
static void settle(struct stray *stray, struct stray_track *track)
{
    for (size_t i = 0; is_stray(stray, track) && i < track->n; i++)
        add_found(stray, track, i);
    track->id = 0;
}

static void settle_old(struct stray *stray)
{
    for (size_t i = 0; i < STRAY_TRACKS; i++) {
        struct stray_track *track = &stray->track[i];
        if (track->id != 0 && stray->rows - track->through > STRAY_ROWS_MAX)
            settle(stray, track);
    }
}

/* A free one; if there is none, that on which nothing followed for longest. */
static struct stray_track *free_track(struct stray *stray)
{
    struct stray_track *oldest = &stray->track[0];
    for (size_t i = 0; i < STRAY_TRACKS; i++) {
        struct stray_track *track = &stray->track[i];
        if (track->id == 0)
            return track;
        if (track->through < oldest->through)
            oldest = track;
    }
    settle(stray, oldest);
    return oldest;
}

static void note_back(struct stray_track *track, int64_t time_us, long line)
{
    track->back = (struct stray_by){time_us, line};
    track->lead_us = track->head_us - time_us;
    track->before_us = track->after_us = INT64_MAX / 4;
    track->taken = false;
}

/* A row goes on with a track: those that left it meanwhile, and stand ahead, have been left. */
static void note_return(struct stray *stray, const struct stray_track *to, int64_t time_us,
                        long line)
{
    int64_t between = (int64_t)(stray->rows - to->through);
    int64_t off_us = time_us - to->head_us - (between + 1) * stray->step_us;
    for (size_t i = 0; i < STRAY_TRACKS; i++) {
        struct stray_track *track = &stray->track[i];
        if (track->id == 0 || track->before < to->through || track->head_us <= time_us ||
            track->follows)
            continue;
        note_back(track, time_us, line);
        track->follows = true;
        track->over = (struct stray_by){to->head_us, to->head_line};
        track->hole = 2 * llabs(off_us) <= stray->step_us;
    }
}

/* A row that follows on no track begins one. */
static struct stray_track *begin_track(struct stray *stray, int64_t time_us, long line)
{
    struct stray_track *current = &stray->track[stray->current];
    struct stray_by over = {0};
    for (size_t i = 0; i < STRAY_TRACKS; i++) {
        const struct stray_track *track = &stray->track[i];
        if (track->id != 0 && track->head_us < time_us &&
            (over.line == 0 || track->head_us > over.us))
            over = (struct stray_by){track->head_us, track->head_line};
    }
    bool falls = current->id != 0 && time_us <= current->head_us && current->back.line == 0 &&
                 time_us < current->row[0].us && current->n <= HEAD_ROWS &&
                 (current->over.line == 0 ? current->before == 0 : current->over.us < time_us);
    if (falls) {
        note_back(current, time_us, line);
        current->back_id = stray->rows + 1;
    }
    struct stray_track *track = free_track(stray);
    track->id = stray->rows + 1;
    track->n = 0;
    track->before = stray->rows;
    track->parted = track->follows = track->hole = false;
    track->over = over;
    track->back = (struct stray_by){0};
    return track;
}

/* What a row says of the places of others' rows. */
static void note_places(struct stray *stray, const struct stray_track *of, int64_t time_us)
{
    for (size_t i = 0; i < STRAY_TRACKS; i++) {
        struct stray_track *track = &stray->track[i];
        if (track->id == 0 || track == of || track->back.line == 0 || track->n > STRAY_ROWS_MAX)
            continue;
        int64_t before_us = track->row[0].us - time_us, after_us = time_us - track->head_us;
        if (before_us > 0 && before_us < track->before_us)
            track->before_us = before_us;
        if (after_us > 0 && after_us < track->after_us)
            track->after_us = after_us;
        bool beyond = 2 * before_us >= stray->step_us || 2 * after_us >= stray->step_us;
        for (size_t k = 0; !beyond && !track->taken && k < track->n; k++)
            track->taken = 2 * llabs(time_us - track->row[k].us) < stray->step_us;
    }
}

void stray_row(struct stray *stray, int64_t time_us, long line)
{
    if (stray->step_us <= 0)
        return;
    settle_old(stray);
    struct stray_track *track = find_track(stray, time_us);
    size_t last = stray->current;
    if (track == NULL)
        track = begin_track(stray, time_us, line);
    else if (track != &stray->track[last])
        note_return(stray, track, time_us, line);
    stray->current = (size_t)(track - stray->track);
    track->parted = track->parted || (track->n > 0 && track->through < stray->rows);
    if (track->n < STRAY_ROWS_MAX)
        track->row[track->n] = (struct stray_by){time_us, line};
    track->n++;
    track->head_us = time_us;
    track->head_line = line;
    track->through = ++stray->rows;
    note_places(stray, track, time_us);
}

static int by_line(const void *a, const void *b)
{
    const struct stray_found *x = a;
    const struct stray_found *y = b;
    return (x->line > y->line) - (x->line < y->line);
}

bool stray_end(struct stray *stray)
{
    struct stray_track *last = &stray->track[stray->current];
    bool alone = last->id != 0 && last->n == 1 && last->back.line == 0 && last->over.line > 0 &&
                 last->head_us - last->over.us > STRAY_LATE_US &&
                 last->head_us - last->over.us > stray->gap_us;
    if (alone)
        add_found(stray, last, 0);
    for (size_t i = 0; i < STRAY_TRACKS; i++)
        if (stray->track[i].id != 0 && !(alone && &stray->track[i] == last))
            settle(stray, &stray->track[i]);
    if (stray->n > 0)
        qsort(stray->found, stray->n, sizeof *stray->found, by_line);
    return !stray->failed;
}
