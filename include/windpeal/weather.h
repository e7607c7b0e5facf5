/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_H
#define WINDPEAL_WEATHER_H

#include <stdbool.h>
#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"

/* Weather records: what a station reported, cleaned, in SI units and in order of time. */

/** One report. NAN: missing. */
struct wp_record {
    double t_s; /**< as stamped: end of the interval, seconds since 1970-01-01 UTC */
    double mean_m_s;
    double gust_m_s; /**< strongest gust of the interval */
    double from_deg; /**< where the wind comes from, 0 to 360; NAN: variable or calm */
    double temperature_c;
    double pressure_pa; /**< of the air as the station tells it, often reduced to sea level */
};

enum { WP_COLUMNS_MAX = 16, WP_WEATHER_NOTES_MAX = 16 };

/** How one column of the file was understood. */
struct wp_weather_column {
    char meaning[16]; /**< "time", "speed", "gust", "from", "temperature", "pressure", "station" */
    char heading[64]; /**< as the file has it */
    char unit[16];    /**< "m/s", "km/h", ..., empty for time */
    char why[64];     /**< where the unit came from */
};

/** A line that was left out, or a value that was. */
struct wp_weather_repair {
    int line;
    bool is_rejected; /**< the whole line gives no record */
    const char *what; /**< what was wrong and what was done, to stand behind a line; static text */
    char found[24];   /**< the value as the file has it, perhaps cut; empty: about the line */
};

/** What a station's values are averages over, in seconds; 0: not known. */
struct wp_averages {
    double mean_s;
    double gust_s;
    double gust_over_s; /**< time whose strongest gust is told */
};

/** Records of one station. The struct owns what records and repairs point to. */
struct wp_weather {
    char file[256];
    char format[32];           /**< "delimited text", "METAR reports", "fixed wind", ... */
    struct wp_record *records; /**< ascending, no two of one time; mean_m_s may be NAN */
    size_t n_records;
    double interval_s; /**< median step; 600 for a single record */
    size_t n_missing;  /**< records without a usable mean */
    size_t n_rejected; /**< lines that could not be used */
    size_t n_repairs;
    struct wp_weather_repair *repairs; /**< every one, by line */
    char zone[64];                     /**< of the times and how it is known; empty: no times */
    double averaging_s;                /**< of the means, as the format defines it; 0: unknown */
    double gust_s;                     /**< of the gusts, likewise; 0: unknown */
    double gust_over_s; /**< time whose strongest gust is told; 0: that of the mean */
    bool is_session;    /**< a session log: records hold from their t_s on, as they came in live */
    double start_s;     /**< of the session */
    double end_s;
    size_t n_columns;
    struct wp_weather_column columns[WP_COLUMNS_MAX];
    size_t n_notes;
    char notes[WP_WEATHER_NOTES_MAX][200]; /**< repairs, assumptions: for the user to read */
};

/** Order of the numbers in 3/4/26. */
enum wp_date_order {
    WP_ORDER_UNKNOWN, /**< one number above 12 tells; without one the reader asks */
    WP_ORDER_DAY_FIRST,
    WP_ORDER_MONTH_FIRST,
    WP_ORDER_YEAR_FIRST,
};

/** Which of several records of one time counts. */
enum wp_same_time {
    WP_SAME_TIME_OPEN, /**< the last of a few; of many the reader asks */
    WP_SAME_TIME_FIRST,
    WP_SAME_TIME_LAST,
};

/**
 * What the letter O of directions stands for: east in German (Ost), west in French, Spanish and
 * Italian (ouest, oeste, ovest).
 */
enum wp_letter_o {
    WP_O_UNKNOWN, /**< a column that has E or W beside it tells; without them the reader asks */
    WP_O_EAST,
    WP_O_WEST,
};

/** What the user says about a file that cannot tell everything. Strings are borrowed. */
struct wp_weather_config {
    const char *unit;    /**< unit of speeds without one in the file; NULL: m/s, noted */
    double utc_offset_s; /**< of times without a zone; 0: UTC, noted when it mattered */
    bool is_offset_given;
    enum wp_date_order date_order;
    int year;             /**< of dates without one, and of typical years; 0: not given */
    int month;            /**< of days without one, with year; 0: not given */
    double reference_s;   /**< when the file was written: the month of a METAR; NAN: unknown */
    double day_s;         /**< midnight of the first time of day without a date; NAN: not given */
    double tick_s;        /**< unit of times that are bare numbers; 0: by their number of digits */
    bool has_serial_days; /**< such numbers are a spreadsheet's days since 1899-12-30 */
    double interval_s;    /**< step of records without times; 0: not given */
    const char *station;  /**< the one to read where a file names several; NULL: there is one */
    enum wp_same_time same_time;
    enum wp_letter_o letter_o;
    const char *missing; /**< how the file writes 'no value', besides the usual; NULL: not given */
    double scale;        /**< factor of all speeds, default 1 */
    const char *columns; /**< "time=1,speed=3,gust=4,from=5": columns from 1; NULL: by heading */
};

/** Nothing given: UTC, scale 1. */
WP_API void wp_weather_config_default(struct wp_weather_config *config);

/**
 * Reads a weather file, its format detected; "-" is standard input.
 *
 * @param weather  out; free with wp_weather_finish; empty on failure
 * @return WP_OK or the first error's status, with the place in diags
 */
WP_API enum wp_status wp_weather_load(struct wp_weather *weather, const char *path,
                                      const struct wp_weather_config *config,
                                      struct wp_diags *diags);

/** The same from memory; name stands for the file in findings. */
WP_API enum wp_status wp_weather_parse(struct wp_weather *weather, const char *name,
                                       const char *text, size_t text_size,
                                       const struct wp_weather_config *config,
                                       struct wp_diags *diags);

/**
 * A steady wind for duration_s as equal reports of 10 minutes each, at least one, the last one
 * whole: mean (0 to 75 m/s), gust (NAN: none) and direction (NAN: variable). The first interval
 * starts at 0 s.
 *
 * @return WP_OK, WP_E_RANGE (also of a gust below the mean, or more than two years), WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_weather_fixed(struct wp_weather *weather, double mean_m_s, double gust_m_s,
                                       double from_deg, double duration_s);

/** The middle of a Beaufort force (0 to 12) by v = 0.836 B^1.5, as a steady wind. */
WP_API enum wp_status wp_weather_beaufort(struct wp_weather *weather, int force, double from_deg,
                                          double duration_s, struct wp_diags *diags);

/** The wind group of a METAR, alone ("24015G25KT") or in a whole report, as a steady wind. */
WP_API enum wp_status wp_weather_metar(struct wp_weather *weather, const char *text,
                                       double duration_s, struct wp_diags *diags);

/** Frees the records and empties the struct. */
WP_API void wp_weather_finish(struct wp_weather *weather);

/** Moves all records in time, as when their stamps are the start of what they speak of. Notes it.
 */
WP_API void wp_weather_move(struct wp_weather *weather, double by_s);

/** First and last moment that the records speak of (the first record's interval included). */
WP_API void wp_weather_span(const struct wp_weather *weather, double *start_s, double *end_s);

/** Mean of the means and strongest gust (or mean, without gusts) of all records. */
WP_API void wp_weather_summary(const struct wp_weather *weather, double *mean_m_s,
                               double *max_gust_m_s);

/** "2026-04-11T14:00:00Z" for a time, to the nearest second; "no date" past the year 9999. */
WP_API void wp_time_format(double t_s, char *text, size_t text_size);

/**
 * Reads RFC 3339 / ISO 8601 ("2026-04-11T14:00Z", "2026-04-11 14:00:30+02:00") or epoch seconds;
 * without a zone utc_offset_s applies.
 *
 * @param t_s  out; untouched on failure
 * @return WP_OK, WP_E_SYNTAX, WP_E_RANGE (no such day or time), WP_E_AMBIGUOUS (3/4/2026)
 */
WP_API enum wp_status wp_time_parse(const char *text, double utc_offset_s, double *t_s);

#endif
