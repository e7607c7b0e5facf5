/* SPDX-License-Identifier: MIT */
/* Claims about how varied a kicked striker strikes. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../small_set.h"
#include "../wind_station.h"
#include "windpeal/level.h"

/*
 * Common practice, no source, for every claim here: makers of kicked sets find that a fat striker
 * close to its tubes strikes the same tube over and over, and that room to swing brings the others.
 */

enum { TUBES = 6, RECORDS = 120 };

/* How a set differs from the tight one: a ball of 70 mm and 60 g, 13 mm from tubes of 32 mm. */
struct variant {
    double diameter_m;
    double mass_kg;
    double clearance_m;
    double wall_m; /* of the tubes */
};

static const struct variant tight = {0.070, 0.060, 0.013, 0.0016};

/* Means over mounts that lean towards a tube, between two, and in between. */
struct outcome {
    double tubes_per_kick;
    double entropy_bits;
    double one_share; /* of the kicks that reach any tube: those that reach one only */
};

struct counter {
    struct wp_variety_meter meter;
    bool is_struck[TUBES];
    size_t n_struck;
    size_t n_with_any;
    size_t n_with_one;
};

static void end_kick(struct counter *counter)
{
    counter->n_with_any += counter->n_struck > 0;
    counter->n_with_one += counter->n_struck == 1;
    counter->n_struck = 0;
    for (size_t i = 0; i < TUBES; i++) {
        counter->is_struck[i] = false;
    }
}

static void take_kick(void *target, const struct wp_kick *kick)
{
    struct counter *counter = target;
    (void)kick;
    end_kick(counter);
    wp_variety_kick(&counter->meter);
}

static void take_strike(struct counter *counter, const struct wp_strike *strike)
{
    wp_variety_add(&counter->meter, strike);
    if (wp_strike_is_blow(strike) && !counter->is_struck[strike->tube]) {
        counter->is_struck[strike->tube] = true;
        counter->n_struck++;
    }
}

/* Two hours of a breeze that wanders between 3 and 7 m/s from minute to minute. */
static void blow(struct station *station)
{
    station_init(station, RECORDS, 60.0, 5.0, (double)NAN);
    for (size_t i = 0; i < RECORDS; i++) {
        const double minute = (double)i;
        station->records[i].mean_m_s = 5.0 + sin(0.21 * minute) + sin(0.53 * minute + 1.0);
    }
}

static void run(struct small_set *small, struct counter *counter, uint64_t seed)
{
    struct station station;
    struct wp_drive *drive = NULL;
    struct wp_strike strike;
    const struct wp_kick_watch watch = {counter, take_kick};
    blow(&station);
    const struct wp_wind_config wind_config = station_config(&station, seed);
    struct wp_wind *wind = station_wind(&wind_config);
    const struct wp_drive_config config = {&small->context, wind, wind_config.step_s, seed, &watch};
    *counter = (struct counter){.n_struck = 0};
    wp_variety_init(&counter->meter, TUBES);
    assert_int_equal(wp_drive_create(&drive, &config), WP_OK);
    while (wp_drive_next(drive, 60.0 * RECORDS, &strike)) {
        take_strike(counter, &strike);
    }
    end_kick(counter);
    wp_drive_destroy(drive);
    wp_wind_destroy(wind);
}

/* Lengths of A3, C4, D4, E4, G4 and A4 in this tube. */
static void describe(struct wp_set *set, const struct variant *variant)
{
    static const double lengths_m[TUBES] = {0.933, 0.855, 0.807, 0.761, 0.698, 0.657};
    wp_set_default(set);
    set->n_tubes = TUBES;
    for (size_t i = 0; i < TUBES; i++) {
        set->tubes[i].outer_diameter_m = 0.032;
        set->tubes[i].wall_m = variant->wall_m;
        set->tubes[i].length_m = lengths_m[i];
    }
    set->striker.diameter_m = variant->diameter_m;
    set->striker.mass_kg = variant->mass_kg;
    set->layout.ring_radius_m = 0.5 * variant->diameter_m + 0.016 + variant->clearance_m;
    set->drive.kind = WP_DRIVE_COILS;
}

static struct outcome measure(const struct variant *variant)
{
    static const double bearings_deg[] = {0.0, 8.0, 15.0, 22.0, 30.0, 44.0};
    enum { N_BEARINGS = sizeof bearings_deg / sizeof bearings_deg[0] };
    struct small_set small;
    struct outcome mean = {0.0, 0.0, 0.0};
    describe(&small.set, variant);
    small_set_solve(&small);
    for (size_t i = 0; i < N_BEARINGS; i++) {
        struct counter counter;
        struct wp_variety variety;
        small.set.drive.coils.rest_bearing_deg = bearings_deg[i];
        run(&small, &counter, i + 1);
        wp_variety_result(&counter.meter, 60.0 * RECORDS, &variety);
        assert_true(variety.n_kicks > 800);
        mean.tubes_per_kick += variety.tubes_per_kick / N_BEARINGS;
        mean.entropy_bits += variety.entropy_bits / N_BEARINGS;
        mean.one_share += (double)counter.n_with_one / (double)counter.n_with_any / N_BEARINGS;
    }
    small_set_finish(&small);
    return mean;
}

static void most_kicks_of_a_tight_set_reach_one_tube(void **state)
{
    (void)state;
    const struct outcome outcome = measure(&tight);
    assert_true(outcome.tubes_per_kick < 1.5);
    assert_true(outcome.one_share > 0.5);
    assert_true(outcome.entropy_bits < 0.5 * log2(TUBES));
}

static void assert_more_varied(const struct outcome *narrow, const struct variant *variant)
{
    const struct outcome wide = measure(variant);
    assert_true(wide.tubes_per_kick > narrow->tubes_per_kick);
    assert_true(wide.entropy_bits > narrow->entropy_bits);
}

/* By half the striker, of the same wood and of the same mass, and by rings of more and more room.
 */
static void assert_room_brings_variety(double wall_m)
{
    const struct variant tight_too = {0.070, 0.060, 0.013, wall_m};
    const struct outcome narrow = measure(&tight_too);
    const struct variant of_the_same_wood = {0.035, 0.0075, 0.0305, wall_m};
    const struct variant of_the_same_mass = {0.035, 0.060, 0.0305, wall_m};
    assert_more_varied(&narrow, &of_the_same_wood);
    assert_more_varied(&narrow, &of_the_same_mass);
    for (int i = 1; i <= 2; i++) {
        const struct variant wider = {0.070, 0.060, 0.013 + 0.009 * i, wall_m};
        assert_more_varied(&narrow, &wider);
    }
}

static void room_among_light_tubes_brings_more_tubes(void **state)
{
    (void)state;
    assert_room_brings_variety(0.0016);
}

static void room_among_heavy_tubes_brings_more_tubes(void **state)
{
    (void)state;
    assert_room_brings_variety(0.0026);
}

/* Power that all partials of a tube radiate just after a blow. */
static double power_w(struct small_set *small, size_t tube, double height_m)
{
    double powers_w[WP_PARTIALS_MAX];
    double sum_w = 0.0;
    small->layout.strike_height_m[tube] = height_m;
    wp_strike_powers(&small->context, tube, 0.3, powers_w);
    for (size_t i = 0; i < small->chime->tubes[tube].n_partials; i++) {
        sum_w += powers_w[i];
    }
    return sum_w;
}

/* In the lowest tenth of a tube, where strikers hang; further up partials have other nodes. */
static void the_lower_on_the_tube_the_louder(void **state)
{
    (void)state;
    struct small_set small;
    describe(&small.set, &tight);
    small_set_solve(&small);
    for (size_t i = 0; i < TUBES; i++) {
        for (int k = 0; k < 3; k++) {
            const double low_m = 0.020 + 0.015 * k;
            assert_true(power_w(&small, i, low_m) > 1.2 * power_w(&small, i, low_m + 0.015));
        }
    }
    small_set_finish(&small);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(most_kicks_of_a_tight_set_reach_one_tube),
        cmocka_unit_test(the_lower_on_the_tube_the_louder),
        cmocka_unit_test(room_among_light_tubes_brings_more_tubes),
        cmocka_unit_test(room_among_heavy_tubes_brings_more_tubes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
