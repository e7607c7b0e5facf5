/* SPDX-License-Identifier: MIT */
/* The line from strikes to frames: pulls, renders fixed blocks, serves any number of frames. */

#include "windpeal/peal.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "windpeal/layout.h"

#include "base/clones.h"
#include "peal/agenda.h"
#include "peal/ahead.h"
#include "peal/strike_source.h"
#include "peal/wet.h"
#include "synth/bank.h"
#include "synth/excitation.h"
#include "synth/hall.h"
#include "synth/subnormal.h"
#include "synth/surround.h"

struct wp_peal {
    const struct wp_chime *chime;
    struct wp_layout layout;
    struct wp_striker striker;
    struct wp_strike_context context;
    struct wp_strike_source source;
    struct wp_wind *shown; /* the drive's wind without its look ahead; NULL: nobody asks */
    struct wp_wind_sample shown_sample;
    double shown_step_s;
    size_t n_shown; /* steps of it */
    int rate_hz;
    enum wp_channels channels;
    enum wp_kernel kernel;
    struct wp_peal_listener listener;
    size_t n_ears;
    size_t n_outputs;  /* of the bank: the ears, and the feed of a room */
    double earliest_s; /* how long before its strike a sound can reach an ear */
    struct wp_hall *hall;
    struct wp_excitation *excitations;
    struct wp_bank *bank;
    size_t block;            /* frames that the bank makes at a time */
    size_t n_tracks;         /* sounds that the bank keeps apart: one a tube or one for all */
    uint64_t block_start;    /* first frame of the block in the bank */
    struct wp_struck struck; /* the last strike that was taken over */
    struct wp_ahead ahead;   /* a row for each track and output */
    struct wp_wet wet;
    size_t chunk;    /* frames that are made before they are handed out: one block or many */
    size_t n_served; /* frames of them that were handed out */
    struct wp_agenda agenda;
};

/* The room, where there is one: a loudspeaker in a tube's place has its own. */
static enum wp_status build_hall(struct wp_peal *peal, const struct wp_peal_config *config,
                                 struct wp_diags *diags)
{
    const enum wp_room_kind kind = config->set->room.kind;
    const enum wp_status status = wp_hall_check(config->set, config->chime, &peal->layout, diags);
    const bool is_closed = kind == WP_ROOM_OF_SIZE || kind == WP_ROOM_RECORDED;
    if (status || !is_closed || peal->channels == WP_TUBES) {
        return status;
    }
    if (kind == WP_ROOM_RECORDED && !config->impulse) {
        return wp_diags_add(diags, WP_E_MISSING, config->set->file, config->set->room.mark, NULL,
                            "the room's impulse response is not at hand");
    }
    peal->n_outputs = peal->n_ears + 1;
    const struct wp_hall_config hall = {config->set, config->impulse, peal->rate_hz, peal->n_ears};
    return wp_hall_create(&peal->hall, &hall);
}

/* The room's gathering of blocks, and what is kept of contacts that reach into later ones. */
static enum wp_status build_buffers(struct wp_peal *peal, double latest_s)
{
    const size_t late_frames = (size_t)ceil(fmax(latest_s, 0.0) * peal->rate_hz);
    peal->block = wp_bank_block(peal->bank);
    peal->chunk = peal->block;
    enum wp_status status =
        wp_ahead_init(&peal->ahead, peal->n_tracks * peal->n_outputs, late_frames);
    if (!status && peal->hall) {
        status = wp_wet_init(&peal->wet, peal->hall, peal->n_tracks, peal->n_ears, peal->block,
                             peal->kernel == WP_KERNEL_TILE);
        peal->chunk = peal->wet.n_frames;
    }
    peal->n_served = peal->chunk;
    return status;
}

/* Excitations of all tubes and the bank that they play. */
static enum wp_status build_voices(struct wp_peal *peal, const struct wp_set *set)
{
    static const enum wp_hearer hearers[] = {[WP_STEREO] = WP_HEARER_EARS,
                                             [WP_MONO] = WP_HEARER_HEAD,
                                             [WP_TUBES] = WP_HEARER_LOUDSPEAKER};
    const enum wp_hearer hearer = hearers[peal->channels];
    const size_t n_tubes = peal->chime->n_tubes;
    struct wp_bank_voice voices[WP_TUBES_MAX];
    double latest_s = 0.0;
    peal->excitations = calloc(n_tubes, sizeof *peal->excitations);
    if (!peal->excitations) {
        return WP_E_NO_MEMORY;
    }
    for (size_t i = 0; i < n_tubes; i++) {
        struct wp_excitation *excitation = &peal->excitations[i];
        wp_excitation_init(excitation, set, &peal->chime->tubes[i], &peal->layout, i, hearer,
                           peal->rate_hz);
        wp_surround(excitation, set, &peal->layout, i, peal->hall);
        voices[i] = (struct wp_bank_voice){excitation->partials, excitation->n_partials};
        for (size_t way = 0; way < excitation->n_ways; way++) {
            peal->earliest_s = fmax(peal->earliest_s, -excitation->paths[way].lag_s);
            latest_s = fmax(latest_s, excitation->paths[way].lag_s);
        }
    }
    const struct wp_bank_config config = {
        .rate_hz = peal->rate_hz,
        .n_ears = peal->n_outputs,
        .voices = voices,
        .n_voices = n_tubes,
        .is_blockwise = peal->kernel == WP_KERNEL_BLOCKS,
        .is_mixed = peal->n_tracks == 1,
    };
    const enum wp_status status = wp_bank_create(&peal->bank, &config);
    return status ? status : build_buffers(peal, latest_s);
}

static enum wp_status build(struct wp_peal *peal, const struct wp_peal_config *config,
                            struct wp_diags *diags)
{
    enum wp_status status = wp_layout_init(&peal->layout, config->set, config->chime, diags);
    const enum wp_status striker_status = wp_striker_init(&peal->striker, config->set, diags);
    status = status ? status : striker_status;
    status = status ? status : build_hall(peal, config, diags);
    if (!status) {
        status = build_voices(peal, config->set);
    }
    if (status) {
        return status;
    }
    if (config->strikes) {
        wp_strike_source_init_list(&peal->source, config->strikes, config->chime->n_tubes,
                                   config->duration_s);
        return WP_OK;
    }
    if (config->has_shown_wind) {
        peal->shown_step_s = config->wind->step_s;
        status = wp_wind_create(&peal->shown, config->wind);
    }
    return status ? status
                  : wp_strike_source_init_drive(&peal->source, config->wind, &peal->context,
                                                config->seed, config->duration_s);
}

enum wp_status wp_peal_create(struct wp_peal **out, const struct wp_peal_config *config,
                              struct wp_diags *diags)
{
    assert((config->wind != NULL) != (config->strikes != NULL));
    *out = NULL;
    struct wp_peal *peal = calloc(1, sizeof *peal);
    if (!peal) {
        return WP_E_NO_MEMORY;
    }
    peal->chime = config->chime;
    peal->rate_hz = config->rate_hz;
    peal->channels = config->channels;
    peal->kernel = config->kernel;
    peal->listener = config->listener;
    peal->n_ears = config->channels == WP_STEREO ? 2 : 1;
    peal->n_outputs = peal->n_ears;
    peal->n_tracks = config->channels == WP_TUBES || config->has_stems ? config->chime->n_tubes : 1;
    peal->context.set = config->set;
    peal->context.chime = config->chime;
    peal->context.layout = &peal->layout;
    peal->context.striker = &peal->striker;
    const enum wp_status status = build(peal, config, diags);
    if (status) {
        wp_peal_destroy(peal);
        return status;
    }
    *out = peal;
    return WP_OK;
}

void wp_peal_destroy(struct wp_peal *peal)
{
    if (!peal) {
        return;
    }
    wp_strike_source_finish(&peal->source);
    wp_wind_destroy(peal->shown);
    wp_wet_finish(&peal->wet);
    wp_ahead_finish(&peal->ahead);
    wp_bank_destroy(peal->bank);
    wp_hall_destroy(peal->hall);
    free(peal->excitations);
    free(peal);
}

int wp_peal_channels(const struct wp_peal *peal)
{
    return peal->channels == WP_TUBES ? (int)peal->chime->n_tubes : (int)peal->n_ears;
}

/* Lays out a strike's contact and leaves its ringing on the agenda. */
static void take_blow(struct wp_peal *peal, const struct wp_strike *strike, double heard_at,
                      struct wp_entry *entry)
{
    const struct wp_struck *struck = &peal->struck;
    const struct wp_onset *onset = &struck->onset;
    const struct wp_excitation *excitation = &peal->excitations[strike->tube];
    wp_excitation_strike(excitation, &peal->striker, strike, heard_at, &peal->struck);
    if (peal->listener.hear) {
        peal->listener.hear(peal->listener.target, strike);
    }
    const size_t n_bytes = excitation->n_partials * sizeof entry->kept[0];
    memcpy(entry->kept, struck->kept, n_bytes);
    for (size_t i = 0; i < excitation->n_ways; i++) {
        const size_t track = peal->n_tracks > 1 ? strike->tube : 0;
        const size_t row = track * peal->n_outputs + excitation->output[i];
        wp_ahead_add(&peal->ahead, row, ceil(struck->start[i]), onset->heard[i], onset->n_heard[i]);
        const size_t way = wp_entry_add_way(entry, excitation->output[i]);
        entry->start[way] = struck->start[i];
        entry->end[way] = struck->start[i] + onset->n_frames;
        memcpy(entry->re[way], onset->re[i], n_bytes);
        memcpy(entry->im[way], onset->im[i], n_bytes);
    }
}

static void take_lean(const struct wp_peal *peal, const struct wp_strike *strike, double heard_at,
                      struct wp_entry *entry)
{
    const struct wp_excitation *excitation = &peal->excitations[strike->tube];
    struct wp_leant leant;
    wp_excitation_lean(excitation, &peal->striker, strike, heard_at, &leant);
    memcpy(entry->kept, leant.added_per_s, excitation->n_partials * sizeof entry->kept[0]);
    for (size_t i = 0; i < excitation->n_ways; i++) {
        const size_t way = wp_entry_add_way(entry, excitation->output[i]);
        entry->start[way] = leant.start[i];
        entry->end[way] = leant.start[i];
        if (!entry->is_straight[way]) {
            entry->n_ways--;
        }
    }
}

static void take_over(struct wp_peal *peal, const struct wp_strike *strike)
{
    struct wp_entry *entry = wp_agenda_add(&peal->agenda);
    const double heard_at = strike->t_s * peal->rate_hz - (double)peal->block_start;
    entry->tube = strike->tube;
    entry->is_blow = wp_strike_is_blow(strike);
    entry->is_rest = strike->speed_m_s == 0.0 && !peal->striker.is_ideal;
    if (entry->is_blow) {
        take_blow(peal, strike, heard_at, entry);
    } else {
        take_lean(peal, strike, heard_at, entry);
    }
}

/* Takes over the strikes that are heard in the block at block_start; false: there was no room for
 * all. */
static bool pull_strikes(struct wp_peal *peal)
{
    const double start = (double)peal->block_start;
    const double until_s = (start + (double)peal->block) / peal->rate_hz + peal->earliest_s;
    struct wp_strike strike;
    while (!wp_agenda_is_full(&peal->agenda)) {
        if (!wp_strike_source_next(&peal->source, until_s, &strike)) {
            return true;
        }
        take_over(peal, &strike);
    }
    return false;
}

/* The frames of contacts in this block. */
static void add_contacts(struct wp_peal *peal)
{
    for (size_t row = 0; row < peal->ahead.n_rows; row++) {
        float *frames = wp_bank_frames(peal->bank, row / peal->n_outputs, row % peal->n_outputs);
        wp_ahead_take(&peal->ahead, row, frames, peal->block);
    }
}

static void render_block(struct wp_peal *peal)
{
    bool is_complete = pull_strikes(peal);
    const uint64_t setting = wp_subnormal_flush();
    wp_bank_render(peal->bank);
    wp_agenda_tell(&peal->agenda, 0, peal->bank);
    wp_subnormal_restore(setting);
    /* Live, a crowd waits for the next block, which must come in time. */
    while (!is_complete && peal->kernel == WP_KERNEL_BLOCKS && !wp_agenda_is_full(&peal->agenda)) {
        const size_t n_reaching = peal->agenda.n;
        is_complete = pull_strikes(peal);
        wp_subnormal_flush();
        wp_agenda_tell(&peal->agenda, n_reaching, peal->bank);
        wp_subnormal_restore(setting);
    }
    add_contacts(peal);
    peal->block_start += peal->block;
}

/* Makes the next frames to hand out: a block, or as many as the room takes at a time. */
static void render_chunk(struct wp_peal *peal)
{
    if (!peal->hall) {
        render_block(peal);
        return;
    }
    const size_t size = peal->block * sizeof(float);
    for (size_t first = 0; first < peal->chunk; first += peal->block) {
        render_block(peal);
        for (size_t row = 0; row < peal->n_tracks * peal->n_outputs; row++) {
            const size_t track = row / peal->n_outputs;
            const size_t output = row % peal->n_outputs;
            memcpy(wp_wet_frames(&peal->wet, track, output) + first,
                   wp_bank_frames(peal->bank, track, output), size);
        }
    }
    const uint64_t setting = wp_subnormal_flush();
    wp_wet_answer(&peal->wet);
    wp_subnormal_restore(setting);
}

/* Frames of a track at an ear that are to be handed out next. */
static const float *next_frames(struct wp_peal *peal, size_t track, size_t ear)
{
    const float *frames =
        peal->hall ? wp_wet_frames(&peal->wet, track, ear) : wp_bank_frames(peal->bank, track, ear);
    return frames + peal->n_served;
}

/* Interleaves the next n frames of one track into its channels. */
static void copy_track(struct wp_peal *peal, size_t track, float *frames, size_t stride, size_t n)
{
    for (size_t ear = 0; ear < peal->n_ears; ear++) {
        const float *from = next_frames(peal, track, ear);
        for (size_t i = 0; i < n; i++) {
            frames[i * stride + ear] = from[i];
        }
    }
}

WP_CLONED
static void interleave(const float *restrict left, const float *restrict right,
                       float *restrict frames, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        frames[2 * i] = left[i];
        frames[2 * i + 1] = right[i];
    }
}

/* The sum of all tracks, always in the same order. */
static void mix_tracks(struct wp_peal *peal, float *frames, size_t n)
{
    if (peal->n_tracks == 1 && peal->n_ears == 2) {
        interleave(next_frames(peal, 0, 0), next_frames(peal, 0, 1), frames, n);
        return;
    }
    copy_track(peal, 0, frames, peal->n_ears, n);
    for (size_t track = 1; track < peal->n_tracks; track++) {
        for (size_t ear = 0; ear < peal->n_ears; ear++) {
            const float *from = next_frames(peal, track, ear);
            for (size_t i = 0; i < n; i++) {
                frames[i * peal->n_ears + ear] += from[i];
            }
        }
    }
}

/* Hands out up to n_frames of what is made, after making more when it is used up. */
static size_t serve(struct wp_peal *peal, float *frames, float *const *stems, size_t first,
                    size_t n_frames)
{
    if (peal->n_served == peal->chunk) {
        render_chunk(peal);
        peal->n_served = 0;
    }
    const size_t n_left = peal->chunk - peal->n_served;
    const size_t n = n_frames - first < n_left ? n_frames - first : n_left;
    const size_t n_tubes = peal->chime->n_tubes;
    if (peal->channels == WP_TUBES) {
        for (size_t tube = 0; tube < n_tubes; tube++) {
            copy_track(peal, tube, frames + first * n_tubes + tube, n_tubes, n);
        }
    } else {
        mix_tracks(peal, frames + first * peal->n_ears, n);
    }
    for (size_t tube = 0; stems && tube < n_tubes; tube++) {
        copy_track(peal, tube, stems[tube] + first * peal->n_ears, peal->n_ears, n);
    }
    peal->n_served += n;
    return n;
}

void wp_peal_render(struct wp_peal *peal, float *frames, size_t n_frames)
{
    for (size_t done = 0; done < n_frames;) {
        done += serve(peal, frames, NULL, done, n_frames);
    }
}

void wp_peal_render_stems(struct wp_peal *peal, float *frames, float *const *stems, size_t n_frames)
{
    assert(peal->channels != WP_TUBES && peal->n_tracks == peal->chime->n_tubes);
    for (size_t done = 0; done < n_frames;) {
        done += serve(peal, frames, stems, done, n_frames);
    }
}

bool wp_peal_strike(struct wp_peal *peal, size_t tube, double speed_m_s)
{
    static const double speed_max_m_s = 20.0;
    if (tube >= peal->chime->n_tubes || !(speed_m_s > 0.0 && speed_m_s <= speed_max_m_s)) {
        return false;
    }
    struct wp_strike strike = {
        .t_s = (double)peal->block_start / peal->rate_hz,
        .tube = tube,
        .speed_m_s = speed_m_s,
        .bearing_deg = NAN,
        .height_m = NAN,
        .impulse_n_s = NAN,
    };
    wp_strike_complete(&strike, &peal->context);
    return wp_strike_source_add(&peal->source, &strike);
}

enum wp_status wp_peal_report(struct wp_peal *peal, const struct wp_record *record)
{
    /* First the one that is behind: more may wait there, and both shall take the same. */
    if (!peal->source.wind || (peal->shown && wp_wind_report(peal->shown, record))) {
        return WP_E_RANGE;
    }
    return wp_wind_report(peal->source.wind, record);
}

enum wp_status wp_peal_set_averages(struct wp_peal *peal, const struct wp_averages *averages)
{
    if (peal->shown) {
        wp_wind_set_averages(peal->shown, averages);
    }
    return peal->source.wind ? wp_wind_set_averages(peal->source.wind, averages) : WP_E_RANGE;
}

/* Of the next frame. */
static double time_s(const struct wp_peal *peal)
{
    const double n_rendered = (double)peal->block_start - (double)(peal->chunk - peal->n_served);
    return fmax(n_rendered, 0.0) / peal->rate_hz;
}

enum wp_wind_news wp_peal_wind(struct wp_peal *peal, struct wp_wind_sample *sample)
{
    if (!peal->shown) {
        return WP_WIND_FRESH;
    }
    while ((double)peal->n_shown * peal->shown_step_s <= time_s(peal)) {
        wp_wind_step(peal->shown, &peal->shown_sample);
        peal->n_shown++;
    }
    *sample = peal->shown_sample;
    return wp_wind_news(peal->shown);
}

void wp_peal_variety(const struct wp_peal *peal, struct wp_variety *variety)
{
    wp_variety_result(&peal->source.variety, fmin(time_s(peal), peal->source.end_s), variety);
}

double wp_peal_ring_out_s(const struct wp_peal *peal, double drop_db)
{
    double slowest_s = 0.0;
    for (size_t i = 0; i < peal->chime->n_tubes; i++) {
        const struct wp_excitation *excitation = &peal->excitations[i];
        for (size_t m = 0; m < excitation->n_partials; m++) {
            slowest_s = fmax(slowest_s, excitation->partials[m].t60_s);
        }
    }
    const double room_s = peal->hall ? wp_hall_ring_out_s(peal->hall, drop_db) : 0.0;
    return slowest_s * drop_db / 60.0 + room_s;
}
