/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_PEAL_H
#define WINDPEAL_PEAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/chime.h"
#include "windpeal/impulse.h"
#include "windpeal/set.h"
#include "windpeal/status.h"
#include "windpeal/strike.h"
#include "windpeal/wind.h"

/* The pull pipeline: weather, wind, striker and synth in one object that fills sample buffers. */

/** What a frame holds. */
enum wp_channels {
    WP_STEREO, /**< the listener's ears, 17.5 cm apart */
    WP_MONO,   /**< the middle of the listener's head */
    WP_TUBES,  /**< a loudspeaker for each tube, in its place: its pressure at the listener's
                  distance  and height, the root mean square over all bearings round it */
};

/** How partials are summed. The two agree within -112 dB of the peak. */
enum wp_kernel {
    WP_KERNEL_TILE,   /**< in short tiles, a few milliseconds at a time: for live sound */
    WP_KERNEL_BLOCKS, /**< long blocks by way of their spectra: several times as fast */
};

/** Who is told of every strike as it is taken up, by the thread that renders. */
struct wp_peal_listener {
    void (*hear)(void *target, const struct wp_strike *strike) WP_REALTIME; /**< NULL: nobody */
    void *target;
};

struct wp_peal_config {
    const struct wp_set *set; /**< must outlive the peal, like all pointers here */
    const struct wp_chime *chime;
    const struct wp_wind_config *wind;    /**< NULL with strikes */
    const struct wp_strike_list *strikes; /**< a given list instead of wind, or NULL */
    double duration_s;                    /**< no strikes from here on */
    uint64_t seed;
    int rate_hz; /**< 8000 to 192000 */
    enum wp_channels channels;
    enum wp_kernel kernel;
    /** Of a recorded room, at rate_hz; else NULL. With WP_TUBES no room is heard, nor the ground:
     * the loudspeakers' place has its own. */
    const struct wp_impulse *impulse;
    bool has_stems;                   /**< wp_peal_render_stems will be called; not with WP_TUBES */
    bool has_shown_wind;              /**< wp_peal_wind will be called */
    struct wp_peal_listener listener; /**< of zeros: none */
};

struct wp_peal;

/**
 * Builds the whole line.
 *
 * @param out  receives a heap object; NULL on failure. Free with wp_peal_destroy.
 * @return WP_OK, the first error's status of the set's layout, striker or room (places in diags),
 *         WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_peal_create(struct wp_peal **out, const struct wp_peal_config *config,
                                     struct wp_diags *diags);

/** Frees a peal; NULL is allowed. */
WP_API void wp_peal_destroy(struct wp_peal *peal);

/** Channels of a frame. */
WP_API int wp_peal_channels(const struct wp_peal *peal) WP_REALTIME;

/**
 * Fills the next n_frames interleaved frames, calibrated: 1.0 is WP_FULL_SCALE_PA. The samples do
 * not depend on how the frames are split over calls. Time 0 of a strike is the moment at which its
 * direct sound reaches the middle of the listener's head. After an ideal contact every partial
 * of a perfect tube starts there as a sine that rises; after a soft one all rise within the
 * contact. Polarity, which cannot be heard, is left out.
 *
 * Real time: yes (no allocation, lock or I/O). Threads: one at a time.
 */
WP_API void wp_peal_render(struct wp_peal *peal, float *frames, size_t n_frames) WP_REALTIME;

/**
 * The same with one stereo track a tube besides: stems is an array of one buffer a tube, each of
 * 2 * n_frames samples (n_frames with mono); their sum is the mix. Only with has_stems.
 */
WP_API void wp_peal_render_stems(struct wp_peal *peal, float *frames, float *const *stems,
                                 size_t n_frames) WP_REALTIME;

/**
 * Strikes a tube by hand, with the set's striker and at its height, in the next block of at most 6
 * ms. It is told to the listener and counted like the others.
 *
 * @return false for no such tube, an impossible speed, or too many at once
 *
 * Real time: yes.
 */
WP_API bool wp_peal_strike(struct wp_peal *peal, size_t tube, double speed_m_s) WP_REALTIME;

/**
 * Adds a record to the live wind, as wp_wind_report; without one WP_E_RANGE. The drive looks ahead
 * of the frames by less than WP_PEAL_AHEAD_S: a record later than that is never too early.
 */
WP_API enum wp_status wp_peal_report(struct wp_peal *peal,
                                     const struct wp_record *record) WP_REALTIME;

#define WP_PEAL_AHEAD_S 0.5

/** Tells the live wind what its records are averages over, as wp_wind_set_averages. */
WP_API enum wp_status wp_peal_set_averages(struct wp_peal *peal,
                                           const struct wp_averages *averages) WP_REALTIME;

/**
 * The wind at the next frame to be rendered, and how it stands with its feed. Only with
 * has_shown_wind; a list of strikes has no wind and leaves sample as it is.
 */
WP_API enum wp_wind_news wp_peal_wind(struct wp_peal *peal,
                                      struct wp_wind_sample *sample) WP_REALTIME;

/** Strikes so far and how varied they were. */
WP_API void wp_peal_variety(const struct wp_peal *peal, struct wp_variety *variety);

/** Seconds in which everything that rings has fallen by drop_db after the last strike. */
WP_API double wp_peal_ring_out_s(const struct wp_peal *peal, double drop_db);

#endif
