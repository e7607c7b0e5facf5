/* SPDX-License-Identifier: MIT */
/* The line from strikes to frames: pulls, renders fixed blocks, serves any number of frames. */

#include "windpeal/peal.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "windpeal/layout.h"

#include "peal/ahead.h"
#include "peal/strike_source.h"
#include "synth/bank.h"
#include "synth/excitation.h"
#include "synth/subnormal.h"

/*
 * Strikes whose contact has not ended by the end of a block. When more than this fall into one
 * block the rest waits for the next and joins in its place in time, short of some milliseconds.
 */
enum { PENDING_MAX = 128 };

/* A strike on its way from contact to free ringing. */
struct pending {
    size_t tube;
    double
        end[WP_BANK_OUTPUTS_MAX]; /* of the contact as each ear hears it, in frames of the block */
    bool is_ringing[WP_BANK_OUTPUTS_MAX];
    double re[WP_BANK_OUTPUTS_MAX][WP_BANK_PARTIALS_MAX];
    double im[WP_BANK_OUTPUTS_MAX][WP_BANK_PARTIALS_MAX];
};

struct wp_peal {
    const struct wp_chime *chime;
    struct wp_layout layout;
    struct wp_striker striker;
    struct wp_strike_context context;
    struct wp_strike_source source;
    int rate_hz;
    enum wp_channels channels;
    enum wp_kernel kernel;
    struct wp_peal_listener listener;
    size_t n_ears;
    double earliest_s; /* how long before its strike a sound can reach an ear */
    struct wp_excitation *excitations;
    struct wp_bank *bank;
    size_t block;            /* frames that the bank makes at a time */
    size_t n_tracks;         /* sounds that the bank keeps apart: one a tube or one for all */
    uint64_t block_start;    /* first frame of the block in the bank */
    size_t n_served;         /* frames of it that were handed out */
    struct wp_struck struck; /* the last strike that was taken over */
    struct wp_ahead ahead;   /* a row for each track and ear */
    size_t n_pending;
    struct pending pending[PENDING_MAX];
};

/* Excitations of all tubes and the bank that they play. */
static enum wp_status build_voices(struct wp_peal *peal, const struct wp_set *set)
{
    static const enum wp_hearer hearers[] = {[WP_STEREO] = WP_HEARER_EARS,
                                             [WP_MONO] = WP_HEARER_HEAD,
                                             [WP_TUBES] = WP_HEARER_LOUDSPEAKER};
    const enum wp_hearer hearer = hearers[peal->channels];
    const size_t n_tubes = peal->chime->n_tubes;
    struct wp_bank_voice voices[WP_TUBES_MAX];
    peal->excitations = calloc(n_tubes, sizeof *peal->excitations);
    if (!peal->excitations) {
        return WP_E_NO_MEMORY;
    }
    for (size_t i = 0; i < n_tubes; i++) {
        struct wp_excitation *excitation = &peal->excitations[i];
        wp_excitation_init(excitation, set, &peal->chime->tubes[i], &peal->layout, i, hearer,
                           peal->rate_hz);
        voices[i] = (struct wp_bank_voice){excitation->partials, excitation->n_partials};
        for (size_t ear = 0; ear < peal->n_ears; ear++) {
            peal->earliest_s = fmax(peal->earliest_s, -excitation->paths[ear].lag_s);
        }
    }
    const struct wp_bank_config config = {
        .rate_hz = peal->rate_hz,
        .n_ears = peal->n_ears,
        .voices = voices,
        .n_voices = n_tubes,
        .is_blockwise = peal->kernel == WP_KERNEL_BLOCKS,
        .is_mixed = peal->n_tracks == 1,
    };
    enum wp_status status = wp_ahead_init(&peal->ahead, peal->n_tracks * peal->n_ears);
    status = status ? status : wp_bank_create(&peal->bank, &config);
    if (!status) {
        peal->block = wp_bank_block(peal->bank);
        peal->n_served = peal->block;
    }
    return status;
}

static enum wp_status build(struct wp_peal *peal, const struct wp_peal_config *config,
                            struct wp_diags *diags)
{
    enum wp_status status = wp_layout_init(&peal->layout, config->set, config->chime, diags);
    const enum wp_status striker_status = wp_striker_init(&peal->striker, config->set, diags);
    status = status ? status : striker_status;
    if (!status && config->set->room.kind != WP_ROOM_FREE) {
        status = wp_diags_add(diags, WP_E_NOT_BUILT, config->set->file, config->set->room.mark,
                              "render with  room: free", "this kind of room does not sound yet");
    }
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
    return wp_strike_source_init_drive(&peal->source, config->wind, &peal->context, config->seed,
                                       config->duration_s);
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
    wp_ahead_finish(&peal->ahead);
    wp_bank_destroy(peal->bank);
    free(peal->excitations);
    free(peal);
}

int wp_peal_channels(const struct wp_peal *peal)
{
    return peal->channels == WP_TUBES ? (int)peal->chime->n_tubes : (int)peal->n_ears;
}

/* Lays out a strike's contact and leaves its ringing pending. */
static void take_over(struct wp_peal *peal, const struct wp_strike *strike)
{
    struct pending *pending = &peal->pending[peal->n_pending++];
    const struct wp_struck *struck = &peal->struck;
    const struct wp_onset *onset = &struck->onset;
    const double heard_at = strike->t_s * peal->rate_hz - (double)peal->block_start;
    wp_excitation_strike(&peal->excitations[strike->tube], &peal->striker, strike, heard_at,
                         &peal->struck);
    pending->tube = strike->tube;
    if (peal->listener.hear) {
        peal->listener.hear(peal->listener.target, strike);
    }
    for (size_t ear = 0; ear < peal->n_ears; ear++) {
        const size_t track = peal->n_tracks > 1 ? strike->tube : 0;
        const size_t row = track * peal->n_ears + ear;
        wp_ahead_add(&peal->ahead, row, ceil(struck->start[ear]), onset->heard[ear],
                     onset->n_heard[ear]);
        pending->end[ear] = struck->start[ear] + onset->n_frames;
        pending->is_ringing[ear] = false;
        memcpy(pending->re[ear], onset->re[ear], sizeof pending->re[ear]);
        memcpy(pending->im[ear], onset->im[ear], sizeof pending->im[ear]);
    }
}

/* Takes over the strikes that are heard in the block at block_start; false: there was no room for
 * all. */
static bool pull_strikes(struct wp_peal *peal)
{
    const double start = (double)peal->block_start;
    const double until_s = (start + (double)peal->block) / peal->rate_hz + peal->earliest_s;
    struct wp_strike strike;
    while (peal->n_pending < PENDING_MAX) {
        if (!wp_strike_source_next(&peal->source, until_s, &strike)) {
            return true;
        }
        if (wp_strike_is_blow(&strike)) {
            take_over(peal, &strike);
        }
    }
    return false;
}

/* Lets a strike ring if its contact ends in this block; true when it does not. */
static bool is_touching(struct wp_peal *peal, struct pending *pending, size_t ear)
{
    if (!pending->is_ringing[ear] && pending->end[ear] < (double)peal->block) {
        const struct wp_bank_blow blow = {
            pending->tube, ear, pending->end[ear], pending->re[ear], pending->im[ear], NULL};
        wp_bank_excite(peal->bank, &blow);
        pending->is_ringing[ear] = true;
    }
    pending->end[ear] -= (double)peal->block;
    return !pending->is_ringing[ear];
}

/* The frames of contacts in this block. */
static void add_contacts(struct wp_peal *peal)
{
    for (size_t row = 0; row < peal->ahead.n_rows; row++) {
        float *frames = wp_bank_frames(peal->bank, row / peal->n_ears, row % peal->n_ears);
        wp_ahead_take(&peal->ahead, row, frames, peal->block);
    }
}

/* Adds the part of the block of all strikes from first on; keeps those that reach further. */
static void sound_strikes(struct wp_peal *peal, size_t first)
{
    size_t n_kept = first;
    for (size_t i = first; i < peal->n_pending; i++) {
        bool is_kept = false;
        for (size_t ear = 0; ear < peal->n_ears; ear++) {
            is_kept = is_touching(peal, &peal->pending[i], ear) || is_kept;
        }
        if (is_kept) {
            peal->pending[n_kept] = peal->pending[i];
            n_kept++;
        }
    }
    peal->n_pending = n_kept;
}

static void render_block(struct wp_peal *peal)
{
    bool is_complete = pull_strikes(peal);
    const uint64_t setting = wp_subnormal_flush();
    wp_bank_render(peal->bank);
    sound_strikes(peal, 0);
    wp_subnormal_restore(setting);
    /* Live, a crowd waits for the next block, which must come in time. */
    while (!is_complete && peal->kernel == WP_KERNEL_BLOCKS && peal->n_pending < PENDING_MAX) {
        const size_t n_reaching = peal->n_pending;
        is_complete = pull_strikes(peal);
        wp_subnormal_flush();
        sound_strikes(peal, n_reaching);
        wp_subnormal_restore(setting);
    }
    add_contacts(peal);
    peal->block_start += peal->block;
}

/* Interleaves n frames of the block from n_served on: one voice into its channels. */
static void copy_voice(struct wp_peal *peal, size_t voice, float *frames, size_t stride, size_t n)
{
    for (size_t ear = 0; ear < peal->n_ears; ear++) {
        const float *from = wp_bank_frames(peal->bank, voice, ear) + peal->n_served;
        for (size_t i = 0; i < n; i++) {
            frames[i * stride + ear] = from[i];
        }
    }
}

/* The sum of all tracks, always in the same order. */
static void mix_tracks(struct wp_peal *peal, float *frames, size_t n)
{
    for (size_t ear = 0; ear < peal->n_ears; ear++) {
        float sum[WP_BANK_BLOCK_MAX] = {0.0f};
        for (size_t track = 0; track < peal->n_tracks; track++) {
            const float *from = wp_bank_frames(peal->bank, track, ear) + peal->n_served;
            for (size_t i = 0; i < n; i++) {
                sum[i] += from[i];
            }
        }
        for (size_t i = 0; i < n; i++) {
            frames[i * peal->n_ears + ear] = sum[i];
        }
    }
}

/* Hands out up to n_frames of the current block, after making the next when it is used up. */
static size_t serve(struct wp_peal *peal, float *frames, float *const *stems, size_t first,
                    size_t n_frames)
{
    if (peal->n_served == peal->block) {
        render_block(peal);
        peal->n_served = 0;
    }
    const size_t n_left = peal->block - peal->n_served;
    const size_t n = n_frames - first < n_left ? n_frames - first : n_left;
    const size_t n_tubes = peal->chime->n_tubes;
    if (peal->channels == WP_TUBES) {
        for (size_t tube = 0; tube < n_tubes; tube++) {
            copy_voice(peal, tube, frames + first * n_tubes + tube, n_tubes, n);
        }
    } else {
        mix_tracks(peal, frames + first * peal->n_ears, n);
    }
    for (size_t tube = 0; stems && tube < n_tubes; tube++) {
        copy_voice(peal, tube, stems[tube] + first * peal->n_ears, peal->n_ears, n);
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
    return peal->source.wind ? wp_wind_report(peal->source.wind, record) : WP_E_RANGE;
}

enum wp_wind_news wp_peal_news(const struct wp_peal *peal)
{
    return peal->source.wind ? wp_wind_news(peal->source.wind) : WP_WIND_FRESH;
}

void wp_peal_variety(const struct wp_peal *peal, struct wp_variety *variety)
{
    const double n_rendered = (double)peal->block_start - (double)(peal->block - peal->n_served);
    const double t_s = fmax(n_rendered, 0.0) / peal->rate_hz;
    wp_variety_result(&peal->source.variety, fmin(t_s, peal->source.end_s), variety);
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
    return slowest_s * drop_db / 60.0;
}
