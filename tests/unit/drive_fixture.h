/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TEST_DRIVE_FIXTURE_H
#define WINDPEAL_TEST_DRIVE_FIXTURE_H

#include <math.h>
#include <stdlib.h>

#include "striker_fixture.h"

/* A drive over weather whose every record the test sets. Include after cmocka.h. */

struct drive_fixture {
    struct fixture base;
    struct wp_weather weather;
    struct wp_wind_config wind_config;
    struct wp_wind *wind;
    struct wp_drive *drive;
    const struct wp_kick_watch *kicks; /* NULL, or whom the test wants told */
};

/* n records interval_s apart; record i is the station's reading from i * interval_s on. */
static inline void drive_weather(struct drive_fixture *f, size_t n, double interval_s)
{
    f->weather = (struct wp_weather){.n_records = n, .interval_s = interval_s};
    f->weather.records = calloc(n, sizeof *f->weather.records);
    assert_non_null(f->weather.records);
    for (size_t i = 0; i < n; i++) {
        f->weather.records[i] = (struct wp_record){
            interval_s * (double)i, 5.0, (double)NAN, 270.0, (double)NAN, (double)NAN};
    }
}

/* Six tubes and steady 5 m/s from the west until the test changes the records. */
static inline void drive_open(struct drive_fixture *f, size_t n_records, double interval_s)
{
    assert_int_equal(fixture_init(&f->base), WP_OK);
    drive_weather(f, n_records, interval_s);
    wp_wind_config_default(&f->wind_config);
    f->wind_config.weather = &f->weather;
    f->wind_config.step_s = 0.1;
    f->wind_config.height_m = 10.0;
    f->wind_config.is_as_given = true;
    f->wind = NULL;
    f->drive = NULL;
    f->kicks = NULL;
}

/* The same for a striker that hangs in the wind with a sail, the tubes held by their nodes. */
static inline void sail_open(struct drive_fixture *f, size_t n_records, double interval_s)
{
    drive_open(f, n_records, interval_s);
    f->base.set.drive.kind = WP_DRIVE_SAIL;
    f->base.set.drive.sail = (struct wp_set_sail){0.008, 0.3, 0.02};
    for (size_t i = 0; i < f->base.chime.n_tubes; i++) {
        struct wp_tube *tube = &f->base.chime.tubes[i];
        tube->support_m[0] = 0.2242 * tube->spec.length_m;
    }
}

/* The same for a striker that a coil kicks, with the standard values of a set. */
static inline void coils_open(struct drive_fixture *f, size_t n_records, double interval_s)
{
    struct wp_set standard;
    wp_set_default(&standard);
    sail_open(f, n_records, interval_s);
    f->base.set.drive = standard.drive;
    f->base.set.drive.kind = WP_DRIVE_COILS;
    f->base.set.temperature_c = 20.0;
}

static inline void drive_start(struct drive_fixture *f, uint64_t seed)
{
    f->wind_config.seed = seed;
    assert_int_equal(wp_wind_create(&f->wind, &f->wind_config), WP_OK);
    const struct wp_drive_config config = {&f->base.context, f->wind, 0.1, seed, f->kicks};
    assert_int_equal(wp_drive_create(&f->drive, &config), WP_OK);
}

static inline void drive_stop(struct drive_fixture *f)
{
    wp_drive_destroy(f->drive);
    wp_wind_destroy(f->wind);
    f->drive = NULL;
    f->wind = NULL;
}

static inline void drive_close(struct drive_fixture *f)
{
    drive_stop(f);
    free(f->weather.records);
}

/* Strikes before duration_s, at most n_most, asked for in blocks of block_s. */
static inline size_t drive_collect(struct drive_fixture *f, double duration_s, double block_s,
                                   struct wp_strike *strikes, size_t n_most)
{
    size_t n = 0;
    const size_t n_blocks = (size_t)ceil(duration_s / block_s);
    for (size_t i = 1; i <= n_blocks; i++) {
        const double until_s = i < n_blocks ? (double)i * block_s : duration_s;
        while (n < n_most && wp_drive_next(f->drive, until_s, &strikes[n])) {
            assert_true(strikes[n].t_s < until_s);
            n++;
        }
    }
    return n;
}

#endif
