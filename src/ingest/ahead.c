#include "ingest/ahead.h"

#include "base/threads.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Small pieces would cost more in waking the other thread than they save. */
enum { PIECES = 4, PIECE_BYTES = 128 * 1024 };

struct piece {
    size_t n;
    char bytes[PIECE_BYTES];
};

struct ahead {
    int fd;
    uint64_t left;
    struct hash *hash;
    const char *path;
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t changed; /* filled, used, ended or stop */
    size_t filled; /* pieces, counted from the start of the file */
    size_t used;
    size_t at; /* handed out of the piece in use; the user's own */
    bool ended; /* no piece will follow */
    bool stop;
    struct faults faults; /* of the thread; to be looked at when it has ended */
    struct piece piece[PIECES];
};

/* Waits for a free piece. Returns: NULL if there is nothing more to do. */
static struct piece *free_piece(struct ahead *ahead)
{
    pthread_mutex_lock(&ahead->lock);
    while (ahead->filled - ahead->used == PIECES && !ahead->stop)
        pthread_cond_wait(&ahead->changed, &ahead->lock);
    bool stop = ahead->stop;
    pthread_mutex_unlock(&ahead->lock);
    return stop ? NULL : &ahead->piece[ahead->filled % PIECES];
}

static void say_filled(struct ahead *ahead, bool ended)
{
    pthread_mutex_lock(&ahead->lock);
    if (ended)
        ahead->ended = true;
    else
        ahead->filled++;
    pthread_cond_signal(&ahead->changed);
    pthread_mutex_unlock(&ahead->lock);
}

/* Returns: false at the end, or with a fault. */
static bool fill(struct ahead *ahead, struct piece *piece)
{
    size_t room = ahead->left < PIECE_BYTES ? (size_t)ahead->left : PIECE_BYTES;
    ssize_t n;
    do
        n = read(ahead->fd, piece->bytes, room);
    while (n < 0 && errno == EINTR);
    if (n < 0)
        return fault_system(&ahead->faults, ahead->path, "cannot be read", errno);
    piece->n = (size_t)n;
    ahead->left -= piece->n;
    return n > 0;
}

static void *run(void *state)
{
    struct ahead *ahead = state;
    struct piece *piece;
    bool good = true;
    while (good && (piece = free_piece(ahead)) != NULL) {
        good = fill(ahead, piece);
        if (!good)
            break;
        /* It may be read while it is hashed; it is filled again only after both. */
        say_filled(ahead, false);
        if (ahead->hash != NULL)
            hash_feed(ahead->hash, piece->bytes, piece->n);
    }
    say_filled(ahead, true);
    return NULL;
}

struct ahead *ahead_start(int fd, uint64_t left, struct hash *hash, const char *path)
{
    struct ahead *ahead = malloc(sizeof *ahead);
    if (ahead == NULL)
        return NULL;
    ahead->fd = fd;
    ahead->left = left;
    ahead->hash = hash;
    ahead->path = path;
    ahead->filled = ahead->used = ahead->at = 0;
    ahead->ended = ahead->stop = false;
    faults_init(&ahead->faults);
    pthread_mutex_init(&ahead->lock, NULL);
    pthread_cond_init(&ahead->changed, NULL);
    if (thread_start(&ahead->thread, run, ahead))
        return ahead;
    pthread_cond_destroy(&ahead->changed);
    pthread_mutex_destroy(&ahead->lock);
    free(ahead);
    return NULL;
}

/* Waits for a piece. Returns: NULL at the end. */
static const struct piece *full_piece(struct ahead *ahead)
{
    pthread_mutex_lock(&ahead->lock);
    while (ahead->filled == ahead->used && !ahead->ended)
        pthread_cond_wait(&ahead->changed, &ahead->lock);
    bool any = ahead->filled > ahead->used;
    pthread_mutex_unlock(&ahead->lock);
    return any ? &ahead->piece[ahead->used % PIECES] : NULL;
}

static void say_used(struct ahead *ahead)
{
    pthread_mutex_lock(&ahead->lock);
    ahead->used++;
    ahead->at = 0;
    pthread_cond_signal(&ahead->changed);
    pthread_mutex_unlock(&ahead->lock);
}

bool ahead_read(struct ahead *ahead, char *out, size_t room, size_t *n, struct faults *faults)
{
    const struct piece *piece = full_piece(ahead);
    *n = 0;
    if (piece == NULL) {
        faults_join(faults, &ahead->faults);
        return !faults_any(&ahead->faults);
    }
    *n = piece->n - ahead->at < room ? piece->n - ahead->at : room;
    memcpy(out, piece->bytes + ahead->at, *n);
    ahead->at += *n;
    if (ahead->at == piece->n)
        say_used(ahead);
    return true;
}

void ahead_stop(struct ahead *ahead)
{
    if (ahead == NULL)
        return;
    pthread_mutex_lock(&ahead->lock);
    ahead->stop = true;
    pthread_cond_signal(&ahead->changed);
    pthread_mutex_unlock(&ahead->lock);
    pthread_join(ahead->thread, NULL);
    pthread_cond_destroy(&ahead->changed);
    pthread_mutex_destroy(&ahead->lock);
    free(ahead);
}
