/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_METAR_GROUPS_H
#define WINDPEAL_WEATHER_METAR_GROUPS_H

#include <stdbool.h>

#include "weather/table.h"
#include "weather/unit.h"

/*
 * The groups of an aviation report, METAR or SPECI, that tell wind and air: WMO-No. 306, Manual on
 * Codes, volume I.1, FM 15 and FM 16, regulations 15.5 (wind), 15.11 (temperature) and 15.12
 * (pressure), checked against the Federal Meteorological Handbook No. 1 and training texts for
 * observers; three-digit speeds in knots are United States practice.
 */

/* A wind group, dddff[f][Gff[f]]KT, MPS or KMH. */
struct wp_metar_wind {
    bool is_speed_missing; /* slashes */
    bool is_from_missing;
    bool is_variable; /* VRB */
    int from_deg;
    int mean;
    int gust;           /* -1: none */
    bool is_mean_above; /* P in front: "more than" */
    bool is_gust_above;
    enum wp_unit unit;
};

/* What a report has where its wind group belongs. */
enum wp_metar_wind_is {
    WP_METAR_NONE,    /* nothing like a group */
    WP_METAR_BAD,     /* a word that was meant to be one */
    WP_METAR_MISSING, /* a group with slashes for the speed */
    WP_METAR_WIND,
};

/* A report up to its trend forecast and remarks. */
struct wp_metar {
    bool has_time; /* ddhhmmZ, not yet checked */
    int day;
    int hour;
    int minute;
    bool is_nil;             /* NIL: no report was made */
    struct wp_slice station; /* the word before the time */
    enum wp_metar_wind_is wind_is;
    struct wp_metar_wind wind;
    struct wp_slice wind_word; /* without any: the first word */
    bool has_sector;           /* 180V250 */
    int left_deg;
    int right_deg;
    double temperature_c; /* NAN: none */
    double pressure_pa;   /* at sea level by the standard atmosphere (QNH); NAN: none */
};

/* Reads a report, or a wind group alone; what follows an equals sign is left out. */
void wp_metar_read(struct wp_slice report, struct wp_metar *metar);

#endif
