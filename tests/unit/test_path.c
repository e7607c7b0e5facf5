/* SPDX-License-Identifier: MIT */
/* Geometry between tubes and the listener's ears. */

#include "../small_set.h"

#include "synth/path.h"

/* A listener at a bearing, and one tube at a place, its middle 0.5 m below that of the longest. */
static struct wp_path path_of(double bearing_deg, double x_m, double y_m, double aside_m)
{
    static struct wp_set set;
    struct wp_layout layout = {.n_tubes = 1};
    struct wp_path path;
    wp_set_default(&set);
    set.listener_distance_m = 3.0;
    set.listener_bearing_deg = bearing_deg;
    set.listener_height_m = 0.7;
    layout.x_m[0] = x_m;
    layout.y_m[0] = y_m;
    layout.middle_m[0] = -0.5;
    wp_path_init(&path, &set, &layout, 0, aside_m);
    return path;
}

static void head_lies_at_its_bearing_and_height(void **state)
{
    (void)state;
    for (double bearing_deg = -170.0; bearing_deg <= 180.0; bearing_deg += 50.0) {
        const struct wp_path path = path_of(bearing_deg, 0.0, 0.0, 0.0);
        assert_near(path.bearing_deg, bearing_deg, 1e-9);
        assert_near(path.ear.distance_m, 3.0, 1e-12);
        assert_near(path.ear.height_m, 1.2, 1e-12);
        assert_true(path.lag_s == 0.0);
    }
    /* A tube 1 m east of the middle, heard from 3 m in the north: sqrt(10) m, to the north-west. */
    const struct wp_path path = path_of(0.0, 1.0, 0.0, 0.0);
    assert_near(path.ear.distance_m, sqrt(10.0), 1e-12);
    assert_near(path.bearing_deg, -18.434948822922, 1e-9);
}

/* Who stands in the north and faces the set looks south, and has the east on the left hand. */
static void left_is_east_for_a_listener_in_the_north(void **state)
{
    (void)state;
    const double aside_m = WP_EAR_ASIDE_M;
    const struct wp_path left = path_of(0.0, 1.0, 0.0, aside_m);
    const struct wp_path right = path_of(0.0, 1.0, 0.0, -aside_m);
    assert_near(left.ear.distance_m, hypot(3.0, 1.0 - aside_m), 1e-12);
    assert_near(right.ear.distance_m, hypot(3.0, 1.0 + aside_m), 1e-12);
    assert_true(left.lag_s < 0.0 && right.lag_s > 0.0);
    /* Who stands in the west looks east, the left hand to the north. */
    assert_true(path_of(270.0, 0.0, 1.0, aside_m).lag_s < 0.0);
    assert_true(path_of(270.0, 0.0, -1.0, aside_m).lag_s > 0.0);
}

/* 343.2 m/s at 20 C (ISO 2533:1975 has 340.294 m/s at 15 C, growing with the root of the absolute
 * temperature); the two ears' difference is at most their distance. */
static void lag_is_the_difference_of_distances(void **state)
{
    (void)state;
    const double c = 340.294 * sqrt(293.15 / 288.15);
    const struct wp_path left = path_of(0.0, 1.0, 0.0, WP_EAR_ASIDE_M);
    const double head_m = sqrt(3.0 * 3.0 + 1.0 + 1.2 * 1.2);
    const double ear_m = sqrt(3.0 * 3.0 + (1.0 - 0.0875) * (1.0 - 0.0875) + 1.2 * 1.2);
    assert_near(left.lag_s, (ear_m - head_m) / c, 1e-9);
}

static void ears_are_alike_straight_ahead(void **state)
{
    (void)state;
    const struct wp_path left = path_of(0.0, 0.0, 0.2, WP_EAR_ASIDE_M);
    const struct wp_path right = path_of(0.0, 0.0, 0.2, -WP_EAR_ASIDE_M);
    assert_true(left.lag_s == right.lag_s);
    assert_true(left.ear.distance_m == right.ear.distance_m);
    assert_true(left.bearing_deg == -right.bearing_deg);
    assert_true(left.lag_s > 0.0);
}

/* A tube whose middle hangs 1.5 m above the ground and an ear 2.7 m above it, 3 m away: the image
 * sends up 4.2 m, and seen from the tube, which stands for it, the ear lies as far below. */
static void way_by_the_ground_starts_at_the_image(void **state)
{
    (void)state;
    static struct wp_set set;
    struct wp_layout layout = {.n_tubes = 1, .middle_m = {-0.5}};
    struct wp_path path;
    wp_set_default(&set);
    set.listener_distance_m = 3.0;
    set.listener_height_m = 0.7;
    set.site_height_m = 2.0;
    wp_path_init_reflected(&path, &set, &layout, 0, 0.0);
    assert_near(path.ear.distance_m, 3.0, 1e-12);
    assert_near(path.ear.height_m, -4.2, 1e-12);
    assert_near(path.length_m, hypot(3.0, 4.2), 1e-12);
    assert_near(path.cosine, 4.2 / hypot(3.0, 4.2), 1e-12);
    const double c = 340.294 * sqrt(293.15 / 288.15);
    assert_near(path.lag_s, (hypot(3.0, 4.2) - hypot(3.0, 1.2)) / c, 1e-8);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(head_lies_at_its_bearing_and_height),
        cmocka_unit_test(left_is_east_for_a_listener_in_the_north),
        cmocka_unit_test(lag_is_the_difference_of_distances),
        cmocka_unit_test(ears_are_alike_straight_ahead),
        cmocka_unit_test(way_by_the_ground_starts_at_the_image),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
