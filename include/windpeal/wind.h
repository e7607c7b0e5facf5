/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_H
#define WINDPEAL_WIND_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"
#include "windpeal/weather.h"

/* Records become a wind that gusts and turns from moment to moment. Same seed, same bits. */

struct wp_wind_config {
    const struct wp_weather *weather; /**< must outlive the wind */
    double start_s;                   /**< first moment wanted, seconds since 1970 UTC */
    double step_s;                    /**< sample distance, 0.01 to 1 s, default 0.1 */
    uint64_t seed;
    double height_m;            /**< height at which the wind is wanted */
    double roughness_m;         /**< roughness length there */
    bool is_as_given;           /**< no height change: the records hold at the set */
    double station_height_m;    /**< default 10 m */
    double station_roughness_m; /**< default 0.03 m, open grass */
    double averaging_s;         /**< of the mean; 0: the interval, at most 600 s */
    double gust_s;              /**< averaging of a gust, default 3 s */
    double intensity;           /**< sigma / mean without gusts; NAN: from roughness */
};

/** One moment of wind at the wanted height. */
struct wp_wind_sample {
    double t_s;        /**< seconds after start_s */
    double along_m_s;  /**< component along the mean direction; may be negative */
    double across_m_s; /**< to the left of it */
    double speed_m_s;  /**< horizontal speed, >= 0 */
    double from_deg;   /**< where it comes from, 0 <= from_deg < 360 */
};

struct wp_wind;

/** Fills in the defaults; weather stays NULL, start_s 0. */
WP_API void wp_wind_config_default(struct wp_wind_config *config);

/**
 * @param out  receives the generator; NULL on failure. Free with wp_wind_destroy.
 * @return WP_OK, WP_E_RANGE (height below the roughness, empty weather), WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_wind_create(struct wp_wind **out, const struct wp_wind_config *config);

WP_API void wp_wind_destroy(struct wp_wind *wind);

/** Advances by one step; the first call delivers t_s = 0. Endless: holds the last record. */
WP_API void wp_wind_step(struct wp_wind *wind, struct wp_wind_sample *sample) WP_REALTIME;

/** What a station's reading would be at t_s after the start: its latest record, held. NAN: none. */
WP_API void wp_wind_reading(const struct wp_wind *wind, double t_s, double *mean_m_s,
                            double *from_deg) WP_REALTIME;

/** Distance of the records in seconds: how often the station reports. */
WP_API double wp_wind_interval_s(const struct wp_wind *wind);

/** Ratio of the mean wind at the wanted height to that at the station. */
WP_API double wp_wind_height_factor(const struct wp_wind *wind);

/** Expected (strongest gust - mean) / sigma in a record: gust_s gusts, averaging_s records. */
WP_API double wp_wind_peak_factor(double averaging_s, double gust_s, double mean_m_s,
                                  double height_m);

#endif
