/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_SCHEDULE_H
#define WINDPEAL_STRIKER_SCHEDULE_H

#include <stddef.h>

#include "windpeal/attributes.h"

/*
 * When and how hard a controller kicks. The wind's mean over the last while sets the delay: kicks a
 * second grow in a straight line from 1 / slowest at calm_below to 1 / fastest at full_at. The wind
 * now sets the duty: a straight line too, so that the force, as the square of the current, grows
 * with the square of the wind, as drag does. Both are level outside of that stretch; below
 * calm_below nothing is kicked, whatever the mean.
 */
struct wp_schedule {
    double slowest_s;
    double fastest_s;
    double calm_below_m_s;
    double full_at_m_s;
    double least_duty_01; /* at calm_below; 1 at full_at */
};

/* Delay after the last kick for a mean wind; 0 < fastest_s <= slowest_s, calm_below < full_at. */
double wp_schedule_delay_s(const struct wp_schedule *schedule, double mean_m_s) WP_REALTIME;

/* Duty for the wind now, 0 in calm. */
double wp_schedule_duty(const struct wp_schedule *schedule, double now_m_s) WP_REALTIME;

enum { WP_MEAN_READINGS_MAX = 3600 };

/* Time-weighted mean of readings that each hold for update_s. Visible state, never allocates. */
struct wp_running_mean {
    double update_s;
    double mean_over_s;                        /* at most WP_MEAN_READINGS_MAX * update_s */
    size_t n_readings;                         /* so far */
    double readings_m_s[WP_MEAN_READINGS_MAX]; /* the latest ones, round and round */
};

void wp_running_mean_init(struct wp_running_mean *mean, double update_s, double mean_over_s);

/* Takes the next reading. */
void wp_running_mean_add(struct wp_running_mean *mean, double reading_m_s) WP_REALTIME;

/* Mean over the last mean_over_s, or over what there is; 0 before the first reading. */
double wp_running_mean_value(const struct wp_running_mean *mean) WP_REALTIME;

#endif
