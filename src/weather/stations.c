/* SPDX-License-Identifier: MIT */
/* Keeps the names of the stations in a file. */
#include "weather/stations.h"

#include <stdio.h>
#include <string.h>

void wp_stations_add(struct wp_stations *stations, struct wp_slice name, int line)
{
    char shown[WP_STATION_SIZE];
    wp_slice_show(name, shown, sizeof shown);
    if (stations->n > 0 && strcmp(stations->name[stations->latest], shown) == 0) {
        stations->n_records[stations->latest]++;
        return; /* most are that of the line before */
    }
    for (size_t i = 0; i < stations->n; i++) {
        if (strcmp(stations->name[i], shown) == 0) {
            stations->latest = i;
            stations->n_records[i]++;
            return;
        }
    }
    if (stations->n == WP_STATIONS_MAX) {
        stations->has_more = true;
        return;
    }
    memcpy(stations->name[stations->n], shown, sizeof shown);
    stations->line[stations->n] = line;
    stations->n_records[stations->n] = 1;
    stations->latest = stations->n++;
}

bool wp_stations_are_strays(const struct wp_stations *stations)
{
    enum { STRAYS_MAX = 2 };
    size_t n_all = 0;
    size_t most = 0;
    size_t second = 0;
    for (size_t i = 0; i < stations->n; i++) {
        const size_t n = stations->n_records[i];
        n_all += n;
        second = n > most ? most : n > second ? n : second;
        most = n > most ? n : most;
    }
    return !stations->has_more && second <= STRAYS_MAX && 2 * most > n_all;
}

void wp_stations_list(const struct wp_stations *stations, char *list, size_t list_size)
{
    static const char more[] = ", ...";
    size_t used = 0;
    list[0] = '\0';
    for (size_t i = 0; i < stations->n; i++) {
        char item[WP_STATION_SIZE + 8];
        const int length =
            snprintf(item, sizeof item, "%s'%s'", i > 0 ? ", " : "", stations->name[i]);
        if (used + (size_t)length + sizeof more > list_size) {
            memcpy(list + used, more, sizeof more);
            return;
        }
        memcpy(list + used, item, (size_t)length + 1);
        used += (size_t)length;
    }
    if (stations->has_more) {
        memcpy(list + used, more, sizeof more);
    }
}
