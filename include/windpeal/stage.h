/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STAGE_H
#define WINDPEAL_STAGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/peal.h"
#include "windpeal/player.h"
#include "windpeal/ring.h"
#include "windpeal/status.h"
#include "windpeal/wind.h"

/*
 * All that a render thread does: keeps a loudspeaker supplied with frames, in time with the clock
 * when there is none, follows orders and tells what happens. It has no thread and no clock of its
 * own, so that a test can run a day through it in a minute. Orders come and news go through rings.
 */

enum wp_order_kind {
    WP_ORDER_PLAY, /**< fade over to peal (NULL: to silence) at frame; one that still waits for its
                      frame is retired unheard */
    WP_ORDER_STRIKE,   /**< tube by hand */
    WP_ORDER_MUTE,     /**< is_on: fall silent, else sound again */
    WP_ORDER_AVERAGES, /**< the reports to come are averages over these times */
    WP_ORDER_REPORT,   /**< record came in just now */
    WP_ORDER_DEVICE,   /**< is_on: the loudspeaker plays from now on, else it does not */
};

struct wp_order {
    enum wp_order_kind kind;
    bool is_on;
    struct wp_peal *peal;
    uint64_t frame;
    size_t tube;
    double speed_m_s;
    struct wp_averages averages;
    struct wp_record record;
};

enum wp_news_kind {
    WP_NEWS_STRUCK,  /**< strike */
    WP_NEWS_RETIRED, /**< peal is not needed any more and may be destroyed */
    WP_NEWS_TAKEN,   /**< record holds from its t_s on: for the log */
    WP_NEWS_DROPPED, /**< too many reports at once: record was left out */
    WP_NEWS_FEED,    /**< feed tells how the wind stands with it now */
    WP_NEWS_LEVEL,   /**< a tenth of a second has passed: frame, wind, mean_m_s, level, n_strikes */
};

struct wp_news {
    enum wp_news_kind kind;
    enum wp_wind_news feed;
    uint64_t frame;
    struct wp_strike strike;
    struct wp_peal *peal;
    struct wp_record record;
    struct wp_wind_sample wind;
    double mean_m_s; /**< of the wind over the last ten minutes or since the beginning */
    struct wp_player_level level;
    uint64_t n_strikes; /**< so far */
    bool is_silent;     /**< all has faded out after an order to play silence */
};

/** Where frames go. */
struct wp_sink {
    size_t (*write)(void *target, const float *frames, size_t n_frames) WP_REALTIME;
    size_t (*waiting)(void *target) WP_REALTIME; /**< frames written and not fetched yet */
    void *target;
};

enum { WP_STAGE_NEWS_LEAST = 1024 };

struct wp_stage_config {
    struct wp_player_config player;
    size_t n_ahead; /**< frames that shall wait in the sink */
    struct wp_sink sink;
    double start_s;         /**< of frame 0, seconds since 1970 UTC; a whole second */
    uint64_t first_frame;   /**< number of the first frame to make */
    struct wp_ring *orders; /**< of struct wp_order */
    struct wp_ring *news;   /**< of struct wp_news, room for WP_STAGE_NEWS_LEAST; strikes
                                            and levels are left out while it is half full */
};

struct wp_stage;

/**
 * @param out  receives a silent stage without a device; NULL on failure. Free with
 *             wp_stage_destroy.
 * @return WP_OK, WP_E_RANGE, WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_stage_create(struct wp_stage **out, const struct wp_stage_config *config);

/** Frees a stage, not its peals and rings; NULL is allowed. */
WP_API void wp_stage_destroy(struct wp_stage *stage);

/** For wp_peal_config: makes a peal's strikes news of the stage. */
WP_API struct wp_peal_listener wp_stage_listener(struct wp_stage *stage);

/**
 * Does what is due at now_s of any steady clock: follows the orders, then makes frames until
 * n_ahead wait in the sink or, without a device, as many as time has passed. After a pause of more
 * than 2 s time is given up rather than made up for. Call it every few milliseconds.
 *
 * Real time: no allocation, lock or I/O. Threads: one at a time.
 */
WP_API void wp_stage_step(struct wp_stage *stage, double now_s) WP_REALTIME;

/** Number of the next frame to make: time that has passed for wind and striker. */
WP_API uint64_t wp_stage_frame(const struct wp_stage *stage) WP_REALTIME;

#endif
