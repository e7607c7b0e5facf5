/* SPDX-License-Identifier: MIT */
/* The statistical drive: strikes as a point process that follows the wind. */
#include <math.h>
#include <stdlib.h>

#include "base/exact.h"
#include "base/random.h"
#include "striker/blow.h"
#include "striker/controller.h"
#include "striker/drive.h"
#include "striker/scatter.h"

/*
 * After a strike the striker needs time to come back: no further strike for this share of the
 * mean pause at the busiest, and never longer than longest_rest_s, a good tenth of a swing.
 */
static const double rest_share = 0.3;
static const double longest_rest_s = 0.12;

/*
 * Mean closing speed = slow_m_s + share_of_wind * wind; strikers hung by hand meet their tubes at
 * a few centimetres a second in a breath of air and at half a metre a second in a fresh breeze.
 * Estimates, no measured source; so are the bounds and the scatter below.
 */
static const double slow_m_s = 0.05;
static const double share_of_wind = 0.04;
static const double slowest_m_s = 0.02;
static const double fastest_m_s = 1.5;

/*
 * The striker goes downwind with a scatter of its own (mean resultant length in strong wind) that
 * grows as the wind falls to light_wind_m_s and below. Mean resultant lengths of independent turns
 * multiply (K. V. Mardia, P. E. Jupp, "Directional Statistics", Wiley 2000), so the steadiness of
 * the wind is a third factor. Kappa comes to 2.1 in a steady 10 m/s, 0.9 in a steady 1 m/s.
 */
static const double aim_01 = 0.8;
static const double light_wind_m_s = 1.0;

/* Standard deviations: direction of the blow about the tube's bearing, height about the layout's.
 */
static const double blow_scatter_deg = 5.0;
static const double height_scatter_m = 0.003;

struct statistical {
    struct wp_drive drive; /* first, so that either pointer stands for both */
    const struct wp_strike_context *context;
    uint64_t seed;
    struct wp_controller controller;
    double rest_s;           /* after a strike */
    double candidates_per_s; /* rate of the process that is thinned */
    uint64_t candidate;      /* number of the one at hand; the event of its random numbers */
    double exact_t_s;        /* of the candidate */
    double t_s;              /* the same as a strike list prints it */
    double ready_s;          /* end of the rest after the last strike */
    struct wp_random time;   /* draws of the candidate: its pause, its acceptance */
};

/* Strikes a second that the set file asks for in this wind: from 0 at calm_below in a straight
 * line to the busiest at full_at, then level. */
static double wanted_rate(const struct wp_set_statistical *drive, double wind_m_s)
{
    const double span = drive->full_at_m_s - drive->calm_below_m_s;
    const double share = (wind_m_s - drive->calm_below_m_s) / span;
    return drive->busiest_per_s * fmin(fmax(share, 0.0), 1.0);
}

/* A Poisson process of rate r with a rest d after each event makes r / (1 + r d) events a second;
 * this is the r for a wanted rate. */
static double raw_rate(double rate_per_s, double rest_s)
{
    return rate_per_s / (1.0 - rate_per_s * rest_s);
}

/* Goes to the next candidate: an exponential pause, rounded only for what is shown. */
static void advance(struct statistical *drive)
{
    drive->candidate++;
    wp_random_init(&drive->time, drive->seed, WP_STREAM_STRIKE_TIME, drive->candidate);
    const double pause = -wp_exact_log(wp_random_uniform(&drive->time));
    drive->exact_t_s += pause / drive->candidates_per_s;
    drive->t_s = wp_figure_time(drive->exact_t_s);
}

/* Thinning (P. A. W. Lewis, G. S. Shedler, "Simulation of nonhomogeneous Poisson processes by
 * thinning", Naval Res. Logist. Quart. 26 (1979) 403): kept with rate / highest rate. */
static bool is_kept(struct statistical *drive, double wind_m_s)
{
    const double wanted = wanted_rate(&drive->context->set->drive.statistical, wind_m_s);
    const double kept_01 = raw_rate(wanted, drive->rest_s) / drive->candidates_per_s;
    return wp_random_uniform(&drive->time) < kept_01 && drive->t_s >= drive->ready_s;
}

/* Angle between two bearings, 0 to 180. */
static double between(double a_deg, double b_deg)
{
    const double turn = a_deg - b_deg;
    return fabs(turn - 360.0 * floor(turn / 360.0 + 0.5));
}

static size_t nearest_tube(const struct wp_layout *layout, double bearing_deg)
{
    size_t nearest = 0;
    for (size_t i = 1; i < layout->n_tubes; i++) {
        if (between(layout->bearing_deg[i], bearing_deg) <
            between(layout->bearing_deg[nearest], bearing_deg)) {
            nearest = i;
        }
    }
    return nearest;
}

static size_t choose_tube(const struct statistical *drive, const struct wp_reading *reading)
{
    const double wind = reading->speed_m_s;
    const double aim = aim_01 * wind / (wind + light_wind_m_s) * reading->steadiness_01;
    const bool is_aimed = !isnan(reading->from_deg);
    const double downwind_deg = is_aimed ? reading->from_deg + 180.0 : 0.0;
    const double kappa = is_aimed ? wp_scatter_concentration(aim) : 0.0;
    struct wp_random random;
    wp_random_init(&random, drive->seed, WP_STREAM_STRIKE_TUBE, drive->candidate);
    const double off_rad = wp_scatter_angle(&random, kappa);
    return nearest_tube(drive->context->layout, downwind_deg + off_rad * 0x1.ca5dc1a63c1f8p+5);
}

static void make_strike(const struct statistical *drive, const struct wp_reading *reading,
                        struct wp_strike *strike)
{
    const struct wp_strike_context *context = drive->context;
    const size_t tube = choose_tube(drive, reading);
    const double length_m = context->chime->tubes[tube].spec.length_m;
    struct wp_random random;
    wp_random_init(&random, drive->seed, WP_STREAM_STRIKE_BLOW, drive->candidate);
    const double mean_m_s = slow_m_s + share_of_wind * reading->speed_m_s;
    const double speed_m_s = wp_scatter_speed(&random, mean_m_s);
    const double turn_deg = blow_scatter_deg * wp_random_normal(&random);
    const double rise_m = height_scatter_m * wp_random_normal(&random);
    const double height_m = context->layout->strike_height_m[tube] + rise_m;
    *strike = (struct wp_strike){
        .t_s = drive->t_s,
        .tube = tube,
        .speed_m_s = wp_figure_speed(fmin(fmax(speed_m_s, slowest_m_s), fastest_m_s)),
        .bearing_deg = wp_figure_bearing(context->layout->bearing_deg[tube] + turn_deg),
        .height_m = wp_figure_height(fmin(fmax(height_m, 0.0), length_m)),
        .impulse_n_s = NAN,
    };
}

static bool is_usable(const struct wp_drive_config *config)
{
    const struct wp_set_statistical *drive = &config->context->set->drive.statistical;
    return drive->busiest_per_s > 0.0 && drive->calm_below_m_s >= 0.0 &&
           drive->full_at_m_s > drive->calm_below_m_s && drive->update_s > 0.0 &&
           drive->update_s >= config->wind_step_s;
}

static bool next_strike(struct wp_drive *base, double until_s, struct wp_strike *strike)
{
    struct statistical *drive = (struct statistical *)base;
    while (drive->t_s < until_s) {
        const struct wp_reading *reading = wp_controller_at(&drive->controller, drive->t_s);
        const bool is_struck = is_kept(drive, reading->speed_m_s);
        if (is_struck) {
            drive->ready_s = drive->t_s + drive->rest_s;
            make_strike(drive, reading, strike);
        }
        advance(drive);
        if (is_struck) {
            return true;
        }
    }
    return false;
}

static void destroy(struct wp_drive *base)
{
    free(base);
}

enum wp_status wp_statistical_create(struct wp_drive **out, const struct wp_drive_config *config)
{
    static const struct wp_drive_model model = {next_strike, destroy};
    if (!is_usable(config)) {
        return WP_E_RANGE;
    }
    struct statistical *drive = calloc(1, sizeof *drive);
    if (!drive) {
        return WP_E_NO_MEMORY;
    }
    const struct wp_set_statistical *wanted = &config->context->set->drive.statistical;
    drive->drive.model = &model;
    drive->context = config->context;
    drive->seed = config->seed;
    drive->rest_s = fmin(rest_share / wanted->busiest_per_s, longest_rest_s);
    drive->candidates_per_s = raw_rate(wanted->busiest_per_s, drive->rest_s);
    wp_controller_init(&drive->controller, config->wind, wanted->update_s);
    advance(drive);
    *out = &drive->drive;
    return WP_OK;
}
