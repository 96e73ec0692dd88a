#include "ingest/feed.h"

#include "base/threads.h"
#include "ingest/reader.h"

#include <stdlib.h>
#include <string.h>

static void copy_block(const struct log_plan *plan, const struct block *from,
                       struct screen_rows *to)
{
    struct block *block = &to->block;
    block->n = from->n;
    block->bytes_done = from->bytes_done;
    block->gap_before = from->gap_before;
    memcpy(block->time_us, from->time_us, from->n * sizeof *from->time_us);
    for (size_t k = 0; k < plan->n_columns; k++) {
        enum channel ch = plan->columns[k].channel;
        memcpy(block->value[ch], from->value[ch], from->n * sizeof *from->value[ch]);
        memcpy(block->flag[ch], from->flag[ch], from->n * sizeof *from->flag[ch]);
    }
}

/* Waits for a free slot. Returns: false if nothing more is wanted. */
static bool wait_for_room(struct feed *feed)
{
    pthread_mutex_lock(&feed->lock);
    while (feed->passed - feed->taken == FEED_SLOTS && !feed->unwanted)
        pthread_cond_wait(&feed->changed, &feed->lock);
    bool wanted = !feed->unwanted;
    pthread_mutex_unlock(&feed->lock);
    return wanted;
}

static bool take(void *state, const struct block *block, struct faults *faults)
{
    struct feed *feed = state;
    (void)faults;
    if (!wait_for_room(feed))
        return false;
    copy_block(feed->plan, block, &feed->slot[feed->passed % FEED_SLOTS]);
    pthread_mutex_lock(&feed->lock);
    feed->passed++;
    pthread_cond_signal(&feed->changed);
    pthread_mutex_unlock(&feed->lock);
    return true;
}

static void *run(void *state)
{
    struct feed *feed = state;
    struct sink sink = {.state = feed, .take = take};
    bool good = log_read(feed->plan, &sink, 1, feed->account, feed->faults);
    pthread_mutex_lock(&feed->lock);
    feed->good = good;
    feed->over = true;
    pthread_cond_signal(&feed->changed);
    pthread_mutex_unlock(&feed->lock);
    return NULL;
}

static bool make_room(struct feed *feed)
{
    for (size_t i = 0; i < FEED_SLOTS; i++)
        if (!screen_rows_init(&feed->slot[i], feed->plan))
            return false;
    return screen_rows_init(&feed->mine, feed->plan);
}

bool feed_begin(struct feed *feed, const struct log_plan *plan, const char *label,
                struct log_account *account, struct faults *faults)
{
    memset(feed, 0, sizeof *feed);
    log_account_init(account);
    feed->plan = plan;
    feed->label = label;
    feed->account = account;
    feed->faults = malloc(sizeof *feed->faults);
    if (feed->faults == NULL)
        return fault_memory(faults);
    faults_init(feed->faults);
    if (!make_room(feed))
        return fault_memory(faults);
    pthread_mutex_init(&feed->lock, NULL);
    pthread_cond_init(&feed->changed, NULL);
    feed->started = thread_start(&feed->thread, run, feed);
    if (feed->started)
        return true;
    pthread_cond_destroy(&feed->changed);
    pthread_mutex_destroy(&feed->lock);
    struct fault *fault = fault_new(faults, FAULT_MACHINE, fault_at(plan->files[0], 0, 0));
    fault_found(fault, "no thread can be started to read it with");
    fault_hint(fault, "several logs are read side by side: end other programs, or raise the limit "
                      "on threads ('ulimit -u')");
    return false;
}

const struct block *feed_next(struct feed *feed)
{
    pthread_mutex_lock(&feed->lock);
    while (feed->passed == feed->taken && !feed->over)
        pthread_cond_wait(&feed->changed, &feed->lock);
    bool any = feed->passed > feed->taken;
    if (any) {
        screen_rows_exchange(&feed->mine, &feed->slot[feed->taken % FEED_SLOTS]);
        feed->taken++;
        pthread_cond_signal(&feed->changed);
    }
    pthread_mutex_unlock(&feed->lock);
    return any ? &feed->mine.block : NULL;
}

static void join_thread(struct feed *feed, bool read_on)
{
    while (read_on && feed_next(feed) != NULL)
        ;
    pthread_mutex_lock(&feed->lock);
    feed->unwanted = true;
    pthread_cond_signal(&feed->changed);
    pthread_mutex_unlock(&feed->lock);
    pthread_join(feed->thread, NULL);
    pthread_cond_destroy(&feed->changed);
    pthread_mutex_destroy(&feed->lock);
    feed->started = false;
}

bool feed_end(struct feed *feed, bool read_on, struct faults *faults)
{
    if (feed->started)
        join_thread(feed, read_on);
    if (feed->faults != NULL) {
        faults_name_log(feed->faults, feed->label);
        faults_join(faults, feed->faults);
    }
    free(feed->faults);
    feed->faults = NULL;
    for (size_t i = 0; i < FEED_SLOTS; i++)
        screen_rows_free(&feed->slot[i]);
    screen_rows_free(&feed->mine);
    return feed->good;
}
