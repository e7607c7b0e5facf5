/* SPDX-License-Identifier: MIT */
/* When and how hard a controller kicks. */
#include "striker/schedule.h"

#include <math.h>

/* Where a wind lies between calm and full, 0 to 1. */
static double share_of(const struct wp_schedule *schedule, double wind_m_s)
{
    const double span_m_s = schedule->full_at_m_s - schedule->calm_below_m_s;
    return fmin(fmax((wind_m_s - schedule->calm_below_m_s) / span_m_s, 0.0), 1.0);
}

double wp_schedule_delay_s(const struct wp_schedule *schedule, double mean_m_s)
{
    const double slowest_per_s = 1.0 / schedule->slowest_s;
    const double more_per_s = 1.0 / schedule->fastest_s - slowest_per_s;
    const double delay_s = 1.0 / (slowest_per_s + share_of(schedule, mean_m_s) * more_per_s);
    return fmin(fmax(delay_s, schedule->fastest_s), schedule->slowest_s);
}

double wp_schedule_duty(const struct wp_schedule *schedule, double now_m_s)
{
    if (now_m_s < schedule->calm_below_m_s) {
        return 0.0;
    }
    const double least = schedule->least_duty_01;
    return fmin(least + (1.0 - least) * share_of(schedule, now_m_s), 1.0);
}

void wp_running_mean_init(struct wp_running_mean *mean, double update_s, double mean_over_s)
{
    mean->update_s = update_s;
    mean->mean_over_s = mean_over_s;
    mean->n_readings = 0;
}

void wp_running_mean_add(struct wp_running_mean *mean, double reading_m_s)
{
    mean->readings_m_s[mean->n_readings % WP_MEAN_READINGS_MAX] = reading_m_s;
    mean->n_readings++;
}

double wp_running_mean_value(const struct wp_running_mean *mean)
{
    double left_s = mean->mean_over_s;
    double weight_s = 0.0;
    double sum = 0.0;
    for (size_t i = 0; i < mean->n_readings && i < WP_MEAN_READINGS_MAX && left_s > 0.0; i++) {
        const double held_s = fmin(mean->update_s, left_s);
        sum += held_s * mean->readings_m_s[(mean->n_readings - 1 - i) % WP_MEAN_READINGS_MAX];
        weight_s += held_s;
        left_s -= held_s;
    }
    return weight_s > 0.0 ? sum / weight_s : 0.0;
}
