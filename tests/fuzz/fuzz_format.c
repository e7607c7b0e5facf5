/* SPDX-License-Identifier: MIT */
/* Any bytes to the reader of one format, which the build names: no detection in between. */
#include <string.h>

#include "fuzz_target.h"
#include "weather/agency.h"
#include "weather/json_lines.h"
#include "weather/line_format.h"
#include "weather_outcome.h"

/* Read whole, or by lines. */
struct reader {
    const char *name;
    enum wp_status (*read)(const struct wp_source *source, const struct wp_weather_config *config,
                           struct wp_weather *weather, struct wp_diags *diags);
    const struct wp_line_format *(*lines)(void);
};

static const struct reader readers[] = {
    {"agency", wp_agency_read, NULL},
    {"delimited", wp_delimited_read, NULL},
    {"json", wp_json_read, NULL},
    {"asos", NULL, wp_asos_format},
    {"bare_speed", NULL, wp_bare_speed_format},
    {"epw", NULL, wp_epw_format},
    {"hourly", NULL, wp_hourly_format},
    {"isd", NULL, wp_isd_format},
    {"isd_lite", NULL, wp_isd_lite_format},
    {"metar", NULL, wp_metar_format},
    {"ndbc", NULL, wp_ndbc_format},
    {"nmea", NULL, wp_nmea_format},
    {"push", NULL, wp_push_format},
};

static void read_with(const struct wp_weather_config *config, const char *text, size_t size)
{
    const struct wp_source source = {"fuzz", text, size};
    struct wp_weather weather;
    struct wp_diags diags;
    size_t i = 0;
    while (strcmp(readers[i].name, FUZZED_FORMAT) != 0) {
        i++;
    }
    memset(&weather, 0, sizeof weather);
    wp_diags_init(&diags);
    const enum wp_status status =
        readers[i].read
            ? readers[i].read(&source, config, &weather, &diags)
            : wp_line_format_read(readers[i].lines(), &source, config, &weather, &diags);
    check_outcome(status, &weather, &diags);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct wp_weather_config config;
    const char *const text = size > 0 ? (const char *)data : "";
    wp_weather_config_default(&config);
    read_with(&config, text, size);
    config = told_config();
    read_with(&config, text, size);
    config.columns = "date=1,time=2,speed=3,gust=4,from=wind.direction";
    read_with(&config, text, size);
    config.columns = "time=1,speed=3,gust=4,from=5";
    read_with(&config, text, size);
    return 0;
}
