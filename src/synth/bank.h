/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_BANK_H
#define WINDPEAL_SYNTH_BANK_H

#include <stdbool.h>
#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"

#include "synth/phasors.h"
#include "synth/spectrum.h"
#include "synth/tile.h"

/*
 * The resonator bank: voices (one a tube) of decaying partials, heard by one or two ears and,
 * behind them, by a room that is fed with their power. Each of these outputs has phasors of its
 * own, since a blow reaches them at different moments and levels. Frames are made in blocks; a
 * blow may begin at any fraction of a frame.
 *
 * Blocks are short and made by tiles, or long and summed as spectra, which is many times faster
 * with many partials; then tiles make only what changes within a block or decays fast.
 */

enum {
    WP_BANK_TILES = 4, /* tiles a block: the powers of a partial are fetched once for all */
    WP_BANK_BLOCK = WP_BANK_TILES * WP_TILE,
    WP_BANK_BLOCK_MAX = WP_SPECTRUM_FRAMES,
    WP_BANK_EARS_MAX = 2,
    WP_BANK_OUTPUTS_MAX = WP_BANK_EARS_MAX + 1, /* the ears and the feed of a room */
    WP_BANK_WAYS_MAX = 2 * WP_BANK_EARS_MAX, /* of a blow to outputs: straight and by the ground */
    WP_BANK_PARTIALS_MAX = 192, /* WP_PHASORS_MAX has room for silent ones behind them */
};

/*
 * A partial whose phasors are all smaller is silent and is dropped: -220 dB re full scale. A file
 * that is raised by up to 70 dB still loses nothing above -150 dBFS.
 */
#define WP_BANK_SILENCE 1e-11

struct wp_bank_partial {
    double freq_hz; /* below half the rate */
    double t60_s;   /* > 0 */
};

struct wp_bank_voice {
    const struct wp_bank_partial *partials; /* read, not kept */
    size_t n_partials;                      /* up to WP_BANK_PARTIALS_MAX */
};

struct wp_bank_config {
    int rate_hz;
    size_t n_ears; /* outputs: 1 or 2 ears, and 1 more for the feed of a room */
    const struct wp_bank_voice *voices;
    size_t n_voices;
    bool is_blockwise; /* long blocks by way of spectra */
    bool is_mixed;     /* all voices sound into the frames of voice 0 */
};

struct wp_bank;

/* WP_OK, WP_E_RANGE (too many partials, one above half the rate), WP_E_NO_MEMORY. */
enum wp_status wp_bank_create(struct wp_bank **out, const struct wp_bank_config *config);

/* Frees a bank; NULL is allowed. */
void wp_bank_destroy(struct wp_bank *bank);

/* Frames of a block, the same throughout a bank's life, up to WP_BANK_BLOCK_MAX. */
size_t wp_bank_block(const struct wp_bank *bank) WP_REALTIME;

/* Makes the next block from what rings; its blows are added afterwards with wp_bank_excite. */
void wp_bank_render(struct wp_bank *bank) WP_REALTIME;

/*
 * What happens to a voice is told ear by ear after wp_bank_render, for one voice and ear in order
 * of onset: blows, fades before them and changes of damping. All is exact at any fraction of a
 * frame: at the onset the phasors are multiplied by kept, the blow's are added, and from there they
 * decay at the new rate.
 */

/* One blow on one voice as one ear hears it. */
struct wp_bank_blow {
    size_t voice;
    size_t ear;
    double onset;            /* frames after the block's start, before its end */
    const double *amplitude; /* by partial, signed: the part that starts as a sine */
    const double *cosine;    /* by partial: the part a quarter turn ahead; NULL: none */
    const double *kept;      /* by partial, 0..1: what the blow leaves of the ringing; NULL: all */
};

/*
 * Adds a blow to the block that was rendered last: from the onset on, partial m sounds as
 * exp(-t / tau) (amplitude[m] sin(2 pi f t) + cosine[m] cos(2 pi f t)), t counting from the onset.
 * An onset before the block joins in its place in time. What rang before is multiplied by kept.
 */
void wp_bank_excite(struct wp_bank *bank, const struct wp_bank_blow *blow) WP_REALTIME;

/* What rings fades while a blow touches it. Times are frames after the block's start. */
struct wp_bank_fade {
    size_t voice;
    size_t ear;
    double from; /* of the contact, in this block or around it */
    double to;   /* above from: where the blow has its onset */
    const double *kept;
    double begin; /* the part of the contact that is told now */
    double end;
};

/*
 * Changes frames of the block from begin to end alone: between from and to each partial falls
 * smoothly to what the blow, told afterwards with the same kept, leaves of it. So nothing jumps at
 * the onset. Told in every block that the contact has part in, and from what else happens to the
 * voice in between to the next.
 */
void wp_bank_fade(struct wp_bank *bank, const struct wp_bank_fade *fade) WP_REALTIME;

/* Something comes to rest on a voice, or leaves it, as one ear hears it. */
struct wp_bank_damping {
    size_t voice;
    size_t ear;
    double onset;              /* as that of a blow */
    const double *added_per_s; /* by partial, >= 0: added to ln(1000) / t60_s; NULL: none */
};

/*
 * From the onset on the voice decays faster by so much, blows after it included, until it is told
 * otherwise: a damping replaces the one before.
 */
void wp_bank_damp(struct wp_bank *bank, const struct wp_bank_damping *damping) WP_REALTIME;

/* The frames of the last block of one voice, or of all if mixed, at one ear; may be added to. */
float *wp_bank_frames(struct wp_bank *bank, size_t voice, size_t ear) WP_REALTIME;

/* Partials that ring, of all voices; those that fell silent in the last few blocks may still count.
 */
size_t wp_bank_count_ringing(const struct wp_bank *bank);

#endif
