/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_LINE_FORMAT_H
#define WINDPEAL_WEATHER_LINE_FORMAT_H

#include "weather/intake.h"

/* A format whose lines stand for themselves, perhaps after some lines of heading. */

struct wp_line_format {
    const char *name;
    size_t state_size; /* of what the format keeps between lines; it begins as zeroes */
    /* Reads a line that is not blank. t_s is NAN where the line has no time. Values that cannot be
     * are counted in intake; gust and direction are repaired by the caller. */
    enum wp_line_outcome (*read)(struct wp_intake *intake, struct wp_slice line, int number,
                                 struct wp_record *record);
    /* What the format says about columns and averaging; called once, before the first line. */
    void (*describe)(struct wp_intake *intake);
};

/* Reads all lines of a source. */
enum wp_status wp_line_format_read(const struct wp_line_format *format,
                                   const struct wp_source *source,
                                   const struct wp_weather_config *config,
                                   struct wp_weather *weather, struct wp_diags *diags);

/*
 * The format of a feed, by a line of it; NULL for delimited text, whose heading this may be. Of a
 * format that is known but not read in lines the answer is false, with its name.
 */
bool wp_line_format_detect(struct wp_slice line, const struct wp_line_format **format,
                           const char **name);

/* Nothing known: every value NAN. */
struct wp_record wp_record_unknown(void);

/* The formats, one a file. */
const struct wp_line_format *wp_metar_format(void);      /* metar_reports.c */
const struct wp_line_format *wp_json_format(void);       /* json_lines.c */
const struct wp_line_format *wp_nmea_format(void);       /* nmea.c */
const struct wp_line_format *wp_push_format(void);       /* push.c */
const struct wp_line_format *wp_bare_speed_format(void); /* bare_speed.c */
const struct wp_line_format *wp_ndbc_format(void);       /* ndbc.c */
const struct wp_line_format *wp_isd_format(void);        /* isd.c */
const struct wp_line_format *wp_isd_lite_format(void);   /* isd_lite.c */
const struct wp_line_format *wp_asos_format(void);       /* asos.c */
const struct wp_line_format *wp_epw_format(void);        /* epw.c */
const struct wp_line_format *wp_hourly_format(void);     /* hourly.c */

#endif
