/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_KEYED_H
#define WINDPEAL_WEATHER_KEYED_H

#include "weather/column_spec.h"
#include "weather/intake.h"

/* Reports whose values have keys, in any order and number: JSON, push requests. */

enum { WP_KEY_SIZE = 96, WP_KEYS_MAX = 96, WP_KEY_TEXT_SIZE = 48 };

/* A key that was met, understood once: "wind.speed". */
struct wp_key {
    char name[WP_KEY_SIZE];
    struct wp_heading heading;
    bool is_of_unit; /* its value is the unit of what the heading means; nothing: of all speeds */
    bool has_zone;   /* the name tells the zone of its times */
    double zone_s;
    bool is_described; /* among the columns of the weather */
};

/* What is kept between reports; begins as zeroes. */
struct wp_keyed {
    struct wp_key keys[WP_KEYS_MAX];
    size_t n_keys;
    size_t next; /* index of the key that came next in the report before */
    bool is_ready;
    struct wp_column_choice choices[WP_MEANING_COUNT];
};

/* Why a report cannot be read without an answer, where something is. */
struct wp_keyed_problem {
    enum wp_status status;
    const char *hint;
    char text[200];
};

/* The values of one report that mean something; begins as zeroes. */
struct wp_keyed_values {
    struct wp_keyed_problem problem; /* ends the reading once the report turns out to be whole */
    struct wp_key *best[WP_MEANING_COUNT];
    char text[WP_MEANING_COUNT][WP_KEY_TEXT_SIZE]; /* empty: number */
    double number[WP_MEANING_COUNT];
    enum wp_unit unit[WP_MEANING_COUNT]; /* told beside the value ("unit": "km/h") */
};

/* Takes a value as text. Of two keys for one meaning the better fit counts, then the shorter; two
 * that are alike are a problem unless the user chooses. */
void wp_keyed_take(struct wp_intake *intake, struct wp_keyed *keyed, struct wp_keyed_values *values,
                   const char *name, struct wp_slice text);

/* The same for a number that is at hand. */
void wp_keyed_take_number(struct wp_intake *intake, struct wp_keyed *keyed,
                          struct wp_keyed_values *values, const char *name, double number);

/* An array stands under a key. Where it should have been a time, the reports are no objects of
 * their own, which is a problem; where a speed, its text stands for that, which is then no number.
 */
void wp_keyed_take_array(struct wp_intake *intake, struct wp_keyed *keyed,
                         struct wp_keyed_values *values, const char *name);

/* An object has been taken that stands under a key of a wind speed: where nothing in it was one,
 * its text stands for the speed, which is then no number. */
void wp_keyed_check_object(struct wp_intake *intake, struct wp_keyed *keyed,
                           struct wp_keyed_values *values, const char *name);

/* The report as a record, once all values are taken. */
enum wp_line_outcome wp_keyed_read(struct wp_intake *intake, const struct wp_keyed_values *values,
                                   int line, struct wp_record *record);

#endif
