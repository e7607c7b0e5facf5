/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_INTAKE_H
#define WINDPEAL_WEATHER_INTAKE_H

#include "weather/compass.h"
#include "weather/heading.h"
#include "weather/reader.h"
#include "weather/records.h"
#include "weather/stamp.h"
#include "weather/stations.h"
#include "weather/table.h"
#include "weather/tally.h"

/*
 * A reading in progress, whatever the format: values are brought to SI units and checked, what is
 * wrong with them is counted, records are gathered, put in order and summed up.
 */

struct wp_intake {
    struct wp_source source; /* of a feed: without text */
    const struct wp_weather_config *config;
    struct wp_weather *weather; /* columns and notes as they are understood; records at the end */
    struct wp_diags *diags;
    enum wp_unit given_unit; /* WP_UNIT_NONE: none given */
    struct wp_tally tally;
    struct wp_rows rows;
    enum wp_status status; /* once an error, with a diag, no more lines are read */
    double missing;        /* number that means 'no value' in this file; NAN: none */
    struct wp_stations stations;
    char station_heading[64]; /* empty: nothing names stations */
    size_t n_left_out;        /* reports of other stations than the chosen one */
    size_t n_times;           /* that were read */
    size_t n_without_zone;    /* of them, those that had to be told theirs */
    int without_zone_line;    /* of the first */
    size_t n_counts;          /* of them, those that count from some start */
    size_t n_own_units;       /* values with another unit than their column */
    double day_s;             /* midnight of the latest time of day without a date; NAN: none yet */
    double clock_s;           /* that time of day */
    size_t n_without_time;    /* records counted by the given interval */
    const char *zone_known;   /* how the others know theirs; NULL: from the stamps */
    bool takes_strays;        /* a few records of other stations are no question */
    bool has_even_lines;      /* all lines of the format have as many pieces */
    void *state;              /* of the format */
};

/* Starts a reading; the unit and scale of config must make sense. Free also after a failure. */
enum wp_status wp_intake_init(struct wp_intake *intake, const struct wp_source *source,
                              const struct wp_weather_config *config, struct wp_weather *weather,
                              struct wp_diags *diags);

/* Frees rows and tally; not state. */
void wp_intake_free(struct wp_intake *intake);

/* A field (speed, gust, from, temperature or pressure) in SI units; NAN when it is missing or
 * cannot be, which is counted. Speeds are scaled. */
double wp_intake_value(struct wp_intake *intake, enum wp_meaning meaning, enum wp_unit unit,
                       struct wp_slice field, int line);

/* The same for a number that is at hand, in the unit; found is its text. */
double wp_intake_number(struct wp_intake *intake, enum wp_meaning meaning, enum wp_unit unit,
                        double number, struct wp_slice found, int line);

/* True for a number that can be, in SI units then and scaled; nothing is counted. */
bool wp_intake_is_possible(const struct wp_intake *intake, enum wp_meaning meaning,
                           enum wp_unit unit, double number, double *value);

/* A direction in degrees or points of the compass; NAN: missing or variable. */
double wp_intake_from(struct wp_intake *intake, enum wp_unit unit, enum wp_letter_o letter_o,
                      struct wp_slice field, int line);

/* A stamp's time; false: the line is rejected and counted. */
bool wp_intake_time(struct wp_intake *intake, const struct wp_stamp_rule *rule,
                    struct wp_slice text, int line, double *t_s);

/* The rule that config gives: order, zone, year. */
struct wp_stamp_rule wp_intake_rule(const struct wp_intake *intake);

/* Notes whose record a line holds; false: it is another one's than the chosen station's. heading
 * is what names it; is_doubtful: the names may be numbers of rows. */
bool wp_intake_station(struct wp_intake *intake, struct wp_slice heading, bool is_doubtful,
                       struct wp_slice name, int line);

/* Counts a line as rejected; always WP_LINE_REJECTED. */
enum wp_line_outcome wp_intake_reject(struct wp_intake *intake, enum wp_repair repair, int line,
                                      struct wp_slice found);

/* Ends the reading with an error; always WP_LINE_REJECTED. */
enum wp_line_outcome wp_intake_fail(struct wp_intake *intake, enum wp_status status, int line,
                                    const char *hint, const char *format, ...) WP_PRINTF(5, 6);

/* The unit of a speed whose own is unit: that, the given one, else m/s; why: static text. */
enum wp_unit wp_intake_speed_unit(const struct wp_intake *intake, enum wp_unit unit,
                                  const char **why);

/* Tells what a column was taken for; the first word on a meaning and heading counts. */
void wp_intake_describe(struct wp_intake *intake, const char *meaning, struct wp_slice heading,
                        enum wp_unit unit, const char *why);

/* Adds a record; a t_s of NAN takes the next step of the given interval. */
void wp_intake_add(struct wp_intake *intake, struct wp_record *record, int line);

/* Sorts and sums up; WP_E_EMPTY when nothing was usable. */
enum wp_status wp_intake_finish(struct wp_intake *intake);

#endif
