/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_TALLY_H
#define WINDPEAL_WEATHER_TALLY_H

#include <stddef.h>

#include "weather/table.h"
#include "windpeal/weather.h"

/* Counts what was repaired or rejected while reading, with the first lines where it happened. */

enum wp_repair {
    WP_REPAIR_NO_TIME,      /* rejected from here */
    WP_REPAIR_NO_SUCH_TIME, /* 31 February */
    WP_REPAIR_ZERO,         /* a byte that no text has */
    WP_REPAIR_TOO_SHORT,
    WP_REPAIR_UNFINISHED, /* at the end of the file */
    WP_REPAIR_TOO_LONG,
    WP_REPAIR_FORM,     /* not of the format */
    WP_REPAIR_CHECKSUM, /* NMEA */
    WP_REPAIR_INVALID,  /* marked so by the instrument, to here */
    WP_REPAIR_CUT,      /* behind time and wind speed */
    WP_REPAIR_SPEED_TEXT,
    WP_REPAIR_SPEED_RANGE,
    WP_REPAIR_GUST_TEXT,
    WP_REPAIR_GUST_RANGE,
    WP_REPAIR_GUST_ZERO,
    WP_REPAIR_GUST_BELOW,
    WP_REPAIR_FROM_TEXT,
    WP_REPAIR_FROM_RANGE,
    WP_REPAIR_TEMPERATURE,
    WP_REPAIR_PRESSURE,
    WP_REPAIR_SUSPECT, /* flagged by the quality control of the archive */
    WP_REPAIR_ABOVE,   /* "more than", taken as that speed */
    WP_REPAIR_SAME,
    WP_REPAIR_REPLACED,
    WP_REPAIR_LATER, /* the same, where the first was asked for */
    WP_REPAIR_COUNT, /* not a repair: their number */
};

enum { WP_TALLY_LINES = 3 };

/* Zeroes are an empty tally that lists every repair. Owns items. */
struct wp_tally {
    size_t count[WP_REPAIR_COUNT];
    int line[WP_REPAIR_COUNT][WP_TALLY_LINES]; /* the first ones */
    struct wp_weather_repair *items;           /* all */
    size_t n_items;
    size_t capacity;
    bool is_unlisted;      /* counts only: an endless feed */
    bool is_out_of_memory; /* items are not complete */
    enum wp_repair last;   /* the latest */
};

/* Counts one repair on a line; found is the value as it stands there, or empty. */
void wp_tally_add(struct wp_tally *tally, enum wp_repair repair, int line, struct wp_slice found);

/* Frees the list. */
void wp_tally_free(struct wp_tally *tally);

/* Rejected lines. */
size_t wp_tally_rejected(const struct wp_tally *tally);

/* The kind of the first rejected line and its number; WP_REPAIR_COUNT without any. */
enum wp_repair wp_tally_first_rejected(const struct wp_tally *tally, int *line);

/* What happened, in words: "without a readable time". Static text. */
const char *wp_repair_text(enum wp_repair repair);

/* Writes one note for each kind that occurred, and hands the list over to weather, by line.
 * WP_E_NO_MEMORY when the list is not complete. */
enum wp_status wp_tally_write(struct wp_tally *tally, struct wp_weather *weather);

/* Adds a note; without room for it, the last one says that there were more. */
void wp_weather_note(struct wp_weather *weather, const char *format, ...) WP_PRINTF(2, 3);

#endif
