/* SPDX-License-Identifier: MIT */
/* Any bytes as a weather file and as a METAR: read or refused with one finding, never both. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz_target.h"
#include "windpeal/weather.h"

static void require(bool is_true)
{
    if (!is_true) {
        abort();
    }
}

static bool is_within(double value, double least, double most)
{
    return isnan(value) || (value >= least && value <= most);
}

static void check_weather(const struct wp_weather *weather)
{
    require(weather->n_records > 0 && weather->n_missing < weather->n_records);
    require(weather->interval_s > 0.0);
    require(weather->n_notes <= WP_WEATHER_NOTES_MAX && weather->n_columns <= WP_COLUMNS_MAX);
    for (size_t i = 0; i < weather->n_records; i++) {
        const struct wp_record *const record = &weather->records[i];
        require(isfinite(record->t_s) && (i == 0 || record[-1].t_s < record->t_s));
        require(is_within(record->mean_m_s, 0.0, 75.0) && is_within(record->gust_m_s, 0.0, 75.0));
        require(!(record->gust_m_s < record->mean_m_s));
        require(is_within(record->from_deg, 0.0, 360.0));
    }
}

static void check_outcome(enum wp_status status, struct wp_weather *weather,
                          const struct wp_diags *diags)
{
    require(diags->n_items == (status ? 1U : 0U));
    if (status) {
        require(!weather->records && weather->n_records == 0 && diags->items[0].status == status);
    } else {
        check_weather(weather);
    }
    wp_weather_finish(weather);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct wp_weather weather;
    struct wp_diags diags;
    wp_diags_init(&diags);
    enum wp_status status =
        wp_weather_parse(&weather, "fuzz", (const char *)data, size, NULL, &diags);
    check_outcome(status, &weather, &diags);

    char *const text = malloc(size + 1);
    if (text) {
        if (size > 0) {
            memcpy(text, data, size);
        }
        text[size] = '\0';
        wp_diags_init(&diags);
        status = wp_weather_metar(&weather, text, 600.0, &diags);
        check_outcome(status, &weather, &diags);
        free(text);
    }
    return 0;
}
