/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WEATHER_STATIONS_H
#define WINDPEAL_WEATHER_STATIONS_H

#include <stdbool.h>
#include <stddef.h>

#include "weather/table.h"

/* Whose records a file holds, by the names that stand in it. */

enum { WP_STATIONS_MAX = 16, WP_STATION_SIZE = 40 };

/* Zeroes: none yet. */
struct wp_stations {
    char name[WP_STATIONS_MAX][WP_STATION_SIZE]; /* in order of appearance, as shown to the user */
    int line[WP_STATIONS_MAX];                   /* where each stood first */
    size_t n_records[WP_STATIONS_MAX];           /* of each */
    size_t n;                                    /* at most WP_STATIONS_MAX */
    size_t latest;                               /* index of the one met last */
    bool has_more;
    bool is_doubtful; /* the names may be numbers of rows */
};

/* Notes a name, which is not empty. */
void wp_stations_add(struct wp_stations *stations, struct wp_slice name, int line);

/* True when all but one station have two records at most, and less than half of all. */
bool wp_stations_are_strays(const struct wp_stations *stations);

/* "'A', 'B', 'C', ..." for messages. */
void wp_stations_list(const struct wp_stations *stations, char *list, size_t list_size);

#endif
