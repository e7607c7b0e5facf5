/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_LEVEL_H
#define WINDPEAL_LEVEL_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/chime.h"
#include "windpeal/status.h"
#include "windpeal/strike.h"

/* Levels: of one strike's partials at the listener, of a whole rendering, and the gain for a file.
 */

/** Sound pressure of sample value 1.0 in a calibrated rendering. */
#define WP_FULL_SCALE_PA 20.0

/**
 * Level of every partial of a tube at the listener's place just after a blow toward the listener.
 *
 * @param level_db  out: tube->n_partials values, dB re 20 uPa; -INFINITY for a null
 */
WP_API void wp_strike_levels(const struct wp_strike_context *context, size_t tube, double speed_m_s,
                             double *level_db);

/**
 * Power that every partial of a tube radiates just after a blow, into free air.
 *
 * @param power_w  out: tube->n_partials values
 */
WP_API void wp_strike_powers(const struct wp_strike_context *context, size_t tube, double speed_m_s,
                             double *power_w);

/** Absorption area of the equivalent room of ISO 10140 and ISO 16032, for want of the real one. */
#define WP_ROOM_ABSORPTION_M2 10.0

/**
 * Equivalent absorption area of a room, A = 24 ln(10) V / (c T): Sabine's formula (H. Kuttruff,
 * Room Acoustics), T the time in which its sound falls by 60 dB.
 */
WP_API double wp_room_absorption_m2(double volume_m3, double decay_s, double sound_speed_m_s);

/**
 * Level of the diffuse sound that a steady power makes in a room, far from the source: L_p = L_W +
 * 10 log10(4 / A) (H. Kuttruff, Room Acoustics), dB re 20 uPa for L_W re 1 pW and air of 400 Pa
 * s/m. A partial that decays faster than the room stays below it.
 *
 * @return -INFINITY without power
 */
WP_API double wp_diffuse_level_db(double power_w, double absorption_m2);

/** What a meter found; NAN where a figure does not exist (loudness of silence). */
struct wp_levels {
    double integrated_lufs; /**< ITU-R BS.1770-4, of the frames as metered (no gain), but with the
                                 absolute gate where a file raised to -16 LUFS has it: calibrated
                                 frames lie far below -70 LUFS */
    double true_peak_dbtp;
    double laeq_db;   /**< A-weighted level at the listener over the whole, re 20 uPa */
    double lafmax_db; /**< largest A-weighted level, time weighting F (125 ms) */
};

struct wp_meter;

/**
 * Frames are calibrated: 1.0 is WP_FULL_SCALE_PA.
 *
 * @param rate_hz a multiple of 100
 * @param n_ears  1 for the head's middle, 2 for the ears; channels of another number are one a
 * tube, and with n_ears 1 loudness and levels are those of their sum
 */
WP_API enum wp_status wp_meter_create(struct wp_meter **out, int n_channels, int n_ears,
                                      int rate_hz);

/** Frees a meter; NULL is allowed. */
WP_API void wp_meter_destroy(struct wp_meter *meter);

/** Takes the next n_frames interleaved frames. */
WP_API void wp_meter_add(struct wp_meter *meter, const float *frames, size_t n_frames);

/** The figures of all frames so far; more may follow. */
WP_API void wp_meter_result(struct wp_meter *meter, struct wp_levels *levels);

/** Integrated loudness that a meter shows for a file of the frames after gain_db; NAN: none. */
WP_API double wp_meter_loudness(const struct wp_meter *meter, double gain_db);

enum wp_level_profile { WP_LEVEL_CALIBRATED, WP_LEVEL_WEB, WP_LEVEL_BROADCAST };
enum wp_level_bound { WP_BOUND_NONE, WP_BOUND_TARGET, WP_BOUND_PEAK };

/** Loudness that a profile wants, -16 LUFS (web) or -23 LUFS (broadcast); NAN: none (calibrated).
 */
WP_API double wp_level_target_lufs(enum wp_level_profile profile);

/** Gain in dB for a profile: to -16 LUFS (web) or -23 LUFS (broadcast), never above -1 dBTP. */
WP_API double wp_level_gain_db(enum wp_level_profile profile, const struct wp_levels *levels,
                               enum wp_level_bound *bound);

/** How the loudest strike stands against people who talk 1 m away. */
enum wp_audibility {
    WP_SILENT,          /**< nothing sounds */
    WP_HARDLY_HEARD,    /**< below 30 dB(A), the level of a quiet bedroom */
    WP_HEARD_IN_QUIET,  /**< below 45 dB(A): talk covers it */
    WP_HEARD_IN_PAUSES, /**< below 60 dB(A): softer than talk */
    WP_HEARD_OVER_TALK, /**< below 66 dB(A): as loud as talk */
    WP_DROWNS_TALK,     /**< as loud as a raised voice, or louder */
};

/** What the mean level means to those who hear it day by day. */
enum wp_hearing_care {
    WP_CARE_NONE,
    WP_CARE_LEISURE, /**< 80 dB(A) or more: the limit for 40 hours of listening a week */
    WP_CARE_WORK,    /**< 85 dB(A) or more: the limit of an 8-hour day at work */
};

/** Levels at the listener in words. */
struct wp_verdict {
    enum wp_audibility audibility;
    enum wp_hearing_care care;
    double care_m;  /**< nearer than this the mean passes 80 dB(A) */
    double night_m; /**< from here on levels keep to the guidelines for nights in front of a
                       bedroom, 40 dB(A) on average and 60 dB(A) for one strike */
};

/**
 * Judges levels that hold at distance_m from the set. Distances suppose that levels fall by 6 dB
 * for every doubling of the distance, as in the open; NAN when nothing sounds. Sources:
 * synth/verdict.c.
 */
WP_API void wp_level_judge(struct wp_verdict *verdict, const struct wp_levels *levels,
                           double distance_m);

#endif
