/* SPDX-License-Identifier: MIT */
/* Renders voices of decaying partials block by block and takes up blows. */

#include "synth/bank.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

/* ln(1000): a decay by 60 dB takes this many time constants. */
static const double LN_60_DB = 6.907755278982137;

enum {
    ROWS = WP_BANK_TILES * WP_BANK_OUTPUTS_MAX,
    /* A blow's tiles start at any frame and come in pairs, so the last may pass the block's end. */
    OVERHANG = 2 * WP_TILE,
};

/* A partial that falls by more than this power of e within a block counts as silent at its end. */
static const double STEEPEST = 300.0;

/* How the partials of a voice go on from frame to frame. */
struct decay {
    struct wp_tile_powers *powers;
    double log_re[WP_TILE_PARTIALS_MAX]; /* of one frame: exp(log_re + i log_im) */
    struct wp_phasors turn;              /* of one tile */
};

/* What one ear hears of one voice or of all. On cache lines: rows that straddle them cost a sixth
 * of the speed. */
struct line {
    _Alignas(64) float frames[WP_BANK_BLOCK + OVERHANG];
};

struct voice {
    size_t n_partials; /* with silent ones at the end: at least one, and a multiple of 8 */
    size_t n_real;
    size_t n_ringing;
    double log_im[WP_TILE_PARTIALS_MAX];
    struct decay own;                               /* of the tube by itself */
    struct decay damped[WP_BANK_OUTPUTS_MAX];       /* while something rests on it */
    const struct decay *decay[WP_BANK_OUTPUTS_MAX]; /* the one at work */
    struct wp_phasors state[WP_BANK_OUTPUTS_MAX];   /* at the start of the next block */
    struct line *lines;                             /* where it sounds, one an ear */
};

struct wp_bank {
    int rate_hz;
    size_t n_ears;
    size_t n_voices;
    struct voice *voices;
    size_t n_lines;
    struct line *lines; /* ears of voice 0, of voice 1, ... */
};

static void voice_tune(struct voice *voice, const struct wp_bank_voice *from, int rate_hz)
{
    for (size_t m = 0; m < from->n_partials; m++) {
        const struct wp_bank_partial *partial = &from->partials[m];
        const double log_re = -LN_60_DB / (partial->t60_s * rate_hz);
        const double log_im = 2.0 * M_PI * partial->freq_hz / rate_hz;
        voice->log_im[m] = log_im;
        voice->own.log_re[m] = log_re;
        voice->own.turn.re[m] = exp(log_re * WP_TILE) * cos(log_im * WP_TILE);
        voice->own.turn.im[m] = exp(log_re * WP_TILE) * sin(log_im * WP_TILE);
        wp_tile_powers_init(&voice->own.powers[m], log_re, log_im);
    }
}

/* Room for powers, those of the silent partials at the end already 0. */
static bool decay_alloc(struct decay *decay, const struct voice *voice)
{
    const size_t size = sizeof *decay->powers;
    decay->powers = aligned_alloc(64, voice->n_partials * size);
    if (decay->powers) {
        memset(decay->powers + voice->n_real, 0, (voice->n_partials - voice->n_real) * size);
    }
    return decay->powers != NULL;
}

static enum wp_status voice_init(struct voice *voice, const struct wp_bank_voice *from, int rate_hz,
                                 size_t n_ears)
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
    bool has_room = decay_alloc(&voice->own, voice);
    for (size_t ear = 0; ear < n_ears; ear++) {
        voice->decay[ear] = &voice->own;
        has_room = decay_alloc(&voice->damped[ear], voice) && has_room;
    }
    if (!has_room) {
        return WP_E_NO_MEMORY;
    }
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

/* Renders ears that decay alike. */
static void render_ears(struct voice *voice, size_t first_ear, size_t n_ears, const uint16_t *list,
                        size_t n_listed)
{
    struct wp_tile_row rows[ROWS];
    const struct decay *decay = voice->decay[first_ear];
    size_t n_rows = 0;
    for (size_t tile = 0; tile < WP_BANK_TILES; tile++) {
        for (size_t ear = first_ear; ear < first_ear + n_ears; ear++) {
            struct wp_tile_row *row = &rows[n_rows++];
            row->out = &voice->lines[ear].frames[tile * WP_TILE];
            wp_tile_step(&voice->state[ear], &decay->turn, row, voice->n_partials);
        }
    }
    wp_tile_add(decay->powers, list, n_listed, rows, n_rows);
}

static void voice_render(struct voice *voice, size_t n_ears)
{
    uint16_t list[WP_TILE_PARTIALS_MAX];
    if (voice->n_ringing == 0) {
        return;
    }
    size_t n_listed = list_ringing(voice, n_ears, list);
    if (n_listed == 0) {
        return;
    }
    n_listed = make_even(list, n_listed, voice);
    size_t n_alike = n_ears;
    for (size_t ear = 1; ear < n_ears; ear++) {
        n_alike = voice->decay[ear] == voice->decay[0] ? n_alike : 1;
    }
    for (size_t ear = 0; ear < n_ears; ear += n_alike) {
        render_ears(voice, ear, n_alike, list, n_listed);
    }
}

void wp_bank_render(struct wp_bank *bank)
{
    memset(bank->lines, 0, bank->n_lines * sizeof *bank->lines);
    for (size_t v = 0; v < bank->n_voices; v++) {
        voice_render(&bank->voices[v], bank->n_ears);
    }
}

/* Phasors of a blow n_frames after its onset. */
static void phasors_after(struct wp_phasors *z, const struct voice *voice,
                          const struct wp_bank_blow *blow, double n_frames)
{
    const struct decay *decay = voice->decay[blow->ear];
    for (size_t m = 0; m < voice->n_real; m++) {
        const double size = exp(decay->log_re[m] * n_frames);
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

/* The rotation of n_frames, decay included. */
static void turns_of(struct wp_phasors *turn, const struct voice *voice, size_t ear,
                     double n_frames)
{
    const struct decay *decay = voice->decay[ear];
    for (size_t m = 0; m < voice->n_real; m++) {
        const double size = exp(fmax(decay->log_re[m] * n_frames, -STEEPEST));
        turn->re[m] = size * cos(voice->log_im[m] * n_frames);
        turn->im[m] = size * sin(voice->log_im[m] * n_frames);
    }
}

/* A phasor before it was turned. */
static inline double turned_back_re(const struct wp_phasors *z, const struct wp_phasors *turn,
                                    size_t m)
{
    const double square = turn->re[m] * turn->re[m] + turn->im[m] * turn->im[m];
    return (z->re[m] * turn->re[m] + z->im[m] * turn->im[m]) / square;
}

static inline double turned_back_im(const struct wp_phasors *z, const struct wp_phasors *turn,
                                    size_t m)
{
    const double square = turn->re[m] * turn->re[m] + turn->im[m] * turn->im[m];
    return (z->im[m] * turn->re[m] - z->re[m] * turn->im[m]) / square;
}

/* Adds to the block's frames what begins in it, tile by tile from its first frame on. */
static void render_rest(struct voice *voice, size_t ear, size_t first, struct wp_phasors *z)
{
    uint16_t list[WP_TILE_PARTIALS_MAX];
    struct wp_tile_row rows[WP_BANK_TILES];
    const struct decay *decay = voice->decay[ear];
    if (first >= WP_BANK_BLOCK) {
        return;
    }
    for (size_t m = 0; m < voice->n_real; m++) {
        list[m] = (uint16_t)m;
    }
    const size_t n_listed = make_even(list, voice->n_real, voice);
    size_t n_rows = (WP_BANK_BLOCK - first + WP_TILE - 1) / WP_TILE;
    n_rows += n_rows % 2;
    for (size_t r = 0; r < n_rows; r++) {
        rows[r].out = &voice->lines[ear].frames[first + r * WP_TILE];
        wp_tile_step(z, &decay->turn, &rows[r], voice->n_partials);
    }
    wp_tile_add(decay->powers, list, n_listed, rows, n_rows);
}

/* Takes a share of what rings off the frames from first on, and off the state. */
static void take_off(struct wp_phasors *z, struct voice *voice, size_t ear, const double *kept,
                     const struct wp_phasors *turn)
{
    struct wp_phasors *state = &voice->state[ear];
    for (size_t m = 0; m < voice->n_real; m++) {
        z->re[m] -= (1.0 - kept[m]) * turned_back_re(state, turn, m);
        z->im[m] -= (1.0 - kept[m]) * turned_back_im(state, turn, m);
        state->re[m] *= kept[m];
        state->im[m] *= kept[m];
    }
}

void wp_bank_excite(struct wp_bank *bank, const struct wp_bank_blow *blow)
{
    assert(blow->voice < bank->n_voices && blow->ear < bank->n_ears);
    assert(blow->onset < WP_BANK_BLOCK);
    struct voice *voice = &bank->voices[blow->voice];
    struct wp_phasors *state = &voice->state[blow->ear];
    struct wp_phasors z;
    struct wp_phasors turn;
    const double first = fmax(0.0, ceil(blow->onset));
    phasors_after(&z, voice, blow, first - blow->onset);
    turns_of(&turn, voice, blow->ear, WP_BANK_BLOCK - first);
    const struct wp_phasors begun = z;
    if (blow->kept && voice->n_ringing > 0) {
        take_off(&z, voice, blow->ear, blow->kept, &turn);
    }
    for (size_t m = 0; m < voice->n_real; m++) {
        state->re[m] += begun.re[m] * turn.re[m] - begun.im[m] * turn.im[m];
        state->im[m] += begun.re[m] * turn.im[m] + begun.im[m] * turn.re[m];
    }
    render_rest(voice, blow->ear, (size_t)first, &z);
    voice->n_ringing = voice->n_real;
}

/* The voice's own decay, faster by so much. */
static void decay_damp(struct decay *decay, const struct voice *voice, const double *added_per_s,
                       int rate_hz)
{
    for (size_t m = 0; m < voice->n_real; m++) {
        const double added = added_per_s[m] / rate_hz;
        const double a_tile = exp(-added * WP_TILE);
        const double a_frame = exp(-added);
        const struct wp_tile_powers *from = &voice->own.powers[m];
        decay->log_re[m] = voice->own.log_re[m] - added;
        decay->turn.re[m] = voice->own.turn.re[m] * a_tile;
        decay->turn.im[m] = voice->own.turn.im[m] * a_tile;
        double size = 1.0;
        for (size_t k = 0; k < WP_TILE; k++) {
            decay->powers[m].re[k] = from->re[k] * (float)size;
            decay->powers[m].im[k] = from->im[k] * (float)size;
            size *= a_frame;
        }
    }
}

/* Lets an ear decay at a new rate; returns what each partial's decay of a frame changes by. */
static void change_decay(const struct wp_bank *bank, const struct wp_bank_damping *damping,
                         double *change)
{
    struct voice *voice = &bank->voices[damping->voice];
    const struct decay **decay = &voice->decay[damping->ear];
    for (size_t m = 0; m < voice->n_real; m++) {
        change[m] = -(*decay)->log_re[m];
    }
    *decay = &voice->own;
    if (damping->added_per_s) {
        decay_damp(&voice->damped[damping->ear], voice, damping->added_per_s, bank->rate_hz);
        *decay = &voice->damped[damping->ear];
    }
    for (size_t m = 0; m < voice->n_real; m++) {
        change[m] += (*decay)->log_re[m];
    }
}

void wp_bank_damp(struct wp_bank *bank, const struct wp_bank_damping *damping)
{
    assert(damping->voice < bank->n_voices && damping->ear < bank->n_ears);
    assert(damping->onset < WP_BANK_BLOCK);
    static const double nothing[WP_TILE_PARTIALS_MAX];
    struct voice *voice = &bank->voices[damping->voice];
    struct wp_phasors *state = &voice->state[damping->ear];
    struct wp_phasors turn;
    struct wp_phasors before = {{0.0}, {0.0}};
    double change[WP_TILE_PARTIALS_MAX];
    const double first = fmax(0.0, ceil(damping->onset));
    if (voice->n_ringing == 0) {
        change_decay(bank, damping, change);
        return;
    }
    turns_of(&turn, voice, damping->ear, WP_BANK_BLOCK - first);
    take_off(&before, voice, damping->ear, nothing, &turn);
    struct wp_phasors after = before;
    render_rest(voice, damping->ear, (size_t)first, &before);
    change_decay(bank, damping, change);
    turns_of(&turn, voice, damping->ear, WP_BANK_BLOCK - first);
    for (size_t m = 0; m < voice->n_real; m++) {
        const double size = -exp(fmin(change[m] * (first - damping->onset), STEEPEST));
        after.re[m] *= size;
        after.im[m] *= size;
        state->re[m] = after.re[m] * turn.re[m] - after.im[m] * turn.im[m];
        state->im[m] = after.re[m] * turn.im[m] + after.im[m] * turn.re[m];
    }
    render_rest(voice, damping->ear, (size_t)first, &after);
}

size_t wp_bank_block(const struct wp_bank *bank)
{
    (void)bank;
    return WP_BANK_BLOCK;
}

float *wp_bank_frames(struct wp_bank *bank, size_t voice, size_t ear)
{
    return bank->voices[voice].lines[ear].frames;
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
    bank->rate_hz = config->rate_hz;
    bank->n_ears = config->n_ears;
    bank->n_voices = config->n_voices;
    bank->n_lines = config->n_ears * (config->is_mixed ? 1 : config->n_voices);
    bank->voices = calloc(config->n_voices, sizeof *bank->voices);
    bank->lines = aligned_alloc(64, bank->n_lines * sizeof *bank->lines);
    enum wp_status status = bank->voices && bank->lines ? WP_OK : WP_E_NO_MEMORY;
    for (size_t v = 0; !status && v < config->n_voices; v++) {
        bank->voices[v].lines = &bank->lines[config->is_mixed ? 0 : v * config->n_ears];
        status = voice_init(&bank->voices[v], &config->voices[v], config->rate_hz, config->n_ears);
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
        free(bank->voices[v].own.powers);
        for (size_t ear = 0; ear < bank->n_ears; ear++) {
            free(bank->voices[v].damped[ear].powers);
        }
    }
    free(bank->lines);
    free(bank->voices);
    free(bank);
}
