/* SPDX-License-Identifier: MIT */
/* Counts repairs and puts them into words. */
#include "weather/tally.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "weather/table.h"

enum { FIRST_KEPT = WP_REPAIR_CUT }; /* kinds before this one reject the line */

/* Each behind a count and "line" or "lines". */
static const char *const texts[WP_REPAIR_COUNT] = {
    [WP_REPAIR_NO_TIME] = "without a readable time, left out",
    [WP_REPAIR_NO_SUCH_TIME] = "with a date or time that does not exist, left out",
    [WP_REPAIR_ZERO] = "with a zero byte, which is no text, left out",
    [WP_REPAIR_TOO_SHORT] = "cut short before time and wind speed, left out",
    [WP_REPAIR_UNFINISHED] = "cut short by the end of the file, left out",
    [WP_REPAIR_TOO_LONG] = "with more values than headings, left out",
    [WP_REPAIR_FORM] = "not of this format, left out",
    [WP_REPAIR_CHECKSUM] = "with a wrong checksum, left out",
    [WP_REPAIR_INVALID] = "that the instrument leaves empty or marks as invalid, left out",
    [WP_REPAIR_CUT] = "cut short behind the wind speed, what is not there taken as missing",
    [WP_REPAIR_SPEED_TEXT] = "with a wind speed that is no number, taken as missing",
    [WP_REPAIR_SPEED_RANGE] = "with a wind speed below 0 or above 75 m/s, taken as missing",
    [WP_REPAIR_GUST_TEXT] = "with a gust that is no number, taken as missing",
    [WP_REPAIR_GUST_RANGE] = "with a gust below 0 or above 75 m/s, taken as missing",
    [WP_REPAIR_GUST_ZERO] = "with a gust of 0 in moving air, taken as missing",
    [WP_REPAIR_GUST_BELOW] = "with a gust below the mean, taken as missing",
    [WP_REPAIR_FROM_TEXT] =
        "with a direction that is neither degrees nor a point, taken as missing",
    [WP_REPAIR_FROM_RANGE] = "with a direction outside of 0 to 360 deg, taken as missing",
    [WP_REPAIR_TEMPERATURE] = "with no possible air temperature, taken as missing",
    [WP_REPAIR_PRESSURE] = "with no possible air pressure, taken as missing",
    [WP_REPAIR_SUSPECT] = "with a value that the archive flags as suspect, taken as missing",
    [WP_REPAIR_ABOVE] = "with 'more than' a speed, taken as this speed",
    [WP_REPAIR_SAME] = "with an earlier record once more, dropped",
    [WP_REPAIR_REPLACED] = "with other values for a time given before, the last one counts",
    [WP_REPAIR_LATER] = "with other values for a time given before, the first one counts",
};

static struct wp_weather_repair *new_item(struct wp_tally *tally)
{
    enum { ITEMS_AT_FIRST = 64 };
    if (tally->n_items == tally->capacity) {
        const size_t capacity = tally->capacity > 0 ? 2 * tally->capacity : ITEMS_AT_FIRST;
        struct wp_weather_repair *const grown =
            capacity <= SIZE_MAX / sizeof *grown ? realloc(tally->items, capacity * sizeof *grown)
                                                 : NULL;
        if (!grown) {
            tally->is_out_of_memory = true;
            return NULL;
        }
        tally->items = grown;
        tally->capacity = capacity;
    }
    return &tally->items[tally->n_items++];
}

void wp_tally_add(struct wp_tally *tally, enum wp_repair repair, int line, struct wp_slice found)
{
    if (tally->count[repair] < WP_TALLY_LINES) {
        tally->line[repair][tally->count[repair]] = line;
    }
    tally->count[repair]++;
    tally->last = repair;
    struct wp_weather_repair *const item = tally->is_unlisted ? NULL : new_item(tally);
    if (item) {
        *item = (struct wp_weather_repair){line, (int)repair < FIRST_KEPT, texts[repair], ""};
        wp_slice_show(found, item->found, sizeof item->found);
    }
}

void wp_tally_free(struct wp_tally *tally)
{
    free(tally->items);
    *tally = (struct wp_tally){.items = NULL};
}

size_t wp_tally_rejected(const struct wp_tally *tally)
{
    size_t n = 0;
    for (int repair = 0; repair < FIRST_KEPT; repair++) {
        n += tally->count[repair];
    }
    return n;
}

enum wp_repair wp_tally_first_rejected(const struct wp_tally *tally, int *line)
{
    int first = WP_REPAIR_COUNT;
    for (int repair = 0; repair < FIRST_KEPT; repair++) {
        const bool is_earlier = first == WP_REPAIR_COUNT || tally->line[repair][0] < *line;
        if (tally->count[repair] > 0 && is_earlier) {
            first = repair;
            *line = tally->line[repair][0];
        }
    }
    return (enum wp_repair)first;
}

const char *wp_repair_text(enum wp_repair repair)
{
    return texts[repair];
}

void wp_weather_note(struct wp_weather *weather, const char *format, ...)
{
    enum { SIZE = sizeof weather->notes[0] };
    if (weather->n_notes == WP_WEATHER_NOTES_MAX) {
        (void)snprintf(weather->notes[WP_WEATHER_NOTES_MAX - 1], SIZE,
                       "there was more to say than there is room for");
        return;
    }
    char text[2 * SIZE];
    va_list arguments;
    va_start(arguments, format);
    (void)vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    /* Cuts between characters where a file's own words make the note too long. */
    wp_slice_show((struct wp_slice){text, strlen(text)}, weather->notes[weather->n_notes++], SIZE);
}

static int compare_lines(const void *left, const void *right)
{
    const struct wp_weather_repair *const a = left;
    const struct wp_weather_repair *const b = right;
    const int by_line = (a->line > b->line) - (a->line < b->line);
    return by_line != 0 ? by_line : strcmp(a->what, b->what);
}

enum wp_status wp_tally_write(struct wp_tally *tally, struct wp_weather *weather)
{
    for (int repair = 0; repair < WP_REPAIR_COUNT; repair++) {
        const size_t count = tally->count[repair];
        const int *const line = tally->line[repair];
        const char *const text = texts[repair];
        if (count == 1) {
            wp_weather_note(weather, "1 line %s (line %d)", text, line[0]);
        } else if (count == 2) {
            wp_weather_note(weather, "2 lines %s (lines %d, %d)", text, line[0], line[1]);
        } else if (count > 2) {
            wp_weather_note(weather, "%zu lines %s (lines %d, %d, %d%s)", count, text, line[0],
                            line[1], line[2], count > WP_TALLY_LINES ? ", ..." : "");
        }
    }
    if (tally->n_items > 1) {
        qsort(tally->items, tally->n_items, sizeof tally->items[0], compare_lines);
    }
    weather->repairs = tally->items;
    weather->n_repairs = tally->n_items;
    tally->items = NULL;
    return tally->is_out_of_memory ? WP_E_NO_MEMORY : WP_OK;
}
