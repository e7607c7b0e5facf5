/* SPDX-License-Identifier: MIT */
/* Any text as a quantity or a note: what is read is finite, what is not leaves the value alone. */
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz_target.h"
#include "windpeal/quantity.h"

enum { TEXT_MAX = 255 };

static void check_quantity(const char *text, enum wp_dimension dimension)
{
    char why[64] = "";
    double value = -77.0;
    const enum wp_status status = wp_quantity_parse(text, dimension, &value, why, sizeof why);
    const bool is_explained = why[0] != '\0';
    if (status ? value != -77.0 || !is_explained : !isfinite(value) || is_explained) {
        abort();
    }
}

/* A note that is read is named again within a cent's rounding. */
static void check_note(const char *text)
{
    double freq_hz = NAN;
    double again_hz = NAN;
    char name[32];
    if (wp_note_parse(text, 440.0, &freq_hz)) {
        return;
    }
    wp_note_format(freq_hz, 440.0, WP_SPELLING_FLATS, name, sizeof name);
    const bool is_above_10 = freq_hz > 440.0 * 64.0 || freq_hz < 8.0; /* past C-1 to B10 */
    if (!is_above_10 && (wp_note_parse(name, 440.0, &again_hz) ||
                         fabs(1200.0 * log2(again_hz / freq_hz)) > 0.5 + 1e-6)) {
        abort();
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char text[TEXT_MAX + 1];
    const size_t length = size < TEXT_MAX ? size : TEXT_MAX;
    if (length > 0) {
        memcpy(text, data, length);
    }
    text[length] = '\0';
    for (int dimension = WP_LENGTH; dimension <= WP_NUMBER; dimension++) {
        check_quantity(text, (enum wp_dimension)dimension);
    }
    check_note(text);
    return 0;
}
