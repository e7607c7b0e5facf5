/* SPDX-License-Identifier: MIT */
/* Steady winds: a given mean and gust, a Beaufort force. */
#include "weather/steady.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "weather/tally.h"
#include "weather/unit.h"

/* Mean and gust of a report are those of 10 minutes (WMO-No. 8, Guide to Instruments and Methods of
 * Observation, chapter on surface wind), however long it is to hold. */
static const double report_s = 600.0;

enum wp_status wp_steady_fill(struct wp_weather *weather, const struct wp_record *record,
                              double duration_s, struct wp_diags *diags)
{
    static const double longest_s = 2.0 * 366.0 * 86400.0;
    if (!(duration_s > 0.0 && duration_s <= longest_s)) {
        return wp_diags_add(diags, WP_E_RANGE, NULL, (struct wp_mark){0, 0}, NULL,
                            "a duration of %g s; expected more than 0 s and at most 2 years",
                            duration_s);
    }
    const size_t n = (size_t)ceil(duration_s / report_s);
    struct wp_record *const records = malloc(n * sizeof *records);
    if (!records) {
        return wp_diags_add(diags, WP_E_NO_MEMORY, NULL, (struct wp_mark){0, 0}, NULL,
                            "not enough memory for the records");
    }
    for (size_t i = 0; i < n; i++) {
        records[i] = *record;
        records[i].t_s = report_s * (double)(i + 1);
    }
    weather->records = records;
    weather->n_records = n;
    weather->interval_s = report_s;
    return WP_OK;
}

/* The wind of a record that somebody gave: all three within what wp_record allows. */
static bool is_possible(const struct wp_record *record)
{
    const double mean_m_s = record->mean_m_s;
    const double gust_m_s = record->gust_m_s;
    const double from_deg = record->from_deg;
    return mean_m_s >= 0.0 && mean_m_s <= 75.0 &&
           (isnan(gust_m_s) || (gust_m_s >= mean_m_s && gust_m_s <= 75.0)) &&
           (isnan(from_deg) || (from_deg >= 0.0 && from_deg <= 360.0));
}

enum wp_status wp_weather_fixed(struct wp_weather *weather, double mean_m_s, double gust_m_s,
                                double from_deg, double duration_s)
{
    memset(weather, 0, sizeof *weather);
    struct wp_record record = {0.0, mean_m_s, gust_m_s, from_deg, NAN, NAN};
    if (!is_possible(&record)) {
        return WP_E_RANGE;
    }
    if (mean_m_s == 0.0) {
        record.from_deg = NAN;
    }
    (void)snprintf(weather->format, sizeof weather->format, "fixed wind");
    const enum wp_status status = wp_steady_fill(weather, &record, duration_s, NULL);
    if (status) {
        wp_weather_finish(weather);
    }
    return status;
}

enum wp_status wp_weather_beaufort(struct wp_weather *weather, int force, double from_deg,
                                   double duration_s, struct wp_diags *diags)
{
    memset(weather, 0, sizeof *weather);
    if (force < 0 || force > 12) {
        return wp_diags_add(diags, WP_E_RANGE, NULL, (struct wp_mark){0, 0},
                            "force 4 is a moderate breeze of 5.5 to 7.9 m/s",
                            "Beaufort force %d does not exist; expected 0 to 12", force);
    }
    const struct wp_record record = {
        0.0, wp_beaufort_m_s(force), NAN, force > 0 ? from_deg : (double)NAN, NAN, NAN};
    if (!is_possible(&record)) {
        return wp_diags_add(diags, WP_E_RANGE, NULL, (struct wp_mark){0, 0}, NULL,
                            "a direction of %g degrees; expected 0 to 360", from_deg);
    }
    (void)snprintf(weather->format, sizeof weather->format, "beaufort");
    wp_weather_note(weather, "Beaufort force %d is taken as %.1f m/s", force, record.mean_m_s);
    const enum wp_status status = wp_steady_fill(weather, &record, duration_s, diags);
    if (status) {
        wp_weather_finish(weather);
    }
    return status;
}
