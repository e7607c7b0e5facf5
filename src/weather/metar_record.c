/* SPDX-License-Identifier: MIT */
/* Makes a record of a METAR or SPECI report. */
#include "weather/metar_record.h"

#include <math.h>

#include "weather/calendar.h"

double wp_metar_time_in(int year, int month, const struct wp_metar *metar)
{
    const struct wp_date date = {year + (month < 1    ? -1
                                         : month > 12 ? 1
                                                      : 0),
                                 month < 1    ? 12
                                 : month > 12 ? 1
                                              : month,
                                 metar->day};
    if (!wp_date_is_valid(date)) {
        return NAN;
    }
    return 86400.0 * (double)wp_date_to_days(date) + 3600.0 * metar->hour + 60.0 * metar->minute;
}

double wp_metar_time_near(double near_s, const struct wp_metar *metar)
{
    const struct wp_date date = wp_date_at(near_s);
    double best_s = NAN;
    for (int step = -1; step <= 1; step++) {
        const double t_s = wp_metar_time_in(date.year, date.month + step, metar);
        if (isnan(best_s) || fabs(t_s - near_s) < fabs(best_s - near_s)) {
            best_s = t_s;
        }
    }
    return best_s;
}

/* Temperature or pressure, unless it cannot be. */
static double check_air(struct wp_intake *intake, enum wp_meaning meaning, enum wp_unit unit,
                        double value, int number)
{
    static const struct wp_slice no_text = {"", 0};
    return isnan(value) ? value : wp_intake_number(intake, meaning, unit, value, no_text, number);
}

void wp_metar_take(struct wp_intake *intake, const struct wp_metar *metar, int number,
                   struct wp_record *record)
{
    const struct wp_metar_wind *const wind = &metar->wind;
    record->temperature_c =
        check_air(intake, WP_MEANS_TEMPERATURE, WP_UNIT_CELSIUS, metar->temperature_c, number);
    record->pressure_pa =
        check_air(intake, WP_MEANS_PRESSURE, WP_UNIT_PA, metar->pressure_pa, number);
    if (metar->wind_is == WP_METAR_BAD) {
        wp_tally_add(&intake->tally, WP_REPAIR_SPEED_TEXT, number, metar->wind_word);
    }
    if (metar->wind_is != WP_METAR_WIND) {
        return;
    }
    record->mean_m_s =
        wp_intake_number(intake, WP_MEANS_SPEED, wind->unit, wind->mean, metar->wind_word, number);
    if (wind->gust >= 0) {
        record->gust_m_s = wp_intake_number(intake, WP_MEANS_GUST, wind->unit, wind->gust,
                                            metar->wind_word, number);
    }
    if (wind->is_mean_above || wind->is_gust_above) {
        wp_tally_add(&intake->tally, WP_REPAIR_ABOVE, number, metar->wind_word);
    }
    /* 000 is no direction: north is 360, still air 00000. */
    if (!wind->is_variable && !wind->is_from_missing && wind->from_deg > 0) {
        record->from_deg = wind->from_deg;
    }
}
