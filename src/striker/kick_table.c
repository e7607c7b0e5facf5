/* SPDX-License-Identifier: MIT */
/* The schedule of kicks in whole numbers, as a controller without floating point holds it. */
#include "striker/kick_table.h"

#include <math.h>

#include "striker/schedule.h"

static uint32_t whole(double number)
{
    return (uint32_t)floor(number + 0.5);
}

void wp_kick_table_init(struct wp_kick_table *table, const struct wp_set_coils *coils)
{
    const struct wp_schedule schedule = {
        .slowest_s = coils->slowest_s,
        .fastest_s = coils->fastest_s,
        .calm_below_m_s = coils->calm_below_m_s,
        .full_at_m_s = coils->full_at_m_s,
        .least_duty_01 = coils->least_duty_01,
    };
    const double step_m_s = (coils->full_at_m_s - coils->calm_below_m_s) / WP_KICK_CELLS;
    table->calm_mm_s = whole(1000.0 * coils->calm_below_m_s);
    table->full_mm_s = whole(1000.0 * coils->full_at_m_s);
    if (table->full_mm_s <= table->calm_mm_s) {
        table->full_mm_s = table->calm_mm_s + 1;
    }
    for (size_t i = 0; i <= WP_KICK_CELLS; i++) {
        const double wind_m_s = coils->calm_below_m_s + step_m_s * (double)i;
        table->delay_ms[i] = whole(1000.0 * wp_schedule_delay_s(&schedule, wind_m_s));
        table->duty_4096[i] = whole(4096.0 * wp_schedule_duty(&schedule, wind_m_s));
    }
}

/* A straight line between two entries, rounded towards the left one. */
static uint32_t look_up(const struct wp_kick_table *table, const uint32_t *values,
                        uint32_t wind_mm_s)
{
    if (wind_mm_s <= table->calm_mm_s) {
        return values[0];
    }
    if (wind_mm_s >= table->full_mm_s) {
        return values[WP_KICK_CELLS];
    }
    const uint32_t span = table->full_mm_s - table->calm_mm_s;
    const uint32_t along = (wind_mm_s - table->calm_mm_s) * WP_KICK_CELLS;
    const int64_t left = values[along / span];
    const int64_t right = values[along / span + 1];
    return (uint32_t)(left + (right - left) * (int64_t)(along % span) / (int64_t)span);
}

uint32_t wp_kick_table_duty_4096(const struct wp_kick_table *table, uint32_t now_mm_s)
{
    return now_mm_s < table->calm_mm_s ? 0 : look_up(table, table->duty_4096, now_mm_s);
}

uint32_t wp_kick_table_delay_ms(const struct wp_kick_table *table, uint32_t mean_mm_s)
{
    return look_up(table, table->delay_ms, mean_mm_s);
}
