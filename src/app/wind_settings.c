/* SPDX-License-Identifier: MIT */
/* Settings of the station and of the wind that is made of its records. */
#include "app/wind_settings.h"

#include <math.h>

#include "app/report.h"

enum { STAMPS_AT_START = 1, SILENT_HELD = 1 }; /* as in the option table */

/* Options that need one kind of weather. */
static enum wp_status check_kind(struct app_weather_kind kind,
                                 const struct app_arguments *arguments, struct wp_diags *diags)
{
    const bool *given = arguments->is_given;
    if (given[APP_WHEN_SILENT] && !kind.is_live) {
        return app_refuse(diags, WP_E_CONFLICT, "leave out --when-silent",
                          "--when-silent goes with a live feed or the log of one");
    }
    if (given[APP_EXACT_GUSTS] && kind.is_live) {
        return app_refuse(
            diags, WP_E_CONFLICT, "leave out --exact-gusts",
            "--exact-gusts needs records that are known beforehand; a feed's are not");
    }
    if (given[APP_STAMPS] && (kind.is_live || !kind.is_clocked)) {
        return app_refuse(
            diags, WP_E_CONFLICT, "leave out --stamps", "--stamps goes with a weather file; %s",
            kind.is_live ? "a feed's records hold when they arrive" : "a steady wind has no times");
    }
    return WP_OK;
}

/* Gusts that nobody tells cannot come out exactly. */
static enum wp_status check_gusts(const struct wp_weather *weather,
                                  const struct app_arguments *arguments, struct wp_diags *diags)
{
    bool has_gust = !arguments->is_given[APP_EXACT_GUSTS];
    for (size_t i = 0; i < weather->n_records && !has_gust; i++) {
        has_gust = weather->records[i].gust_m_s > weather->records[i].mean_m_s;
    }
    return has_gust ? WP_OK
                    : app_refuse(diags, WP_E_CONFLICT, "leave out --exact-gusts",
                                 "--exact-gusts needs gusts, but the weather tells none above its "
                                 "mean");
}

static double number_or(const struct app_arguments *arguments, enum app_option_id id,
                        double otherwise)
{
    return arguments->is_given[id] ? arguments->number[id] : otherwise;
}

static enum wp_status place_station(struct wp_wind_config *wind,
                                    const struct app_arguments *arguments, struct wp_diags *diags)
{
    wind->station_height_m = number_or(arguments, APP_STATION_HEIGHT, wind->station_height_m);
    wind->station_roughness_m =
        number_or(arguments, APP_STATION_ROUGHNESS, wind->station_roughness_m);
    if (wind->station_height_m <= wind->station_roughness_m) {
        return app_refuse(diags, WP_E_RANGE, NULL,
                          "a station at %g m stands within a roughness of %g m; expected a height "
                          "above it",
                          wind->station_height_m, wind->station_roughness_m);
    }
    return WP_OK;
}

enum wp_status app_wind_averages(struct wp_wind_config *wind, const struct wp_weather *weather,
                                 const struct app_arguments *arguments, struct wp_diags *diags)
{
    const double told_gust_s = weather->gust_s > 0.0 ? weather->gust_s : wind->gust_s;
    wind->averaging_s = number_or(arguments, APP_AVERAGING, weather->averaging_s);
    wind->gust_s = number_or(arguments, APP_GUST_TIME, told_gust_s);
    wind->gust_over_s = number_or(arguments, APP_GUST_WINDOW, weather->gust_over_s);
    const double gust_over_s = wind->gust_over_s > 0.0 ? wind->gust_over_s : wind->averaging_s;
    if (gust_over_s > 0.0 && wind->gust_s >= gust_over_s && arguments->is_given[APP_GUST_TIME]) {
        return app_refuse(diags, WP_E_RANGE, "as '3 s'",
                          "--gust-time %s is no shorter than the %g s whose gust it is; expected a "
                          "fifth of that at most",
                          arguments->text[APP_GUST_TIME], gust_over_s);
    }
    return WP_OK;
}

enum wp_status app_wind_settings(struct wp_wind_config *wind, struct wp_weather *weather,
                                 struct app_weather_kind kind,
                                 const struct app_arguments *arguments, struct wp_diags *diags)
{
    const bool *given = arguments->is_given;
    enum wp_status status = check_kind(kind, arguments, diags);
    status = status ? status : check_gusts(weather, arguments, diags);
    status = status ? status : app_wind_averages(wind, weather, arguments, diags);
    status = status ? status : place_station(wind, arguments, diags);
    wind->has_exact_gusts = given[APP_EXACT_GUSTS];
    if (given[APP_INTENSITY]) {
        wind->intensity = arguments->number[APP_INTENSITY];
    }
    if (given[APP_WHEN_SILENT] && arguments->choice[APP_WHEN_SILENT] == SILENT_HELD) {
        wind->fade_s = INFINITY;
    }
    if (given[APP_INTERVAL] && kind.is_live) {
        wind->interval_s = arguments->number[APP_INTERVAL];
    }
    if (!status && given[APP_STAMPS] && arguments->choice[APP_STAMPS] == STAMPS_AT_START) {
        wp_weather_move(weather, weather->interval_s);
    }
    return status;
}
