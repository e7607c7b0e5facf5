/* SPDX-License-Identifier: MIT */
/* Renders voices of decaying partials block by block and takes up blows. */

#include "synth/bank.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "synth/decay.h"
#include "synth/spectrum.h"
#include "synth/tile.h"

/* ln(1000): a decay by 60 dB takes this many time constants. */
static const double LN_60_DB = 6.907755278982137;

enum {
    TILES_MAX = WP_BANK_BLOCK_MAX / WP_TILE,
    ROWS = TILES_MAX > WP_BANK_TILES *WP_BANK_OUTPUTS_MAX ? TILES_MAX
                                                          : WP_BANK_TILES *WP_BANK_OUTPUTS_MAX,
    /* A blow's tiles start at any frame and come in pairs, so the last may pass the block's end. */
    OVERHANG = 2 * WP_TILE,
    APART = 8,  /* places between partials that are summed one after the other */
    SEARCH = 4, /* blocks from one search for partials that have fallen silent to the next */
    /* So that lines do not lie a power of two apart, where they would push each other out of the
     * cache. */
    SHIFT = 16,
};

/* A change of decay joins late by at most so large a factor, as a power of e. */
static const double STEEPEST = 300.0;

/* What one ear hears of one voice or of all. On cache lines: rows that straddle them cost a sixth
 * of the speed. */
struct line {
    _Alignas(64) float frames[WP_BANK_BLOCK_MAX + OVERHANG + SHIFT];
};

/* Indices of partials; behind them that of a silent one, which completes them to pairs. */
struct list {
    size_t n;
    uint16_t partials[WP_PHASORS_MAX];
};

struct voice {
    size_t n_partials; /* with silent ones at the end: at least one, and a multiple of 8 */
    size_t n_real;
    size_t n_searched;                                 /* blocks since the last search */
    struct list all;                                   /* the real ones */
    struct list ringing;                               /* of them those that sound */
    struct list slow;                                  /* of those what is for a spectrum */
    struct list steep;                                 /* and what is for tiles */
    struct wp_decay own;                               /* of the tube by itself */
    struct wp_decay damped[WP_BANK_OUTPUTS_MAX];       /* while something rests on it */
    const struct wp_decay *decay[WP_BANK_OUTPUTS_MAX]; /* the one at work */
    struct wp_phasors state[WP_BANK_OUTPUTS_MAX];      /* at the start of the next block */
    size_t first_line;                                 /* where its first ear sounds */
    struct wp_bins *bins;                              /* of the own decay; NULL without spectra */
    uint16_t first_bin[WP_BANK_PARTIALS_MAX];
};

/* What one voice is worked out with: too much for the stack of a thread that plays. */
struct bench {
    struct wp_tile_row rows[ROWS];
    struct wp_phasors z[WP_BANK_OUTPUTS_MAX];
    struct wp_phasors turn;
    struct wp_phasors ringing;
    struct wp_phasors earlier;
    struct wp_phasors listed; /* side by side those of a list */
    float taken[WP_BANK_BLOCK_MAX + OVERHANG];
};

struct wp_bank {
    int rate_hz;
    size_t block; /* frames */
    size_t n_ears;
    size_t n_voices;
    struct voice *voices;
    size_t n_lines;     /* even: the last may be a spare one */
    struct line *lines; /* ears of voice 0, of voice 1, ... */
    /* Where partials are summed as spectra; NULL where by tiles alone. */
    struct wp_spectrum *spectra; /* one a line, open until its frames are asked for */
    bool *has_spectrum;          /* by line */
    struct wp_spectrum_window *window;
    struct wp_bins_fit fit;
    struct bench bench;
};

static bool is_steep(const struct voice *voice, size_t m)
{
    return voice->own.log_re[m] < -WP_SPECTRUM_STEEPEST;
}

static void close_list(struct list *list, const struct voice *voice)
{
    list->partials[list->n] = (uint16_t)(voice->n_partials - 1);
}

/* With the silent one, if it takes one to make pairs. */
static size_t count_paired(const struct list *list)
{
    return list->n + list->n % 2;
}

/* Those for a spectrum not in order: neighbours share bins, and the second of two that follow each
 * other would wait until the first is stored. */
static void split_ringing(struct voice *voice)
{
    voice->slow.n = 0;
    voice->steep.n = 0;
    for (size_t first = 0; first < APART; first++) {
        for (size_t i = first; i < voice->ringing.n; i += APART) {
            const uint16_t m = voice->ringing.partials[i];
            struct list *list = is_steep(voice, m) ? &voice->steep : &voice->slow;
            list->partials[list->n++] = m;
        }
    }
    close_list(&voice->ringing, voice);
    close_list(&voice->slow, voice);
    close_list(&voice->steep, voice);
}

static void ring_all(struct voice *voice)
{
    voice->n_searched = 0;
    if (voice->ringing.n < voice->n_real) {
        voice->ringing = voice->all;
        split_ringing(voice);
    }
}

/* Lists the partials that sound at some ear, in ascending order, and silences the others. */
static void search(struct voice *voice, size_t n_ears)
{
    const double least = WP_BANK_SILENCE * WP_BANK_SILENCE;
    double power[WP_PHASORS_MAX];
    voice->n_searched = 0;
    if (wp_phasors_power(power, voice->state, n_ears, least, voice->n_real) == voice->ringing.n) {
        return;
    }
    voice->ringing.n = 0;
    for (size_t m = 0; m < voice->n_real; m++) {
        if (power[m] >= least) {
            voice->ringing.partials[voice->ringing.n++] = (uint16_t)m;
            continue;
        }
        for (size_t ear = 0; ear < n_ears; ear++) {
            voice->state[ear].re[m] = 0.0;
            voice->state[ear].im[m] = 0.0;
        }
    }
    split_ringing(voice);
}

/* The listed ones of many, side by side, and the silent one behind them. */
static void gather(struct wp_phasors *to, const struct wp_phasors *from, const struct list *list)
{
    for (size_t i = 0; i < list->n; i++) {
        to->re[i] = from->re[list->partials[i]];
        to->im[i] = from->im[list->partials[i]];
    }
    to->re[list->n] = 0.0;
    to->im[list->n] = 0.0;
}

/* Adds listed partials to the frames of n_ears that decay alike, over a whole block. */
static void add_by_tiles(struct wp_bank *bank, const struct voice *voice, size_t first_ear,
                         size_t n_ears, const struct list *list)
{
    struct bench *bench = &bank->bench;
    const struct wp_decay *decay = voice->decay[first_ear];
    size_t n_rows = 0;
    assert(n_ears * (bank->block / WP_TILE) <= ROWS);
    if (list->n == 0) {
        return;
    }
    gather(&bench->turn, &decay->tile, list);
    for (size_t ear = 0; ear < n_ears; ear++) {
        gather(&bench->z[ear], &voice->state[first_ear + ear], list);
    }
    for (size_t frame = 0; frame < bank->block; frame += WP_TILE) {
        for (size_t ear = 0; ear < n_ears; ear++) {
            struct wp_tile_row *row = &bench->rows[n_rows++];
            row->out = &bank->lines[voice->first_line + first_ear + ear].frames[frame];
            wp_tile_step(&bench->z[ear], &bench->turn, row, count_paired(list));
        }
    }
    wp_tile_add(decay->powers, list->partials, count_paired(list), bench->rows, n_rows);
}

static void sound_by_tiles(struct wp_bank *bank, const struct voice *voice)
{
    size_t n_alike = bank->n_ears;
    for (size_t ear = 1; ear < bank->n_ears; ear++) {
        n_alike = voice->decay[ear] == voice->decay[0] ? n_alike : 1;
    }
    for (size_t ear = 0; ear < bank->n_ears; ear += n_alike) {
        add_by_tiles(bank, voice, ear, n_alike, &voice->ringing);
    }
}

/* Adds the slow partials of n_ears, whose decay is their own, to the spectra. */
static void add_to_spectra(struct wp_bank *bank, const struct voice *voice, size_t first_ear,
                           size_t n_ears)
{
    const size_t line = voice->first_line + first_ear;
    wp_spectrum_add(&bank->spectra[line], n_ears, voice->bins, voice->first_bin,
                    voice->slow.partials, voice->slow.n, &bank->bench.rows[first_ear]);
    for (size_t ear = 0; ear < n_ears; ear++) {
        bank->has_spectrum[line + ear] = bank->has_spectrum[line + ear] || voice->slow.n > 0;
    }
}

/* Tiles take what a spectrum cannot hold: short partials, and whatever decays at another rate. */
static void sound_rest_by_tiles(struct wp_bank *bank, const struct voice *voice)
{
    for (size_t ear = 0; ear < bank->n_ears; ear++) {
        const bool is_own = voice->decay[ear] == &voice->own;
        add_by_tiles(bank, voice, ear, 1, is_own ? &voice->steep : &voice->ringing);
    }
}

/* Of the phasors at the block's start, which are the bench's rows. */
static void sound_by_spectrum(struct wp_bank *bank, const struct voice *voice)
{
    for (size_t ear = 0; ear < bank->n_ears;) {
        size_t n_own = 0;
        while (ear + n_own < bank->n_ears && voice->decay[ear + n_own] == &voice->own) {
            n_own++;
        }
        if (n_own > 0) {
            add_to_spectra(bank, voice, ear, n_own);
        }
        ear += n_own + 1;
    }
}

static void voice_render(struct wp_bank *bank, struct voice *voice)
{
    if (voice->ringing.n > 0 && ++voice->n_searched == SEARCH) {
        search(voice, bank->n_ears);
    }
    if (voice->ringing.n == 0) {
        return;
    }
    if (bank->spectra) {
        sound_rest_by_tiles(bank, voice);
    } else {
        sound_by_tiles(bank, voice);
    }
    for (size_t ear = 0; ear < bank->n_ears; ear++) {
        wp_tile_step(&voice->state[ear], &voice->decay[ear]->block, &bank->bench.rows[ear],
                     voice->n_real);
    }
    if (bank->spectra) {
        sound_by_spectrum(bank, voice);
    }
}

/* Turns the spectra of two lines, the first of them even, into frames. */
static void sound_spectra(struct wp_bank *bank, size_t line)
{
    float *frames[2];
    if (!bank->has_spectrum[line] && !bank->has_spectrum[line + 1]) {
        return;
    }
    for (size_t i = 0; i < 2; i++) {
        frames[i] = bank->has_spectrum[line + i] ? bank->lines[line + i].frames : NULL;
        bank->has_spectrum[line + i] = false;
    }
    wp_spectrum_sound(bank->window, &bank->spectra[line], &bank->spectra[line + 1], frames[0],
                      frames[1]);
}

void wp_bank_render(struct wp_bank *bank)
{
    for (size_t line = 0; bank->spectra && line < bank->n_lines; line += 2) {
        sound_spectra(bank, line); /* of the last block, where nobody asked for its frames */
    }
    memset(bank->lines, 0, bank->n_lines * sizeof *bank->lines);
    for (size_t v = 0; v < bank->n_voices; v++) {
        voice_render(bank, &bank->voices[v]);
    }
}

/* Phasors of a blow n_frames after its onset. */
static void phasors_after(struct bench *bench, const struct voice *voice,
                          const struct wp_bank_blow *blow, double n_frames)
{
    struct wp_phasors *z = &bench->z[0];
    wp_decay_turn(voice->decay[blow->ear], n_frames, &bench->turn);
    for (size_t m = 0; m < voice->n_real; m++) {
        z->re[m] = blow->amplitude[m];
        z->im[m] = blow->cosine ? blow->cosine[m] : 0.0;
    }
    wp_phasors_multiply(z, &bench->turn, voice->n_real);
}

/* Adds listed partials that have the phasors z at the first of n_frames, tile by tile; up to 2
 * WP_TILE frames more are written. */
static void add_from(struct bench *bench, float *frames, size_t n_frames,
                     const struct wp_decay *decay, const struct wp_phasors *z,
                     const struct list *list)
{
    size_t n_rows = (n_frames + WP_TILE - 1) / WP_TILE;
    n_rows += n_rows % 2;
    assert(n_rows <= ROWS);
    gather(&bench->turn, &decay->tile, list);
    gather(&bench->listed, z, list);
    for (size_t r = 0; r < n_rows; r++) {
        bench->rows[r].out = &frames[r * WP_TILE];
        wp_tile_step(&bench->listed, &bench->turn, &bench->rows[r], count_paired(list));
    }
    wp_tile_add(decay->powers, list->partials, count_paired(list), bench->rows, n_rows);
}

/* Adds the slow ones of what begins at first to the block's spectrum as if they had begun with the
 * block, and takes off by tiles what is too early. The bench's turn goes to the block's end. */
static void begin_with_block(struct wp_bank *bank, const struct voice *voice, size_t ear,
                             size_t first)
{
    struct bench *bench = &bank->bench;
    const size_t line = voice->first_line + ear;
    float *frames = bank->lines[line].frames;
    bench->listed = bench->z[0];
    wp_phasors_multiply(&bench->listed, &bench->turn, voice->n_real);
    wp_phasors_turn_back(&bench->earlier, &bench->listed, &voice->own.block, voice->n_real);
    memset(bench->taken, 0, (first + OVERHANG) * sizeof *bench->taken);
    add_from(bench, bench->taken, first, &voice->own, &bench->earlier, &voice->slow);
    for (size_t i = 0; i < first; i++) {
        frames[i] -= bench->taken[i];
    }
    wp_tile_step(&bench->earlier, &voice->own.block, &bench->rows[ear], voice->n_real);
    add_to_spectra(bank, voice, ear, 1);
}

/* Adds to the block's frames what begins in it as the first phasors on the bench, whose turn goes
 * to the block's end: by tiles from there to that end or, if it is shorter, from the block's start
 * to there. The latter not into silence, which the rounding of a spectrum would break. */
static void render_rest(struct wp_bank *bank, const struct voice *voice, size_t ear, size_t first)
{
    struct bench *bench = &bank->bench;
    const struct list *list = &voice->ringing;
    const size_t line = voice->first_line + ear;
    if (first >= bank->block) {
        return;
    }
    if (bank->spectra && bank->has_spectrum[line] && voice->decay[ear] == &voice->own &&
        2 * first < bank->block) {
        begin_with_block(bank, voice, ear, first);
        list = &voice->steep;
    }
    float *frames = bank->lines[line].frames;
    add_from(bench, &frames[first], bank->block - first, voice->decay[ear], &bench->z[0], list);
}

/* Finds what rings, so far before the state as the turn on the bench says. */
static void look_back(struct bench *bench, const struct voice *voice, size_t ear)
{
    wp_phasors_turn_back(&bench->ringing, &voice->state[ear], &bench->turn, voice->n_real);
}

/* Takes the share of what rings that is not kept off the first phasors on the bench. */
static void take_off(struct bench *bench, const struct voice *voice, const double *kept)
{
    struct wp_phasors *z = &bench->z[0];
    for (size_t m = 0; m < voice->n_real; m++) {
        z->re[m] -= (1.0 - kept[m]) * bench->ringing.re[m];
        z->im[m] -= (1.0 - kept[m]) * bench->ringing.im[m];
    }
}

static void keep(struct wp_phasors *state, const double *kept, size_t n)
{
    for (size_t m = 0; m < n; m++) {
        state->re[m] *= kept[m];
        state->im[m] *= kept[m];
    }
}

void wp_bank_excite(struct wp_bank *bank, const struct wp_bank_blow *blow)
{
    assert(blow->voice < bank->n_voices && blow->ear < bank->n_ears);
    assert(blow->onset < (double)bank->block);
    struct voice *voice = &bank->voices[blow->voice];
    struct wp_phasors *state = &voice->state[blow->ear];
    struct bench *bench = &bank->bench;
    const bool is_muted = blow->kept && voice->ringing.n > 0;
    const double first = fmax(0.0, ceil(blow->onset));
    ring_all(voice);
    phasors_after(bench, voice, blow, first - blow->onset);
    wp_decay_turn(voice->decay[blow->ear], (double)bank->block - first, &bench->turn);
    if (is_muted) {
        look_back(bench, voice, blow->ear);
        keep(state, blow->kept, voice->n_real);
    }
    wp_phasors_add_turned(state, &bench->z[0], &bench->turn, voice->n_real);
    if (is_muted) {
        take_off(bench, voice, blow->kept);
    }
    render_rest(bank, voice, blow->ear, (size_t)first);
}

/* Rises smoothly from 0 to 1 while x does. */
static double ramp(double x)
{
    const double inside = x < 0.0 ? 0.0 : x > 1.0 ? 1.0 : x;
    return inside * inside * (3.0 - 2.0 * inside);
}

void wp_bank_fade(struct wp_bank *bank, const struct wp_bank_fade *fade)
{
    assert(fade->voice < bank->n_voices && fade->ear < bank->n_ears);
    const struct voice *voice = &bank->voices[fade->voice];
    struct bench *bench = &bank->bench;
    const double first = fmax(0.0, ceil(fmax(fade->begin, fade->from)));
    const double end = fmin((double)bank->block, ceil(fmin(fade->end, fade->to)));
    if (voice->ringing.n == 0 || !(first < end)) {
        return;
    }
    const size_t n = (size_t)(end - first);
    memset(bench->taken, 0, (n + OVERHANG) * sizeof *bench->taken);
    memset(&bench->z[0], 0, sizeof bench->z[0]);
    wp_decay_turn(voice->decay[fade->ear], (double)bank->block - first, &bench->turn);
    look_back(bench, voice, fade->ear);
    take_off(bench, voice, fade->kept);
    add_from(bench, bench->taken, n, voice->decay[fade->ear], &bench->z[0], &voice->ringing);
    float *frames = &bank->lines[voice->first_line + fade->ear].frames[(size_t)first];
    for (size_t i = 0; i < n; i++) {
        const double past = first + (double)i - fade->from;
        frames[i] += (float)ramp(past / (fade->to - fade->from)) * bench->taken[i];
    }
}

/* Lets an ear decay at a new rate; returns what each partial's decay of a frame changes by. */
static void change_decay(const struct wp_bank *bank, const struct wp_bank_damping *damping,
                         double *change)
{
    struct voice *voice = &bank->voices[damping->voice];
    const struct wp_decay **decay = &voice->decay[damping->ear];
    for (size_t m = 0; m < voice->n_real; m++) {
        change[m] = -(*decay)->log_re[m];
    }
    *decay = &voice->own;
    if (damping->added_per_s) {
        double added[WP_BANK_PARTIALS_MAX];
        for (size_t m = 0; m < voice->n_real; m++) {
            added[m] = damping->added_per_s[m] / bank->rate_hz;
        }
        wp_decay_damp(&voice->damped[damping->ear], &voice->own, added, bank->block);
        *decay = &voice->damped[damping->ear];
    }
    for (size_t m = 0; m < voice->n_real; m++) {
        change[m] += (*decay)->log_re[m];
    }
}

void wp_bank_damp(struct wp_bank *bank, const struct wp_bank_damping *damping)
{
    assert(damping->voice < bank->n_voices && damping->ear < bank->n_ears);
    assert(damping->onset < (double)bank->block);
    struct voice *voice = &bank->voices[damping->voice];
    struct wp_phasors *state = &voice->state[damping->ear];
    struct bench *bench = &bank->bench;
    struct wp_phasors *z = &bench->z[0];
    double change[WP_BANK_PARTIALS_MAX];
    const double first = fmax(0.0, ceil(damping->onset));
    const double n_left = (double)bank->block - first;
    if (voice->ringing.n == 0) {
        change_decay(bank, damping, change);
        return;
    }
    /* What rang goes from here on, and joins again at the new rate. */
    wp_decay_turn(voice->decay[damping->ear], n_left, &bench->turn);
    look_back(bench, voice, damping->ear);
    for (size_t m = 0; m < voice->n_real; m++) {
        z->re[m] = -bench->ringing.re[m];
        z->im[m] = -bench->ringing.im[m];
    }
    render_rest(bank, voice, damping->ear, (size_t)first);
    change_decay(bank, damping, change);
    wp_decay_turn(voice->decay[damping->ear], n_left, &bench->turn);
    for (size_t m = 0; m < voice->n_real; m++) {
        const double size = exp(fmin(change[m] * (first - damping->onset), STEEPEST));
        z->re[m] = size * bench->ringing.re[m];
        z->im[m] = size * bench->ringing.im[m];
    }
    memset(state, 0, sizeof *state);
    wp_phasors_add_turned(state, z, &bench->turn, voice->n_real);
    render_rest(bank, voice, damping->ear, (size_t)first);
}

size_t wp_bank_block(const struct wp_bank *bank)
{
    return bank->block;
}

float *wp_bank_frames(struct wp_bank *bank, size_t voice, size_t ear)
{
    const size_t line = bank->voices[voice].first_line + ear;
    if (bank->spectra) {
        sound_spectra(bank, line - line % 2);
    }
    return bank->lines[line].frames;
}

size_t wp_bank_count_ringing(const struct wp_bank *bank)
{
    size_t n = 0;
    for (size_t v = 0; v < bank->n_voices; v++) {
        n += bank->voices[v].ringing.n;
    }
    return n;
}

/* What a voice holds: its decays, and bins if its partials are summed as spectra. */
static enum wp_status voice_alloc(struct voice *voice, const struct wp_bank_voice *from,
                                  const struct wp_bank *bank)
{
    voice->n_real = from->n_partials;
    voice->n_partials = (from->n_partials + 8) / 8 * 8;
    const size_t n_silent = voice->n_partials - voice->n_real;
    enum wp_status status = wp_decay_init(&voice->own, voice->n_real, n_silent);
    for (size_t ear = 0; ear < bank->n_ears; ear++) {
        voice->decay[ear] = &voice->own;
        const enum wp_status more = wp_decay_init(&voice->damped[ear], voice->n_real, n_silent);
        status = status ? status : more;
    }
    if (bank->spectra && !status) {
        voice->bins = aligned_alloc(64, voice->n_partials * sizeof *voice->bins);
        status = voice->bins ? WP_OK : WP_E_NO_MEMORY;
    }
    return status;
}

static enum wp_status voice_init(struct voice *voice, const struct wp_bank_voice *from,
                                 const struct wp_bank *bank)
{
    if (from->n_partials > WP_BANK_PARTIALS_MAX) {
        return WP_E_RANGE;
    }
    for (size_t m = 0; m < from->n_partials; m++) {
        const struct wp_bank_partial *partial = &from->partials[m];
        if (!(partial->freq_hz > 0.0 && partial->freq_hz < 0.5 * bank->rate_hz &&
              partial->t60_s > 0.0)) {
            return WP_E_RANGE;
        }
    }
    const enum wp_status status = voice_alloc(voice, from, bank);
    for (size_t m = 0; m < from->n_partials && !status; m++) {
        const struct wp_bank_partial *partial = &from->partials[m];
        const double log_re = -LN_60_DB / (partial->t60_s * bank->rate_hz);
        const double log_im = 2.0 * M_PI * partial->freq_hz / bank->rate_hz;
        wp_decay_tune(&voice->own, m, log_re, log_im, bank->block);
        if (bank->spectra && !is_steep(voice, m)) {
            wp_bins_init(&voice->bins[m], &voice->first_bin[m], &bank->fit, log_re, log_im);
        }
        voice->all.partials[voice->all.n++] = (uint16_t)m;
    }
    close_list(&voice->all, voice);
    return status;
}

/* Lines in pairs, since one transform makes two. */
static enum wp_status bank_alloc(struct wp_bank *bank, const struct wp_bank_config *config)
{
    const size_t n_lines = bank->n_ears * (config->is_mixed ? 1 : bank->n_voices);
    bank->n_lines = n_lines + n_lines % 2;
    bank->voices = calloc(bank->n_voices, sizeof *bank->voices);
    bank->lines = aligned_alloc(64, bank->n_lines * sizeof *bank->lines);
    if (!bank->voices || !bank->lines) {
        return WP_E_NO_MEMORY;
    }
    memset(bank->lines, 0, bank->n_lines * sizeof *bank->lines);
    if (!config->is_blockwise) {
        return WP_OK;
    }
    const size_t size = bank->n_lines * sizeof *bank->spectra;
    bank->spectra = aligned_alloc(64, size);
    bank->has_spectrum = calloc(bank->n_lines, sizeof *bank->has_spectrum);
    bank->window = aligned_alloc(64, sizeof *bank->window);
    if (!bank->spectra || !bank->has_spectrum || !bank->window) {
        return WP_E_NO_MEMORY;
    }
    memset(bank->spectra, 0, size);
    wp_spectrum_window_init(bank->window);
    wp_bins_fit_init(&bank->fit);
    return WP_OK;
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
    bank->block = config->is_blockwise ? WP_SPECTRUM_FRAMES : WP_BANK_BLOCK;
    enum wp_status status = bank_alloc(bank, config);
    for (size_t v = 0; !status && v < config->n_voices; v++) {
        bank->voices[v].first_line = config->is_mixed ? 0 : v * bank->n_ears;
        status = voice_init(&bank->voices[v], &config->voices[v], bank);
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
        struct voice *voice = &bank->voices[v];
        wp_decay_finish(&voice->own);
        for (size_t ear = 0; ear < bank->n_ears; ear++) {
            wp_decay_finish(&voice->damped[ear]);
        }
        free(voice->bins);
    }
    free(bank->voices);
    free(bank->lines);
    free(bank->spectra);
    free(bank->has_spectrum);
    free(bank->window);
    free(bank);
}
