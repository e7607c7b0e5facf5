/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_COURSE_H
#define WINDPEAL_COURSE_H

#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/set.h"
#include "windpeal/strike.h"
#include "windpeal/wind.h"

/* The course of a striking: how hard the strikes are, and how they go with the wind. */

enum {
    WP_SPEEDS_PER_DECADE = 50,
    WP_SPEED_DECADES = 6, /* 10 um/s to 10 m/s; strikes beyond count at the ends */
    WP_SPEED_BINS = WP_SPEEDS_PER_DECADE * WP_SPEED_DECADES,
    WP_WIND_CLASSES = 26, /* of 1 m/s each; the last one is open */
};

/** Closing speeds, counted by size; visible so that it can stand inside its owner. */
struct wp_speed_spread {
    size_t n_strikes;
    size_t per_bin[WP_SPEED_BINS];
};

/** Counts one strike. */
WP_API void wp_speed_spread_add(struct wp_speed_spread *spread, double speed_m_s);

/** Speed that share_01 of the strikes stay below, to 2.5 %; NAN without strikes. */
WP_API double wp_speed_spread_quantile(const struct wp_speed_spread *spread, double share_01);

/** Strikes from from_m_s to below to_m_s, to one bin (1/50 decade) at either end. */
WP_API size_t wp_speed_spread_count(const struct wp_speed_spread *spread, double from_m_s,
                                    double to_m_s);

/** All minutes whose mean wind was of one class. */
struct wp_wind_class {
    double duration_s;
    size_t n_strikes;
};

/**
 * What is known of the course so far. A gust here begins when the wind, smoothed over 3 s, passes
 * its mean of the last ten minutes or so by one standard deviation, and ends when it is back at
 * the mean. The figure of one standard deviation is our own; it makes about one gust a minute in a
 * steady wind.
 */
struct wp_course {
    struct wp_speed_spread speeds;
    struct wp_wind_class classes[WP_WIND_CLASSES];
    size_t n_gusts;
    size_t n_gust_tubes;  /**< sum over gusts of the different tubes struck in each */
    size_t n_silences;    /**< pauses between strikes of more than 10 s */
    struct wp_wind *wind; /**< stepped here; not owned */
    double step_s;
    double now_s;      /**< the wind up to here is known */
    double minute_sum; /**< speed * time in the minute at hand */
    double minute_s;   /**< time in it */
    size_t minute_strikes;
    double fast_m_s; /**< wind smoothed over 3 s */
    double mean_m_s; /**< over ten minutes, all moments alike at first */
    double mean_square;
    double last_t_s;     /**< of the last strike */
    uint64_t gust_tubes; /**< bits of the tubes struck in the gust at hand */
    bool is_gust;
};

/**
 * Begins. wind is one of its own from the same configuration as that of the drive, unstepped;
 * step_s is that configuration's. Without a wind (NULL) only speeds and silences are known. Steps
 * the wind: as real-time as wp_wind_step.
 */
WP_API void wp_course_init(struct wp_course *course, struct wp_wind *wind, double step_s);

/** Takes the next strike; strikes come in order of time. */
WP_API void wp_course_add(struct wp_course *course, const struct wp_strike *strike);

/** Brings the course to its end, once. */
WP_API void wp_course_end(struct wp_course *course, double duration_s);

#endif
