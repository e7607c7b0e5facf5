/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_FEED_H
#define WINDPEAL_FEED_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"
#include "windpeal/weather.h"

/*
 * A live feed: the lines of a station, one by one, through the same readers as weather files:
 * delimited text with its heading, JSON, METAR, NMEA 0183, push requests, or bare wind speeds.
 */

/** What a line came to. */
enum wp_feed_result {
    WP_FEED_MORE,     /**< wp_feed_next: no whole line is left */
    WP_FEED_NOTHING,  /**< blank, a comment, a heading, a message without wind */
    WP_FEED_RECORD,   /**< a record */
    WP_FEED_REPEATED, /**< the last record once more: dropped */
    WP_FEED_LATE,     /**< stamped before the last record: dropped */
    WP_FEED_REFUSED,  /**< cannot be read: dropped */
    WP_FEED_BROKEN,   /**< nor can any line that follows: an option must settle it */
};

enum {
    WP_FEED_LINE_MAX = 4096,  /**< longer lines are refused */
    WP_FEED_AHEAD_MAX = 65536 /**< bytes that may wait for wp_feed_next */
};

/** What went by so far. */
struct wp_feed_counts {
    size_t n_lines;
    size_t n_records;
    size_t n_repeated;
    size_t n_late;
    size_t n_refused;
    size_t n_set_back; /**< times that the station's clock was found to be set back */
};

struct wp_feed;

/**
 * @param out     receives the reader; NULL on failure. Free with wp_feed_destroy.
 * @param config  as for files, copied; its unit must outlive the feed. NULL: the default
 * @return WP_OK, WP_E_RANGE (the offset from UTC), WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_feed_create(struct wp_feed **out, const struct wp_weather_config *config);

/** Frees a reader; NULL is allowed. */
WP_API void wp_feed_destroy(struct wp_feed *feed);

/**
 * Reads one line (without or with its end).
 *
 * A record's t_s is the moment of its arrival, as a live wind takes it (wp_wind_report), never
 * before that of the record before it; so a clock of the station that is wrong or is set does no
 * harm. The station's own stamps only tell repeats and late records. Late ones in an order of their
 * own, three in a row, mean that the station's clock was set back: from the third on they count.
 *
 * @param arrived_s  by the caller's clock, seconds since 1970 UTC
 * @param record     out with WP_FEED_RECORD, else untouched
 * @param diags      gets one finding with WP_FEED_REFUSED and WP_FEED_BROKEN, with the line's
 * number
 *
 * Real time: no.
 */
WP_API enum wp_feed_result wp_feed_line(struct wp_feed *feed, const char *line, size_t line_size,
                                        double arrived_s, struct wp_record *record,
                                        struct wp_diags *diags);

/**
 * Takes bytes as they come, lines whole or not, for wp_feed_next.
 *
 * @return how many were taken: all of them, or fewer when WP_FEED_AHEAD_MAX wait already
 */
WP_API size_t wp_feed_add(struct wp_feed *feed, const char *bytes, size_t n_bytes);

/** Ends the last line, when the feed has come to its end in the middle of it. */
WP_API void wp_feed_end(struct wp_feed *feed);

/** Reads the next whole line of the bytes added, as wp_feed_line. WP_FEED_MORE: there is none. */
WP_API enum wp_feed_result wp_feed_next(struct wp_feed *feed, double arrived_s,
                                        struct wp_record *record, struct wp_diags *diags);

/**
 * Format, columns, zone and notes so far, without records; format is empty while it is not known.
 * Valid until the feed is used again.
 */
WP_API const struct wp_weather *wp_feed_understood(const struct wp_feed *feed);

/** What went by so far. */
WP_API void wp_feed_count(const struct wp_feed *feed, struct wp_feed_counts *counts);

#endif
