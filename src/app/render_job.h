/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_RENDER_JOB_H
#define WINDPEAL_APP_RENDER_JOB_H

#include <stdbool.h>
#include <stdint.h>

#include "app/command.h"
#include "app/set_source.h"
#include "app/weather_source.h"
#include "windpeal/level.h"
#include "windpeal/peal.h"
#include "windpeal/sound_file.h"
#include "windpeal/strike.h"

/* What one `windpeal render` shall do: everything is decided before the first sample. */

/* Must not move once planned: peal points into it. */
struct app_render_job {
    struct app_set loaded;
    struct app_weather source;     /* with is_from_weather */
    struct wp_strike_list strikes; /* without */
    const char *list_path;         /* of the strikes; NULL: every tube in turn */
    bool is_from_weather;
    struct wp_peal_config peal;
    struct wp_peal *first; /* built with the plan; NULL once a pass has taken it */
    enum wp_level_profile level;
    enum wp_sample_format format;
    int n_channels;
    uint64_t n_frames;
    uint64_t n_fade_frames; /* at the end; 0: everything has rung out by then */
    const char *path;       /* of the sound file; NULL only on a dry run */
    const char *stems;      /* folder, or NULL */
    size_t n_threads;       /* at least 1; more of them meter and write what one has rendered */
    bool is_overwriting;
    char date[32]; /* of the weather's start; empty without a dated weather */
    char comment[256];
};

/*
 * Reads set and weather (or strikes) and decides length, fade and tags.
 *
 * job  out; end it with app_render_job_finish, also on failure
 */
enum wp_status app_render_job_plan(struct app_render_job *job, struct app_session *session);

/* A peal at its beginning, for one walk over the sound. Free with wp_peal_destroy. */
enum wp_status app_render_job_peal(struct app_render_job *job, struct wp_peal **out,
                                   struct wp_diags *diags);

/* Bytes of samples in the sound file; compressed formats stay below. */
uint64_t app_render_job_bytes(const struct app_render_job *job);

/* Length of the file. */
double app_render_job_duration_s(const struct app_render_job *job);

/* Prints on stderr what set and weather leave to be known. */
void app_render_job_note(const struct app_render_job *job);

/* Frees what the job owns. */
void app_render_job_finish(struct app_render_job *job);

#endif
