/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_H
#define WINDPEAL_WIND_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"
#include "windpeal/weather.h"

/*
 * Records become a wind that gusts and turns from moment to moment. Same seed, same bits, whatever
 * the compiler.
 *
 * The mean speed of every record comes out as reported (times the height factor); gusts are met on
 * average, by sigma = (gust - mean) / peak factor. A gust that is missing or not above the mean
 * leaves sigma to the intensity. Records too short to hold five gusts tell sigma by the scatter of
 * their means within five minutes, unless an intensity is given. A time stamp is the
 * end of what its record speaks of. Stretches without a usable record, short or long, are bridged
 * by straight lines of mean and sigma, with turbulence of every length on top; before the first
 * record and after the last their values go on. The direction turns the shortest way; without one
 * it wanders, as it does near calm.
 */

/** Records of a live wind that may wait for their time. */
enum { WP_WIND_WAITING_MAX = 16 };

struct wp_wind_config {
    const struct wp_weather *weather; /**< must outlive the wind; live: NULL when none is known */
    /**
     * First moment wanted, seconds since 1970 UTC. A start that is later by whole steps gives the
     * same wind as skipping, to the bit, up to 2^19 steps (14 h at 0.1 s) into the records; past
     * that the slowest eddies remember their beginning, in light wind by up to 1 % of sigma.
     */
    double start_s;
    double step_s; /**< sample distance, 0.01 to 1 s, default 0.1 */
    uint64_t seed;
    double height_m;            /**< height at which the wind is wanted, default 10 m */
    double roughness_m;         /**< roughness length there, default 0.03 m */
    bool is_as_given;           /**< no height change: the records hold at the set */
    double station_height_m;    /**< default 10 m */
    double station_roughness_m; /**< default 0.03 m, open grass */
    /**
     * Time over which a record's mean is taken, at most 3600 s. 0: the interval, at most 600 s
     * (WMO-No. 8, part I, chapter 5).
     */
    double averaging_s;
    double gust_over_s; /**< time whose gust is told; 0: averaging_s if given, or the interval */
    double gust_s;      /**< averaging of a gust, default 3 s */
    double intensity;   /**< sigma / mean in ten minutes, without gusts; NAN: roughness */
    /**
     * Lets every record's gust come out as reported, where it speaks of that record alone: within
     * 2 %, by stronger or weaker turbulence and, where that does not do, by single gusts that swell
     * or shrink. Default false: gusts are met on average. A live wind does not know them
     * beforehand.
     */
    bool has_exact_gusts;
    /**
     * The records are a feed: each holds from its own t_s on until the next one's, as a reading
     * does that has just come in, and the wind before a moment depends on no record after it. So
     * records that are added while the wind blows (wp_wind_report) give the same bits as the same
     * records known beforehand. Before the first record it is calm. Default false.
     */
    bool is_live;
    /**
     * Live: time from record to record, which a mean and its gust stand for unless averaging_s is
     * given. Default 0: learnt from the feed, 60 s until it is known.
     */
    double interval_s;
    /**
     * Live: a feed that is silent for more than three intervals is given up (not before 10 s, nor
     * before half an hour while the interval is not known), and its wind falls to a calm over this
     * time; INFINITY: it is held. Default 60 s.
     */
    double fade_s;
};

/** One moment of wind at the wanted height. */
struct wp_wind_sample {
    double t_s;           /**< seconds after start_s */
    double along_m_s;     /**< component along the mean direction; may be negative */
    double across_m_s;    /**< to the left of it */
    double speed_m_s;     /**< horizontal speed, >= 0 */
    double from_deg;      /**< where it comes from, 0 <= from_deg < 360 */
    double temperature_c; /**< of the air as the latest record tells it; NAN: none does */
    double pressure_pa;   /**< likewise */
};

struct wp_wind;

/** Fills in the defaults, for the wind at a station; weather stays NULL, start_s 0. */
WP_API void wp_wind_config_default(struct wp_wind_config *config);

/**
 * @param out  receives the generator; NULL on failure. Free with wp_wind_destroy.
 * @return WP_OK, WP_E_RANGE (height not above the roughness, no record with a mean, a field out of
 *         range), WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_wind_create(struct wp_wind **out, const struct wp_wind_config *config);

/** Frees a generator; NULL is allowed. */
WP_API void wp_wind_destroy(struct wp_wind *wind);

/**
 * Advances by one step; the first call delivers t_s = 0. Endless: holds the last record. At the
 * first step of a record the time taken grows with its number of steps (1 ms for 600 s at 0.1 s).
 */
WP_API void wp_wind_step(struct wp_wind *wind, struct wp_wind_sample *sample) WP_REALTIME;

/**
 * Adds a record to a live wind, which copies it. It takes hold at the first step at or after its
 * t_s, which must lie after the last sample delivered and not before the record added last. Some
 * may wait, WP_WIND_WAITING_MAX at most; those that have taken hold need no memory.
 *
 * @return WP_OK, WP_E_RANGE (not live, too early or too many waiting)
 */
WP_API enum wp_status wp_wind_report(struct wp_wind *wind,
                                     const struct wp_record *record) WP_REALTIME;

/**
 * Tells a live wind what its records are averages over, in place of what its config says. Before
 * the first record takes hold it does not matter when.
 *
 * @return WP_OK, WP_E_RANGE (not live, out of range, a record has taken hold)
 */
WP_API enum wp_status wp_wind_set_averages(struct wp_wind *wind,
                                           const struct wp_averages *averages) WP_REALTIME;

/** How a live wind stands with its feed. */
enum wp_wind_news {
    WP_WIND_WAITING, /**< no record has taken hold yet: calm */
    WP_WIND_FRESH,   /**< reports come in (or the wind is not live) */
    WP_WIND_SILENT,  /**< given up: held or falling, see fade_s; a report makes it fresh again */
    WP_WIND_FADED,   /**< fallen to a calm */
};

/** The same at the last sample delivered, for a message whenever it changes. */
WP_API enum wp_wind_news wp_wind_news(const struct wp_wind *wind) WP_REALTIME;

/**
 * What a station's reading would be at t_s after the start: its latest record, held. NAN: none. Of
 * a live wind that at the last sample delivered, whatever t_s; it falls with the wind.
 */
WP_API void wp_wind_reading(const struct wp_wind *wind, double t_s, double *mean_m_s,
                            double *from_deg) WP_REALTIME;

/** Distance of the records in seconds: how often the station reports. INFINITY: live, not known. */
WP_API double wp_wind_interval_s(const struct wp_wind *wind);

/** Ratio of the mean wind at the wanted height to that at the station. */
WP_API double wp_wind_height_factor(const struct wp_wind *wind) WP_REALTIME;

/**
 * Expected (strongest gust - mean) / sigma in a record: gust_s gusts, averaging_s records, in the
 * wind of Kaimal's spectrum (IEC 61400-1) by Davenport (1964). NAN when a record holds less than
 * five gusts or an argument is not positive.
 */
WP_API double wp_wind_peak_factor(double averaging_s, double gust_s, double mean_m_s,
                                  double height_m);

#endif
