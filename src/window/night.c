#include "window/night.h"

#include "base/calendar.h"
#include "ingest/span.h"

#include <math.h>
#include <string.h>

#define PIECE_US (10 * S_PER_MIN * US_PER_S)
#define HOUR_US (NIGHT_HOUR_PIECES * PIECE_US)

const enum channel night_channels[NIGHT_CHANNELS] = {CH_IRRADIANCE, CH_DIFFUSE, CH_GLOBAL,
                                                     CH_LEVEL_DIFFUSE, CH_DIRECT};

void night_init(struct night *night)
{
    memset(night, 0, sizeof *night);
    night->known_piece = INT64_MIN;
}

void night_place(struct night *night, double latitude_rad, double longitude_rad, double altitude_m)
{
    sun_init(&night->sun, latitude_rad, longitude_rad, altitude_m);
    night->placed = true;
}

double night_scatter(const struct night_sum *sum)
{
    return sum->n < 2 ? 0.0 : sqrt(sum->squares / (double)(sum->n - 1));
}

/* The later readings to the earlier ones. */
static void add_sum(struct night_sum *to, const struct night_sum *more)
{
    if (to->n == 0) {
        *to = *more;
        return;
    }
    double n = (double)(to->n + more->n);
    double off = more->mean - to->mean;
    to->squares += more->squares + off * off * (double)to->n * (double)more->n / n;
    to->mean += off * (double)more->n / n;
    to->n += more->n;
    to->last_us = more->last_us;
}

static bool is_down(struct night *night, int64_t time_us)
{
    static const double below = -0.104528463267653; /* sine of -NIGHT_BELOW degrees */
    return sun_covers(time_us) && sun_geometric(&night->sun, time_us).z < below;
}

/* Whether the sun is down all through a piece. */
static bool is_night(struct night *night, int64_t piece)
{
    if (piece != night->known_piece)
        night->known_down =
            is_down(night, piece * PIECE_US) && is_down(night, (piece + 1) * PIECE_US);
    night->known_piece = piece;
    return night->known_down;
}

static void close_stretch(const struct night *night, struct night_channel *channel)
{
    const struct night_sum *night_sum = night->placed ? &channel->stretch : &channel->lowest;
    struct night_found *found = &channel->found;
    bool counts = channel->pieces > 0 && channel->end_us - channel->start_us >= HOUR_US;
    if (counts && night_sum->n > 0) {
        double mean = night_sum->mean;
        found->least = found->nights == 0 ? mean : fmin(found->least, mean);
        found->most = found->nights == 0 ? mean : fmax(found->most, mean);
        found->nights++;
        add_sum(&found->all, night_sum);
    }
    channel->pieces = 0;
    channel->stretch.n = channel->lowest.n = 0;
}

/* The hour that ends with the newest piece, if it is the lowest so far. */
static void look_at_hour(struct night_channel *channel)
{
    struct night_sum hour = {0};
    if (channel->pieces < NIGHT_HOUR_PIECES)
        return;
    for (uint64_t i = channel->pieces - NIGHT_HOUR_PIECES; i < channel->pieces; i++)
        add_sum(&hour, &channel->hour[i % NIGHT_HOUR_PIECES]);
    if (channel->lowest.n == 0 || hour.mean < channel->lowest.mean)
        channel->lowest = hour;
}

/* The open piece's mean and squares from its sums. */
static void form_sum(struct night_channel *channel)
{
    double n = (double)channel->sum.n, off = channel->off_sum / n;
    channel->sum.mean = channel->first + off;
    channel->sum.squares = fmax(channel->off_squares - channel->off_sum * off, 0.0);
}

static void close_piece(const struct night *night, struct night_channel *channel)
{
    if (!channel->open)
        return;
    channel->open = false;
    if (!channel->dark) {
        close_stretch(night, channel);
        return;
    }
    if (channel->sum.n == 0)
        return;
    form_sum(channel);
    if (channel->pieces == 0)
        channel->start_us = channel->piece * PIECE_US;
    channel->end_us = (channel->piece + 1) * PIECE_US;
    add_sum(&channel->stretch, &channel->sum);
    channel->hour[channel->pieces++ % NIGHT_HOUR_PIECES] = channel->sum;
    look_at_hour(channel);
}

/* A stretch does not run on through an hour without a reading. */
static void open_piece(const struct night *night, struct night_channel *channel, int64_t piece)
{
    if (channel->pieces > 0 && piece * PIECE_US - channel->end_us >= HOUR_US)
        close_stretch(night, channel);
    channel->open = channel->dark = true;
    channel->piece = piece;
    channel->sum = (struct night_sum){0};
    channel->off_sum = channel->off_squares = 0.0;
}

static void take_first(struct night_channel *channel, const struct block *block, size_t row,
                       double value)
{
    struct night_sum *sum = &channel->sum;
    sum->first_us = block->time_us[row];
    if (block->place != NULL)
        sum->place = block->place[row];
    channel->first = value;
}

/* The good rows first to end - 1, up to one that is not dark, into the open piece. Its sums are
 * those of the differences from its first reading, which need no division for each reading. */
static void add_rows(struct night_channel *channel, const struct block *block, enum channel id,
                     size_t first, size_t end, double limit)
{
    const double *value = block->value[id];
    const uint8_t *flag = block->flag[id];
    double from = channel->first, off_sum = channel->off_sum, squares = channel->off_squares;
    uint64_t n = channel->sum.n;
    size_t last = block->n;
    for (size_t i = first; i < end && channel->dark; i++) {
        if (flag[i] != FLAG_GOOD)
            continue;
        channel->dark = fabs(value[i]) <= limit;
        double off = channel->dark ? value[i] - from : 0.0;
        off_sum += off;
        squares += off * off;
        n += channel->dark;
        last = i;
    }
    channel->off_sum = off_sum;
    channel->off_squares = squares;
    channel->sum.n = n;
    if (last < block->n)
        channel->sum.last_us = block->time_us[last];
}

/* Rows first to end - 1 lie in the open piece. By day the first one says enough. */
static void take_rows(struct night *night, struct night_channel *channel, const struct block *block,
                      enum channel id, size_t first, size_t end)
{
    double limit = night->placed ? NIGHT_FAR_W_M2 : NIGHT_NEAR_W_M2;
    if (!channel->dark)
        return;
    if (channel->sum.n == 0) {
        while (first < end && block->flag[id][first] != FLAG_GOOD)
            first++;
        if (first == end)
            return;
        double value = block->value[id][first];
        channel->dark = fabs(value) <= limit && (!night->placed || is_night(night, channel->piece));
        take_first(channel, block, first, value);
    }
    add_rows(channel, block, id, first, end, limit);
}

static void take_channel(struct night *night, struct night_channel *channel,
                         const struct block *block, enum channel id)
{
    channel->present = true;
    for (size_t i = 0, end; i < block->n; i = end) {
        int64_t time_us = block->time_us[i];
        int64_t piece = time_us / PIECE_US - (time_us % PIECE_US < 0);
        if (!channel->open || piece != channel->piece) {
            close_piece(night, channel);
            open_piece(night, channel, piece);
        }
        end = span_end(block, i + 1, (piece + 1) * PIECE_US);
        take_rows(night, channel, block, id, i, end);
    }
}

static bool take(void *state, const struct block *block, struct faults *faults)
{
    struct night *night = state;
    (void)faults;
    for (size_t k = 0; k < NIGHT_CHANNELS; k++)
        if (block->present[night_channels[k]])
            take_channel(night, &night->channel[k], block, night_channels[k]);
    return true;
}

static bool finish(void *state, struct faults *faults)
{
    struct night *night = state;
    (void)faults;
    for (size_t k = 0; k < NIGHT_CHANNELS; k++) {
        close_piece(night, &night->channel[k]);
        close_stretch(night, &night->channel[k]);
    }
    return true;
}

struct sink night_sink(struct night *night)
{
    return (struct sink){night, take, finish};
}
