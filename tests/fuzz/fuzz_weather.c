/* SPDX-License-Identifier: MIT */
/* Any bytes as a weather file and as a METAR: read or refused with one finding, never both. */
#include <stdlib.h>
#include <string.h>

#include "fuzz_target.h"
#include "weather_outcome.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct wp_weather weather;
    struct wp_diags diags;
    wp_diags_init(&diags);
    enum wp_status status =
        wp_weather_parse(&weather, "fuzz", (const char *)data, size, NULL, &diags);
    require(!status || !weather.records);
    check_outcome(status, &weather, &diags);

    const struct wp_weather_config told = told_config();
    wp_diags_init(&diags);
    status = wp_weather_parse(&weather, "fuzz", (const char *)data, size, &told, &diags);
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
