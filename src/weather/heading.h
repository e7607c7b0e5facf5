/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_HEADING_H
#define WINDPEAL_WEATHER_HEADING_H

#include <stdbool.h>
#include <stddef.h>

#include "weather/table.h"
#include "weather/unit.h"

/* What the words over a column mean. */

enum wp_meaning {
    WP_MEANS_NOTHING, /* nothing that is used here */
    WP_MEANS_STAMP,   /* date and time */
    WP_MEANS_DATE,
    WP_MEANS_CLOCK,
    WP_MEANS_SPEED,
    WP_MEANS_GUST,
    WP_MEANS_FROM,
    WP_MEANS_TEMPERATURE,
    WP_MEANS_PRESSURE,
    WP_MEANS_YEAR, /* parts of a date and clock, to the second */
    WP_MEANS_MONTH,
    WP_MEANS_DAY,
    WP_MEANS_DAY_OF_YEAR,
    WP_MEANS_HOUR,
    WP_MEANS_MINUTE,
    WP_MEANS_SECOND,
    WP_MEANS_STATION, /* whose record it is */
    WP_MEANING_COUNT, /* not a meaning: their number */
};

enum {
    WP_FIT_DOUBTFUL = 1, /* of a station by a word that may also number the rows */
    WP_FIT_PLAIN = 4,    /* of a speed or gust whose words are all known */
    WP_FIT_CHOSEN = 100, /* of what the user tells */
};

/* A time, or a part of one. */
static inline bool wp_meaning_is_time(enum wp_meaning meaning)
{
    return (meaning >= WP_MEANS_STAMP && meaning <= WP_MEANS_CLOCK) ||
           (meaning >= WP_MEANS_YEAR && meaning <= WP_MEANS_SECOND);
}

/* One heading, understood. */
struct wp_heading {
    enum wp_meaning meaning;
    int fit;               /* how well the words fit the meaning; 0: not at all */
    enum wp_unit unit;     /* WP_UNIT_NONE: none named */
    char unknown_unit[24]; /* what stands in brackets where a unit is expected, else empty */
};

/* Reads a heading in English, or in German, French, Spanish or Italian words that stations use. */
void wp_heading_read(struct wp_slice text, struct wp_heading *heading);

/* The same when the meaning is known already: only the unit is read. */
void wp_heading_read_as(struct wp_slice text, enum wp_meaning meaning, struct wp_heading *heading);

/* The unit when the text is nothing else ("km/h", "m s-1"), as in a row of units below the
 * headings; else WP_UNIT_NONE. */
enum wp_unit wp_heading_unit(struct wp_slice text);

#endif
