/* SPDX-License-Identifier: MIT */
/* Our end of a loudspeaker that is kept playing by other processes. */
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

#include "output/keeper.h"
#include "windpeal/loudspeaker.h"

/* Room for changes of state and noise between two looks. */
enum { EVENTS = 64, OPENINGS = 4, CHANNELS_MAX = 64 };

static const double latency_min_s = 0.02;
static const double latency_max_s = 2.0;

/* How long closing in good order may take. */
static const int patience_ms = 1000;

struct wp_loudspeaker {
    char device[160];
    struct wp_keeper_task task;
    struct wp_ward keeper;
};

static bool is_possible(const struct wp_loudspeaker_config *config)
{
    return config->n_channels >= 1 && config->n_channels <= CHANNELS_MAX &&
           config->latency_s >= latency_min_s && config->latency_s <= latency_max_s &&
           config->wanted_rate_hz >= WP_LOUDSPEAKER_RATE_MIN &&
           config->wanted_rate_hz <= WP_LOUDSPEAKER_RATE_MAX;
}

/* Memory that all processes share; the ring of frames has room for the latency at any rate. */
static enum wp_status share(struct wp_keeper_task *task)
{
    const struct wp_loudspeaker_config *config = &task->player.config;
    const double n_frames = config->latency_s * WP_LOUDSPEAKER_RATE_MAX;
    const size_t frame_size = (size_t)config->n_channels * sizeof(float);
    void *shared = mmap(NULL, sizeof *task->player.shared, PROT_READ | PROT_WRITE,
                        MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (shared == MAP_FAILED) {
        return WP_E_NO_MEMORY;
    }
    task->player.shared = shared;
    enum wp_status status = wp_ring_create(&task->player.frames, frame_size, (size_t)n_frames + 1);
    if (!status) {
        status = wp_ring_create(&task->player.openings, sizeof(struct wp_opening), OPENINGS);
    }
    if (!status) {
        status = wp_ring_create(&task->events, sizeof(struct wp_loudspeaker_event), EVENTS);
    }
    return status ? status : wp_ring_create(&task->noise, 1, WP_NOISE_MAX);
}

enum wp_status wp_loudspeaker_create(struct wp_loudspeaker **out,
                                     const struct wp_loudspeaker_config *config)
{
    *out = NULL;
    if (!is_possible(config)) {
        return WP_E_RANGE;
    }
    struct wp_loudspeaker *speaker = calloc(1, sizeof *speaker);
    if (!speaker) {
        return WP_E_NO_MEMORY;
    }
    speaker->keeper.noise_fd = -1;
    speaker->task.play = wp_sound_system_play;
    speaker->task.player.config = *config;
    if (config->device) {
        strncpy(speaker->device, config->device, sizeof speaker->device - 1);
        speaker->task.player.config.device = speaker->device;
    }
    enum wp_status status = share(&speaker->task);
    if (!status) {
        status = wp_ward_start(&speaker->keeper, wp_keeper_work, &speaker->task);
    }
    if (status) {
        wp_loudspeaker_destroy(speaker);
        return status;
    }
    *out = speaker;
    return WP_OK;
}

void wp_loudspeaker_destroy(struct wp_loudspeaker *speaker)
{
    if (!speaker) {
        return;
    }
    if (speaker->task.player.shared) {
        atomic_store(&speaker->task.player.shared->is_over, true);
        wp_ward_await(&speaker->keeper, patience_ms);
    }
    wp_ward_end(&speaker->keeper); /* the process that plays ends with it */
    if (speaker->task.player.shared) {
        munmap(speaker->task.player.shared, sizeof *speaker->task.player.shared);
    }
    wp_ring_destroy(speaker->task.player.frames);
    wp_ring_destroy(speaker->task.player.openings);
    wp_ring_destroy(speaker->task.events);
    wp_ring_destroy(speaker->task.noise);
    free(speaker);
}

bool wp_loudspeaker_next_event(struct wp_loudspeaker *speaker, struct wp_loudspeaker_event *event)
{
    return wp_ring_read(speaker->task.events, event, 1) > 0;
}

size_t wp_loudspeaker_write(struct wp_loudspeaker *speaker, const float *frames, size_t n_frames)
{
    return wp_ring_write(speaker->task.player.frames, frames, n_frames);
}

size_t wp_loudspeaker_waiting(const struct wp_loudspeaker *speaker)
{
    return wp_ring_count(speaker->task.player.frames);
}

void wp_loudspeaker_count(const struct wp_loudspeaker *speaker, uint64_t *n_played,
                          uint64_t *n_missing)
{
    struct wp_feeder_shared *shared = speaker->task.player.shared;
    *n_played = atomic_load_explicit(&shared->n_played, memory_order_relaxed);
    *n_missing = atomic_load_explicit(&shared->n_missing, memory_order_relaxed);
}

size_t wp_loudspeaker_noise(struct wp_loudspeaker *speaker, char *text, size_t text_size)
{
    const size_t n_read = wp_ring_read(speaker->task.noise, text, text_size - 1);
    text[n_read] = '\0';
    return n_read;
}
