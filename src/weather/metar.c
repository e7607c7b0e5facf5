/* SPDX-License-Identifier: MIT */
/* Takes the wind of one METAR or SPECI report, given as text, for a steady wind. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "weather/metar_groups.h"
#include "weather/steady.h"
#include "weather/tally.h"

static enum wp_status report(struct wp_diags *diags, enum wp_status status, struct wp_slice word,
                             const char *what)
{
    char shown[24];
    wp_slice_show(word, shown, sizeof shown);
    return wp_diags_add(diags, status, NULL, (struct wp_mark){0, 0},
                        "24015G25KT is 15 knots with gusts of 25 knots from 240 degrees", "'%s' %s",
                        shown, what);
}

static enum wp_status check_wind(const struct wp_metar *metar, struct wp_diags *diags)
{
    static const char form[] = "holds no wind group; expected three digits or VRB, two or three "
                               "digits, perhaps G and the gust, then KT, MPS or KMH";
    static const struct wp_slice nil = {"NIL", 3};
    if (metar->wind_is == WP_METAR_WIND) {
        return WP_OK;
    }
    if (metar->is_nil) {
        return report(diags, WP_E_MISSING, nil,
                      "means a report without content; expected one with a wind group");
    }
    if (metar->wind_is == WP_METAR_MISSING) {
        return report(diags, WP_E_MISSING, metar->wind_word,
                      "means a wind that is not reported; expected a report with its speed");
    }
    return report(diags, WP_E_SYNTAX, metar->wind_word, form);
}

/* A value of the air between two limits, those of files; noted where it cannot be. */
static double possible_air(double value, double least, double most, const char *what,
                           struct wp_weather *weather)
{
    if (isnan(value) || (value >= least && value <= most)) {
        return value;
    }
    wp_weather_note(weather, "%s cannot be that: taken as missing", what);
    return NAN;
}

/* The group as a record; what was left out or taken for something else is noted. */
static struct wp_record record_of(const struct wp_metar *metar, struct wp_weather *weather)
{
    const struct wp_metar_wind *const wind = &metar->wind;
    struct wp_record record = {
        .mean_m_s = wp_unit_to_si(wind->unit, wind->mean),
        .gust_m_s = NAN,
        .from_deg = NAN,
        .temperature_c =
            possible_air(metar->temperature_c, -90.0, 60.0, "the temperature", weather),
        .pressure_pa = possible_air(metar->pressure_pa, 3e4, 1.1e5, "the pressure", weather)};
    if (wind->gust > wind->mean) {
        record.gust_m_s = wp_unit_to_si(wind->unit, wind->gust);
    } else if (wind->gust >= 0) {
        wp_weather_note(weather, "the gust is not above the mean: taken as missing");
    }
    if (wind->is_mean_above || wind->is_gust_above) {
        wp_weather_note(weather, "P means more than this speed: taken as this speed");
    }
    const bool has_from = !wind->is_variable && !wind->is_from_missing;
    if (has_from && wind->from_deg > 0 && wind->mean > 0) {
        record.from_deg = wind->from_deg;
    } else if (!wind->is_variable && wind->mean > 0) {
        /* 000 is no direction: north is 360, still air 00000. */
        wp_weather_note(weather, "the direction is not reported: taken as variable");
    }
    if (metar->has_sector) {
        wp_weather_note(weather, "the direction varies between %d and %d deg", metar->left_deg,
                        metar->right_deg);
    }
    return record;
}

enum wp_status wp_weather_metar(struct wp_weather *weather, const char *text, double duration_s,
                                struct wp_diags *diags)
{
    memset(weather, 0, sizeof *weather);
    struct wp_metar metar;
    wp_metar_read((struct wp_slice){text, strlen(text)}, &metar);
    enum wp_status status = check_wind(&metar, diags);
    if (status) {
        return status;
    }
    const struct wp_record record = record_of(&metar, weather);
    if (record.mean_m_s > 75.0 || record.gust_m_s > 75.0) {
        status = report(diags, WP_E_RANGE, metar.wind_word,
                        "is above 75 m/s, where no chimes hang; expected less");
    } else {
        (void)snprintf(weather->format, sizeof weather->format, "METAR");
        status = wp_steady_fill(weather, &record, duration_s, diags);
    }
    if (status) {
        wp_weather_finish(weather);
    }
    return status;
}
