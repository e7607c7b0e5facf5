/* SPDX-License-Identifier: MIT */
/* Pulls sound out of a peal, block by block, into a meter and sound files. */
#include "app/render_pass.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "app/crew.h"
#include "app/interrupt.h"
#include "app/progress.h"
#include "app/render_files.h"
#include "app/text_file.h"

/* Frames that are rendered while those before are metered and written: a sixth of a second, so that
 * a file lacks well under a second when the program is killed. */
enum { BLOCK_FRAMES = 8192 };

/* What is written of a rendering that a signal stopped while it was only being metered. */
static const double rescued_s = 30.0;

/* A block of frames on its way to the sinks. */
struct block {
    float *frames;
    float *stems[WP_TUBES_MAX]; /* behind frames */
    size_t n_frames;
};

/* One walk over the sound. Sinks that are NULL are not fed. */
struct pass {
    const struct app_render_job *job;
    struct wp_peal *peal;
    struct wp_meter *meter;
    struct app_render_files *files;
    size_t n_stems;
    struct app_crew crew;
    struct block blocks[2];                    /* one is rendered, the other metered and written */
    struct block *full;                        /* the latter */
    enum wp_status statuses[WP_TUBES_MAX + 2]; /* of the files, of the meter */
    uint64_t frame;                            /* next */
    uint64_t n_frames;                         /* where the walk ends */
    double share_from;                         /* progress: the walk runs from here to share_to */
    double share_to;
};

static void pass_destroy(struct pass *pass)
{
    app_crew_finish(&pass->crew);
    wp_peal_destroy(pass->peal);
    wp_meter_destroy(pass->meter);
    if (pass->files) {
        app_render_files_finish(pass->files);
        free(pass->files);
    }
    for (size_t i = 0; i < 2; i++) {
        free(pass->blocks[i].frames);
    }
    free(pass);
}

static enum wp_status block_alloc(struct block *block, size_t n_samples, size_t n_stems)
{
    block->frames = calloc(n_samples * (n_stems + 1), sizeof *block->frames);
    for (size_t i = 0; block->frames && i < n_stems; i++) {
        block->stems[i] = block->frames + n_samples * (i + 1);
    }
    return block->frames ? WP_OK : WP_E_NO_MEMORY;
}

static enum wp_status pass_create(struct pass **out, struct app_render_job *job,
                                  struct wp_diags *diags)
{
    *out = NULL;
    struct pass *pass = calloc(1, sizeof *pass);
    if (!pass) {
        return WP_E_NO_MEMORY;
    }
    const size_t n_samples = (size_t)job->n_channels * BLOCK_FRAMES;
    pass->job = job;
    pass->n_frames = job->n_frames;
    pass->n_stems = job->stems ? job->loaded.set.n_tubes : 0;
    app_crew_start(&pass->crew, job->n_threads - 1);
    enum wp_status status = block_alloc(&pass->blocks[0], n_samples, pass->n_stems);
    if (!status) {
        status = block_alloc(&pass->blocks[1], n_samples, pass->n_stems);
    }
    if (!status) {
        status = app_render_job_peal(job, &pass->peal, diags);
    }
    if (status) {
        pass_destroy(pass);
        return status;
    }
    *out = pass;
    return WP_OK;
}

/* The raised cosine that ends a file: 1 before the fade, 0 at the last frame. */
static float fade_gain(const struct app_render_job *job, uint64_t frame)
{
    const uint64_t left = job->n_frames - 1 - frame;
    if (left >= job->n_fade_frames) {
        return 1.0f;
    }
    return (float)(0.5 - 0.5 * cos(M_PI * (double)left / (double)job->n_fade_frames));
}

static void fade(const struct pass *pass, float *frames, size_t n_frames)
{
    const int n_channels = pass->job->n_channels;
    for (size_t i = 0; i < n_frames; i++) {
        const float gain = fade_gain(pass->job, pass->frame + i);
        for (int channel = 0; channel < n_channels; channel++) {
            *frames++ *= gain;
        }
    }
}

static void render_next(struct pass *pass, struct block *block)
{
    const struct app_render_job *job = pass->job;
    const uint64_t left = pass->n_frames - pass->frame;
    block->n_frames = left < BLOCK_FRAMES ? (size_t)left : BLOCK_FRAMES;
    if (pass->n_stems > 0 && pass->files) {
        wp_peal_render_stems(pass->peal, block->frames, block->stems, block->n_frames);
    } else {
        wp_peal_render(pass->peal, block->frames, block->n_frames);
    }
    if (pass->frame + block->n_frames + job->n_fade_frames > job->n_frames) {
        fade(pass, block->frames, block->n_frames);
        for (size_t i = 0; i < pass->n_stems; i++) {
            fade(pass, block->stems[i], block->n_frames);
        }
    }
    pass->frame += block->n_frames;
}

static size_t count_files(const struct pass *pass)
{
    return pass->files ? app_render_files_count(pass->files) : 0;
}

/* Feeds one sink: a file or, after them, the meter. */
static void feed(void *context, size_t sink)
{
    struct pass *pass = context;
    const struct block *block = pass->full;
    if (sink == count_files(pass)) {
        wp_meter_add(pass->meter, block->frames, block->n_frames);
        pass->statuses[sink] = WP_OK;
        return;
    }
    const float *frames = sink == 0 ? block->frames : block->stems[sink - 1];
    pass->statuses[sink] = app_render_files_write(pass->files, sink, frames, block->n_frames);
}

static void feed_all(struct pass *pass, struct block *block)
{
    pass->full = block;
    app_crew_hand_out(&pass->crew, feed, pass, count_files(pass) + (pass->meter ? 1 : 0));
}

/* Waits for the sinks; the first failure in their order is told. */
static enum wp_status settle(struct pass *pass, struct wp_diags *diags)
{
    app_crew_complete(&pass->crew);
    const size_t n_files = count_files(pass);
    for (size_t sink = 0; sink < n_files; sink++) {
        if (pass->statuses[sink]) {
            return app_render_files_refuse(pass->files, sink, pass->statuses[sink], diags);
        }
    }
    return pass->statuses[n_files];
}

static enum wp_status pass_run(struct pass *pass, struct app_session *session,
                               struct app_progress *progress)
{
    enum wp_status status = WP_OK;
    for (size_t turn = 0; pass->frame < pass->n_frames && !status; turn++) {
        struct block *block = &pass->blocks[turn % 2];
        render_next(pass, block);
        status = settle(pass, &session->diags); /* of the block before */
        if (!status) {
            feed_all(pass, block);
        }
        const double done_01 = (double)pass->frame / (double)pass->n_frames;
        app_progress_step(progress,
                          pass->share_from + (pass->share_to - pass->share_from) * done_01);
        const int caught = app_interrupt_caught();
        if (caught && !session->signal_number) {
            session->signal_number = caught;
            status = status ? status : WP_E_INTERRUPTED;
        }
    }
    if (!status || status == WP_E_INTERRUPTED) {
        const enum wp_status last = settle(pass, &session->diags);
        status = status ? status : last;
    }
    return status;
}

static enum wp_status pass_open_files(struct pass *pass, double gain_db, struct wp_diags *diags)
{
    pass->files = calloc(1, sizeof *pass->files);
    return pass->files ? app_render_files_open(pass->files, pass->job, gain_db, diags)
                       : WP_E_NO_MEMORY;
}

static enum wp_status pass_meter(struct pass *pass)
{
    const struct app_render_job *job = pass->job;
    const int n_ears = job->peal.channels == WP_STEREO ? 2 : 1;
    return wp_meter_create(&pass->meter, job->n_channels, n_ears, job->peal.rate_hz);
}

/* What the meter found, the gain that fits and the loudness that follows. */
static void take_levels(const struct pass *pass, struct app_render_result *result)
{
    wp_meter_result(pass->meter, &result->levels);
    result->gain_db = wp_level_gain_db(pass->job->level, &result->levels, &result->bound);
    result->file_lufs = wp_meter_loudness(pass->meter, result->gain_db);
}

/* First of two passes: how loud is it? *n_metered tells how far it came. */
static enum wp_status meter_sound(struct app_render_job *job, struct app_session *session,
                                  struct app_progress *progress, struct app_render_result *result,
                                  uint64_t *n_metered)
{
    struct pass *pass;
    enum wp_status status = pass_create(&pass, job, &session->diags);
    if (status) {
        return status;
    }
    pass->share_to = 0.5;
    status = pass_meter(pass);
    if (!status) {
        status = pass_run(pass, session, progress);
    }
    if (!status || status == WP_E_INTERRUPTED) {
        take_levels(pass, result);
    }
    *n_metered = pass->frame;
    pass_destroy(pass);
    return status;
}

/* Writes the first n_frames; meters along when nothing has metered before. */
static enum wp_status write_sound(struct app_render_job *job, struct app_session *session,
                                  struct app_progress *progress, uint64_t n_frames,
                                  struct app_render_result *result)
{
    struct pass *pass;
    const bool is_metering = job->level == WP_LEVEL_CALIBRATED;
    enum wp_status status = pass_create(&pass, job, &session->diags);
    if (status) {
        return status;
    }
    pass->n_frames = n_frames;
    pass->share_from = is_metering ? 0.0 : 0.5;
    pass->share_to = 1.0;
    status = pass_open_files(pass, result->gain_db, &session->diags);
    if (!status && is_metering) {
        status = pass_meter(pass);
    }
    if (!status) {
        status = pass_run(pass, session, progress);
    }
    if (!status && n_frames == job->n_frames) {
        status = app_render_files_commit(pass->files, &session->diags);
    }
    if (!status && is_metering) {
        take_levels(pass, result);
    }
    if (!status) {
        wp_peal_variety(pass->peal, &result->variety);
        result->n_clipped = app_render_files_clipped(pass->files);
    }
    pass_destroy(pass);
    return status;
}

/* Opens and leaves the files once, so that what is in their way shows before the first pass. */
static enum wp_status probe_files(const struct app_render_job *job, struct wp_diags *diags)
{
    struct app_render_files *files = calloc(1, sizeof *files);
    if (!files) {
        return WP_E_NO_MEMORY;
    }
    const enum wp_status status = app_render_files_open(files, job, 0.0, diags);
    app_render_files_finish(files);
    free(files);
    return status;
}

/* Two passes: the gain must be known before the first sample is written. */
static enum wp_status run_two_passes(struct app_render_job *job, struct app_session *session,
                                     struct app_progress *progress,
                                     struct app_render_result *result)
{
    uint64_t n_metered = 0;
    enum wp_status status = app_is_stdout(job->path) ? app_render_files_check(job, &session->diags)
                                                     : probe_files(job, &session->diags);
    if (!status) {
        status = meter_sound(job, session, progress, result, &n_metered);
    }
    if (status && status != WP_E_INTERRUPTED) {
        return status;
    }
    if (!status) {
        return write_sound(job, session, progress, job->n_frames, result);
    }
    /* Stopped while metering: hand over at least a beginning, at the gain that fits so far. */
    const uint64_t n_rescued = (uint64_t)(rescued_s * job->peal.rate_hz);
    write_sound(job, session, progress, n_metered < n_rescued ? n_metered : n_rescued, result);
    return WP_E_INTERRUPTED;
}

static enum wp_status explain_interrupt(const struct app_render_job *job,
                                        struct app_session *session)
{
    if (app_is_stdout(job->path)) {
        return app_refuse(&session->diags, WP_E_INTERRUPTED, NULL, "stopped before the end");
    }
    return app_refuse(&session->diags, WP_E_INTERRUPTED, NULL,
                      "stopped before the end; what was rendered is in %s.part, which plays",
                      job->path);
}

enum wp_status app_render_job_run(struct app_render_job *job, struct app_session *session,
                                  struct app_render_result *result)
{
    struct app_progress progress;
    enum wp_status status = WP_OK;
    *result = (struct app_render_result){.bound = WP_BOUND_NONE};
    app_progress_init(&progress, "rendering");
    app_interrupt_watch();
    if (job->level == WP_LEVEL_CALIBRATED) {
        status = write_sound(job, session, &progress, job->n_frames, result);
    } else {
        status = run_two_passes(job, session, &progress, result);
    }
    app_progress_finish(&progress);
    result->elapsed_s = app_clock_s() - progress.started_s;
    return status == WP_E_INTERRUPTED ? explain_interrupt(job, session) : status;
}
