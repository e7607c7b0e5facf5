/* SPDX-License-Identifier: MIT */
/* Renders voices of decaying partials block by block and takes up blows. */

#include "synth/bank.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ln(1000): a decay by 60 dB takes this many time constants. */
static const double LN_60_DB = 6.907755278982137;

enum {
    ROWS = WP_BANK_TILES * WP_BANK_OUTPUTS_MAX,
    /* A blow's tiles start at any frame and come in pairs, so the last may pass the block's end. */
    OVERHANG = 2 * WP_TILE,
};

struct voice {
    size_t n_partials; /* with silent ones at the end: at least one, and a multiple of 8 */
    size_t n_real;
    size_t n_ringing;
    struct wp_tile_powers *powers;
    double log_re[WP_TILE_PARTIALS_MAX]; /* of one frame: exp(log_re + i log_im) */
    double log_im[WP_TILE_PARTIALS_MAX];
    struct wp_phasors turn;                       /* of one tile */
    struct wp_phasors state[WP_BANK_OUTPUTS_MAX]; /* at the start of the next block */
    float frames[WP_BANK_OUTPUTS_MAX][WP_BANK_BLOCK + OVERHANG];
};

struct wp_bank {
    size_t n_ears;
    size_t n_voices;
    struct voice *voices;
};

static void voice_tune(struct voice *voice, const struct wp_bank_voice *from, int rate_hz)
{
    for (size_t m = 0; m < from->n_partials; m++) {
        const struct wp_bank_partial *partial = &from->partials[m];
        const double log_re = -LN_60_DB / (partial->t60_s * rate_hz);
        const double log_im = 2.0 * M_PI * partial->freq_hz / rate_hz;
        voice->log_re[m] = log_re;
        voice->log_im[m] = log_im;
        voice->turn.re[m] = exp(log_re * WP_TILE) * cos(log_im * WP_TILE);
        voice->turn.im[m] = exp(log_re * WP_TILE) * sin(log_im * WP_TILE);
        wp_tile_powers_init(&voice->powers[m], log_re, log_im);
    }
}

static enum wp_status voice_init(struct voice *voice, const struct wp_bank_voice *from, int rate_hz)
{
    if (from->n_partials > WP_BANK_PARTIALS_MAX) {
        return WP_E_RANGE;
    }
    for (size_t m = 0; m < from->n_partials; m++) {
        const struct wp_bank_partial *partial = &from->partials[m];
        if (!(partial->freq_hz > 0.0 && partial->freq_hz < 0.5 * rate_hz && partial->t60_s > 0.0)) {
            return WP_E_RANGE;
        }
    }
    voice->n_real = from->n_partials;
    voice->n_partials = (from->n_partials + 8) / 8 * 8;
    const size_t size = voice->n_partials * sizeof *voice->powers;
    voice->powers = aligned_alloc(64, size);
    if (!voice->powers) {
        return WP_E_NO_MEMORY;
    }
    memset(voice->powers, 0, size);
    voice_tune(voice, from, rate_hz);
    return WP_OK;
}

/* Lists the partials that sound at some ear, in ascending order, and silences the others. */
static size_t list_ringing(struct voice *voice, size_t n_ears, uint16_t *list)
{
    const double least = WP_BANK_SILENCE * WP_BANK_SILENCE;
    size_t n = 0;
    for (size_t m = 0; m < voice->n_real; m++) {
        double power = 0.0;
        for (size_t ear = 0; ear < n_ears; ear++) {
            const struct wp_phasors *z = &voice->state[ear];
            power += z->re[m] * z->re[m] + z->im[m] * z->im[m];
        }
        if (power >= least) {
            list[n++] = (uint16_t)m;
            continue;
        }
        for (size_t ear = 0; ear < n_ears; ear++) {
            voice->state[ear].re[m] = 0.0;
            voice->state[ear].im[m] = 0.0;
        }
    }
    voice->n_ringing = n;
    return n;
}

/* Completes a list to pairs with the silent partial that every voice has. */
static size_t make_even(uint16_t *list, size_t n, const struct voice *voice)
{
    if (n % 2 != 0) {
        list[n++] = (uint16_t)(voice->n_partials - 1);
    }
    return n;
}

static void voice_render(struct voice *voice, size_t n_ears)
{
    uint16_t list[WP_TILE_PARTIALS_MAX];
    struct wp_tile_row rows[ROWS];
    memset(voice->frames, 0, sizeof voice->frames);
    if (voice->n_ringing == 0) {
        return;
    }
    size_t n_listed = list_ringing(voice, n_ears, list);
    if (n_listed == 0) {
        return;
    }
    n_listed = make_even(list, n_listed, voice);
    size_t n_rows = 0;
    for (size_t tile = 0; tile < WP_BANK_TILES; tile++) {
        for (size_t ear = 0; ear < n_ears; ear++) {
            struct wp_tile_row *row = &rows[n_rows++];
            row->out = &voice->frames[ear][tile * WP_TILE];
            wp_tile_step(&voice->state[ear], &voice->turn, row, voice->n_partials);
        }
    }
    wp_tile_add(voice->powers, list, n_listed, rows, n_rows);
}

void wp_bank_render(struct wp_bank *bank)
{
    for (size_t v = 0; v < bank->n_voices; v++) {
        voice_render(&bank->voices[v], bank->n_ears);
    }
}

/* Phasors of a blow n_frames after its onset. */
static void phasors_after(struct wp_phasors *z, const struct voice *voice,
                          const struct wp_bank_blow *blow, double n_frames)
{
    for (size_t m = 0; m < voice->n_real; m++) {
        const double size = exp(voice->log_re[m] * n_frames);
        const double c = size * cos(voice->log_im[m] * n_frames);
        const double s = size * sin(voice->log_im[m] * n_frames);
        const double ahead = blow->cosine ? blow->cosine[m] : 0.0;
        z->re[m] = blow->amplitude[m] * c - ahead * s;
        z->im[m] = blow->amplitude[m] * s + ahead * c;
    }
    for (size_t m = voice->n_real; m < voice->n_partials; m++) {
        z->re[m] = 0.0;
        z->im[m] = 0.0;
    }
}

/* Adds a blow to the block's frames, tile by tile from its first frame on. */
static void render_blow(struct voice *voice, size_t ear, size_t first, struct wp_phasors *z)
{
    uint16_t list[WP_TILE_PARTIALS_MAX];
    struct wp_tile_row rows[WP_BANK_TILES];
    for (size_t m = 0; m < voice->n_real; m++) {
        list[m] = (uint16_t)m;
    }
    const size_t n_listed = make_even(list, voice->n_real, voice);
    size_t n_rows = (WP_BANK_BLOCK - first + WP_TILE - 1) / WP_TILE;
    n_rows += n_rows % 2;
    for (size_t r = 0; r < n_rows; r++) {
        rows[r].out = &voice->frames[ear][first + r * WP_TILE];
        wp_tile_step(z, &voice->turn, &rows[r], voice->n_partials);
    }
    wp_tile_add(voice->powers, list, n_listed, rows, n_rows);
}

void wp_bank_excite(struct wp_bank *bank, const struct wp_bank_blow *blow)
{
    assert(blow->voice < bank->n_voices && blow->ear < bank->n_ears);
    assert(blow->onset < WP_BANK_BLOCK);
    struct voice *voice = &bank->voices[blow->voice];
    struct wp_phasors *state = &voice->state[blow->ear];
    struct wp_phasors z;
    const double first = fmax(0.0, ceil(blow->onset));
    if (first < WP_BANK_BLOCK) {
        phasors_after(&z, voice, blow, first - blow->onset);
        render_blow(voice, blow->ear, (size_t)first, &z);
    }
    phasors_after(&z, voice, blow, WP_BANK_BLOCK - blow->onset);
    for (size_t m = 0; m < voice->n_real; m++) {
        state->re[m] += z.re[m];
        state->im[m] += z.im[m];
    }
    voice->n_ringing = voice->n_real;
}

float *wp_bank_frames(struct wp_bank *bank, size_t voice, size_t ear)
{
    return bank->voices[voice].frames[ear];
}

size_t wp_bank_count_ringing(const struct wp_bank *bank)
{
    size_t n = 0;
    for (size_t v = 0; v < bank->n_voices; v++) {
        n += bank->voices[v].n_ringing;
    }
    return n;
}

enum wp_status wp_bank_create(struct wp_bank **out, const struct wp_bank_config *config)
{
    *out = NULL;
    struct wp_bank *bank = calloc(1, sizeof *bank);
    if (!bank) {
        return WP_E_NO_MEMORY;
    }
    bank->n_ears = config->n_ears;
    bank->n_voices = config->n_voices;
    bank->voices = calloc(config->n_voices, sizeof *bank->voices);
    enum wp_status status = bank->voices ? WP_OK : WP_E_NO_MEMORY;
    for (size_t v = 0; !status && v < config->n_voices; v++) {
        status = voice_init(&bank->voices[v], &config->voices[v], config->rate_hz);
    }
    if (status) {
        wp_bank_destroy(bank);
        return status;
    }
    *out = bank;
    return WP_OK;
}

void wp_bank_destroy(struct wp_bank *bank)
{
    if (!bank) {
        return;
    }
    for (size_t v = 0; bank->voices && v < bank->n_voices; v++) {
        free(bank->voices[v].powers);
    }
    free(bank->voices);
    free(bank);
}
