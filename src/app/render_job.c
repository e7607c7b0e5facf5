/* SPDX-License-Identifier: MIT */
/* Decides what one rendering does: source, length, fade, format and tags. */
#include "app/render_job.h"

#include <math.h>
#include <stdio.h>

#include "app/crew.h"
#include "app/text_file.h"

static const double default_duration_s = 600.0;

/* A file from a strike list ends when the last strike has fallen by this much... */
static const double ring_out_db = 80.0;
/* ...or after this time, faded. */
static const double longest_ring_out_s = 30.0;

static const double fade_s = 2.0;

/* --each: a gentle hit, and time to listen to each tube. */
static const double each_speed_m_s = 0.3;
static const double each_gap_s = 4.0;

/* Refuses weather, and what means nothing without it. */
static enum wp_status check_no_weather(const struct app_arguments *arguments,
                                       struct wp_diags *diags)
{
    const char *word = arguments->is_given[APP_EACH] ? "--each" : "--strikes";
    if (arguments->n_operands > 1) {
        return app_refuse(diags, WP_E_CONFLICT, "leave out one of them",
                          "%s takes no weather, but '%s' is given", word, arguments->operands[1]);
    }
    for (int i = APP_FIXED_WIND; i <= APP_START; i++) {
        if (arguments->is_given[i]) {
            return app_refuse(diags, WP_E_CONFLICT, "leave out one of them",
                              "%s takes no weather, but --%s is given", word,
                              app_option((enum app_option_id)i)->name);
        }
    }
    return WP_OK;
}

static enum wp_status check_arguments(const struct app_arguments *arguments, struct wp_diags *diags)
{
    const bool *given = arguments->is_given;
    if (!given[APP_OUTPUT] && !given[APP_DRY_RUN]) {
        return app_refuse(diags, WP_E_MISSING, "for example -o out.wav",
                          "no sound file named; expected -o FILE");
    }
    if (given[APP_STEMS] && arguments->choice[APP_CHANNELS] == WP_TUBES) {
        return app_refuse(diags, WP_E_CONFLICT, "--channels tubes has every tube by itself already",
                          "--stems and --channels tubes exclude each other");
    }
    if (app_is_stdout(arguments->text[APP_STEMS])) {
        return app_refuse(diags, WP_E_CONFLICT, "for example --stems stems",
                          "--stems: standard output cannot hold several files; expected a folder");
    }
    enum wp_status status = app_refuse_both(arguments, APP_EACH, APP_STRIKE_LIST, diags);
    if (!status && (given[APP_EACH] || given[APP_STRIKE_LIST])) {
        status = check_no_weather(arguments, diags);
    }
    return status;
}

static void plan_format(struct app_render_job *job, const struct app_arguments *arguments)
{
    static const int rates_hz[] = {44100, 48000, 88200, 96000}; /* as in the option table */
    static const enum wp_level_profile levels[] = {WP_LEVEL_WEB, WP_LEVEL_BROADCAST,
                                                   WP_LEVEL_CALIBRATED};
    static const enum wp_kernel kernels[] = {WP_KERNEL_BLOCKS, WP_KERNEL_TILE};
    const bool *given = arguments->is_given;
    job->peal.rate_hz = given[APP_RATE] ? rates_hz[arguments->choice[APP_RATE]] : 48000;
    job->format = given[APP_BITS] ? (enum wp_sample_format)arguments->choice[APP_BITS] : WP_PCM_24;
    job->peal.channels = (enum wp_channels)arguments->choice[APP_CHANNELS];
    job->peal.kernel = kernels[arguments->choice[APP_KERNEL]];
    job->level = levels[arguments->choice[APP_LEVEL]];
    job->path = arguments->text[APP_OUTPUT];
    job->stems = arguments->text[APP_STEMS];
    job->peal.has_stems = job->stems != NULL;
    job->n_threads = app_threads(arguments);
    job->is_overwriting = given[APP_OVERWRITE];
    job->peal.seed = app_seed(arguments);
}

static enum wp_status load_source(struct app_render_job *job, struct app_session *session)
{
    const struct app_arguments *arguments = &session->arguments;
    const struct wp_strike_context *context = &job->loaded.context;
    if (arguments->is_given[APP_EACH]) {
        return wp_strike_list_each(&job->strikes, context, each_speed_m_s, each_gap_s);
    }
    if (arguments->is_given[APP_STRIKE_LIST]) {
        job->list_path = arguments->text[APP_STRIKE_LIST];
        return wp_strike_list_load(&job->strikes, arguments->text[APP_STRIKE_LIST], context,
                                   &session->diags);
    }
    job->is_from_weather = true;
    const enum wp_status status = app_weather_load(&job->source, arguments, arguments->operands[1],
                                                   default_duration_s, &session->diags);
    return status ? status
                  : app_weather_hang(&job->source, arguments, &job->loaded.set, &session->diags);
}

/* Moment of the last strike of a list. */
static double last_strike_s(const struct app_render_job *job)
{
    const size_t n_strikes = job->strikes.n_items;
    return n_strikes > 0 ? job->strikes.items[n_strikes - 1].t_s : 0.0;
}

/* Weather rings on at its end, so its last seconds always fade; a list may ring out. */
static void plan_length(struct app_render_job *job, bool is_given)
{
    double duration_s = job->peal.duration_s;
    bool is_faded = true;
    if (!job->is_from_weather) {
        const double last_s = last_strike_s(job);
        const double rung_out_s = wp_peal_ring_out_s(job->first, ring_out_db);
        if (!is_given) {
            duration_s = last_s + fmin(rung_out_s, longest_ring_out_s);
        }
        is_faded = last_s + rung_out_s > duration_s;
    }
    job->peal.duration_s = duration_s;
    job->n_frames = (uint64_t)(duration_s * job->peal.rate_hz + 0.5);
    if (is_faded) {
        const double faded_s = fmin(fade_s, 0.5 * duration_s);
        job->n_fade_frames = (uint64_t)(faded_s * job->peal.rate_hz + 0.5);
    }
}

static void plan_tags(struct app_render_job *job)
{
    if (job->is_from_weather && job->source.is_clocked) {
        wp_time_format(job->source.wind.start_s, job->date, sizeof job->date);
    }
    snprintf(job->comment, sizeof job->comment, "windpeal %s; set: %s; seed: %llu",
             WINDPEAL_VERSION, job->loaded.set.name, (unsigned long long)job->peal.seed);
}

/* How long it may last: a list rings on for a time that only the peal tells. */
static double longest_s(const struct app_render_job *job, const struct app_arguments *arguments)
{
    if (arguments->is_given[APP_DURATION]) {
        return arguments->number[APP_DURATION];
    }
    return job->is_from_weather ? job->source.duration_s : last_strike_s(job) + longest_ring_out_s;
}

/* The peal tells channels and ringing time; building it also checks the set. */
static enum wp_status plan_peal(struct app_render_job *job, struct app_session *session)
{
    enum wp_status status =
        app_set_load_room(&job->loaded, job->peal.rate_hz, &job->peal.impulse, &session->diags);
    if (status) {
        return status;
    }
    job->peal.set = &job->loaded.set;
    job->peal.chime = job->loaded.chime;
    job->peal.wind = job->is_from_weather ? &job->source.wind : NULL;
    job->peal.strikes = job->is_from_weather ? NULL : &job->strikes;
    job->peal.duration_s = longest_s(job, &session->arguments);
    status = wp_peal_create(&job->first, &job->peal, &session->diags);
    if (!status) {
        job->n_channels = wp_peal_channels(job->first);
        plan_length(job, session->arguments.is_given[APP_DURATION]);
        plan_tags(job);
    }
    return status;
}

enum wp_status app_render_job_peal(struct app_render_job *job, struct wp_peal **out,
                                   struct wp_diags *diags)
{
    if (!job->first) {
        return wp_peal_create(out, &job->peal, diags);
    }
    *out = job->first;
    job->first = NULL;
    return WP_OK;
}

enum wp_status app_render_job_plan(struct app_render_job *job, struct app_session *session)
{
    const struct app_arguments *arguments = &session->arguments;
    struct wp_chime_config config;
    *job = (struct app_render_job){.path = NULL};
    wp_chime_config_default(&config);
    plan_format(job, arguments);
    enum wp_status status = check_arguments(arguments, &session->diags);
    if (!status) {
        status = app_set_load(&job->loaded, arguments->operands[0], &config, &session->diags);
    }
    if (!status) {
        status = load_source(job, session);
    }
    if (!status) {
        status = plan_peal(job, session);
    }
    return status;
}

uint64_t app_render_job_bytes(const struct app_render_job *job)
{
    static const uint64_t bytes[] = {[WP_PCM_16] = 2, [WP_PCM_24] = 3, [WP_FLOAT_32] = 4};
    return job->n_frames * (uint64_t)job->n_channels * bytes[job->format];
}

double app_render_job_duration_s(const struct app_render_job *job)
{
    return (double)job->n_frames / job->peal.rate_hz;
}

void app_render_job_note(const struct app_render_job *job)
{
    app_set_note(&job->loaded);
    if (job->is_from_weather) {
        app_weather_note(&job->source, &job->loaded.set);
    }
}

void app_render_job_finish(struct app_render_job *job)
{
    wp_peal_destroy(job->first);
    wp_strike_list_finish(&job->strikes);
    app_weather_finish(&job->source);
    app_set_finish(&job->loaded);
}
