/* SPDX-License-Identifier: MIT */
/* Which set plays when: the first one, an edited one, the next time round. */
#include <math.h>
#include <string.h>

#include "app/play.h"
#include "app/preset.h"
#include "app/report.h"

/* From the order to the change: enough for a thread that sleeps, and for building the next time. */
static const double lead_s = 0.15;

/* How long before the weather's end the next round is made ready. */
static const double ready_s = 0.5;

/* The next tenth of a second, a step of the wind, at or after t_s. */
static double next_step_s(double t_s)
{
    return ceil(t_s * 10.0 - 1e-6) / 10.0;
}

static enum wp_status make_voice(struct app_play *play, double t_s, struct app_voice **out)
{
    const struct app_arguments *arguments = &play->session->arguments;
    const struct app_voice_config config = {
        .set_name = arguments->operands[0],
        .arguments = arguments,
        .source = &play->source,
        .recent = play->recent,
        .n_recent = play->n_recent,
        .offset_s = t_s - play->round_s,
        .seed = app_seed(arguments) + play->n_rounds,
        .rate_hz = play->rate_hz,
        .listener = wp_stage_listener(play->thread.stage),
    };
    return app_voice_create(out, &config, &play->session->diags);
}

/* Orders the change to a voice that begins at t_s. */
static void change_voice(struct app_play *play, struct app_voice *voice, double t_s)
{
    const struct wp_order order = {
        .kind = WP_ORDER_PLAY,
        .peal = voice->peal,
        .frame = (uint64_t)(t_s * play->rate_hz + 0.5),
    };
    play->retiring = play->voice;
    play->voice = voice;
    play->voice_s = t_s;
    app_stage_order(&play->thread, &order);
}

enum wp_status app_play_start_stage(struct app_play *play, int rate_hz, double t_s)
{
    const double start_s = next_step_s(t_s);
    app_stage_thread_finish(&play->thread);
    play->n_taken = play->n_reports; /* nobody answers what was under way */
    app_voice_destroy(play->voice);
    app_voice_destroy(play->retiring);
    play->voice = NULL;
    play->retiring = NULL;
    play->rate_hz = rate_hz;
    const struct wp_stage_config config = {
        .player = {rate_hz, play->n_channels, play->gain, APP_PLAY_FADE_S},
        .n_ahead = (size_t)(0.75 * play->latency_s * rate_hz),
        .start_s = play->source.wind.start_s,
        .first_frame = (uint64_t)(start_s * rate_hz + 0.5),
    };
    enum wp_status status = app_stage_thread_init(&play->thread, &config, play->speaker);
    struct app_voice *voice = NULL;
    if (!status) {
        status = make_voice(play, start_s, &voice);
    }
    if (!status) {
        const struct wp_order mute = {.kind = WP_ORDER_MUTE, .is_on = play->view.is_muted};
        change_voice(play, voice, start_s);
        app_stage_order(&play->thread, &mute);
        status = app_stage_thread_start(&play->thread);
    }
    return status;
}

void app_play_note_set(struct app_play *play)
{
    if (!play->voice || stat(play->voice->loaded.set.file, &play->set_file) != 0) {
        memset(&play->set_file, 0, sizeof play->set_file);
    }
}

static bool is_same_file(const struct stat *one, const struct stat *other)
{
    return one->st_ino == other->st_ino && one->st_size == other->st_size &&
           one->st_mtim.tv_sec == other->st_mtim.tv_sec &&
           one->st_mtim.tv_nsec == other->st_mtim.tv_nsec;
}

/* Prints why the edited file does not do; the old set plays on. */
static void tell_wrong(struct app_play *play)
{
    app_play_screen_clear(&play->screen);
    for (size_t i = 0; i < play->session->diags.n_items; i++) {
        play->session->diags.items[i].status = WP_OK;
    }
    app_report_warnings(&play->session->diags);
    app_play_screen_note(&play->screen, "set",
                         "the set file cannot be played as it is now; the old set plays on");
}

static void try_edited(struct app_play *play)
{
    struct app_voice *voice = NULL;
    const double t_s = next_step_s(play->view.t_s + lead_s);
    const bool is_tubes = play->session->arguments.choice[APP_CHANNELS] == WP_TUBES;
    if (make_voice(play, t_s, &voice)) {
        tell_wrong(play);
    } else if (is_tubes && (int)voice->loaded.set.n_tubes != play->n_channels) {
        app_voice_destroy(voice);
        app_play_screen_note(&play->screen, "set",
                             "the set has another number of tubes now and one channel a tube was "
                             "asked for; start again to hear it");
    } else {
        wp_diags_init(&play->session->diags);
        change_voice(play, voice, t_s);
        play->is_off_log = true;
        app_play_screen_note(&play->screen, "set", "the set file was saved: %s plays now",
                             voice->loaded.set.name);
    }
}

/* A file that is being written is read again at its next change. While a change goes on, or a
 * report is on its way to the old voice, it waits. */
void app_play_look_at_set(struct app_play *play)
{
    struct stat now;
    const bool is_busy = play->retiring || play->n_reports != play->n_taken;
    if (!play->voice || is_busy || play->set_file.st_ino == 0 ||
        stat(play->voice->loaded.set.file, &now) != 0 || is_same_file(&now, &play->set_file)) {
        return;
    }
    play->set_file = now;
    try_edited(play);
}

void app_play_look_at_round(struct app_play *play)
{
    const double span_s = play->source.span_end_s - play->source.wind.start_s;
    const double next_s = next_step_s(play->round_s + span_s);
    if (!play->session->arguments.is_given[APP_LOOP] || play->retiring ||
        play->view.t_s < next_s - ready_s) {
        return;
    }
    struct app_voice *voice = NULL;
    const double round_s = play->round_s;
    play->round_s = next_s;
    play->n_rounds++;
    if (make_voice(play, next_s, &voice)) {
        tell_wrong(play); /* the set file was spoilt meanwhile: the weather's last record holds */
        play->round_s = round_s + span_s;
        return;
    }
    change_voice(play, voice, next_s);
    app_play_screen_note(&play->screen, "weather", "the weather begins anew");
}
