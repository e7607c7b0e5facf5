/* SPDX-License-Identifier: MIT */
/* Claims about rounding, completing and printing a strike. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "../near.h"
#include "striker/blow.h"
#include "striker_fixture.h"

/* Numbers that spread over a range, the same on every run. */
static double spread(uint64_t *state, double low, double high)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(*state >> 11) * 0x1p-53;
}

/* C's own decimal conversion (ISO C 7.22.1.3) as referee: the printed figure is the same double. */
static void rounded_figures_are_what_their_decimals_read_as(void **state)
{
    (void)state;
    uint64_t seed = 7;
    char text[64];
    for (int i = 0; i < 20000; i++) {
        const double t = wp_figure_time(spread(&seed, 0.0, 1e5));
        snprintf(text, sizeof text, "%.6f", t);
        assert_true(strtod(text, NULL) == t);
        const double speed = wp_figure_speed(spread(&seed, 0.0, 1.5));
        snprintf(text, sizeof text, "%.6f", speed);
        assert_true(strtod(text, NULL) == speed);
        const double bearing = wp_figure_bearing(spread(&seed, -400.0, 800.0));
        snprintf(text, sizeof text, "%.2f", bearing);
        assert_true(strtod(text, NULL) == bearing && bearing >= 0.0 && bearing < 360.0);
        const double height = wp_figure_height(spread(&seed, 0.0, 2.0));
        snprintf(text, sizeof text, "%.5f", height);
        assert_true(strtod(text, NULL) == height);
        const double impulse = wp_figure_impulse(pow(10.0, spread(&seed, -8.0, 2.0)));
        snprintf(text, sizeof text, "%.6g", impulse);
        assert_true(strtod(text, NULL) == impulse);
    }
}

static void rounding_goes_to_the_nearest_and_stays(void **state)
{
    (void)state;
    assert_true(wp_figure_time(1.2345674) == 1.234567);
    assert_true(wp_figure_time(1.2345676) == 1.234568);
    assert_true(wp_figure_bearing(-0.004) == 0.0);
    assert_true(wp_figure_bearing(359.996) == 0.0);
    assert_true(wp_figure_bearing(-90.0) == 270.0);
    assert_true(wp_figure_impulse(0.0123456789) == 0.0123457);
    assert_true(wp_figure_impulse(0.09999999) == 0.1);
    assert_true(wp_figure_impulse(123456.7) == 123457.0);
    assert_true(wp_figure_impulse(wp_figure_impulse(0.0123456789)) == 0.0123457);
    assert_true(wp_figure_impulse(0.0) == 0.0);
}

static void missing_figures_come_from_tube_and_layout(void **state)
{
    (void)state;
    struct fixture f;
    assert_int_equal(fixture_init(&f), WP_OK);
    struct wp_strike strike = {1.0, 2, 0.3, NAN, NAN, NAN};
    wp_strike_complete(&strike, &f.context);
    assert_near(strike.bearing_deg, 120.0, 0.0);
    assert_near(strike.height_m, 0.03, 1e-12);
    struct wp_contact contact;
    wp_contact_solve(&contact, &f.striker, &f.chime.tubes[2], 0.03, 0.3);
    assert_near(strike.impulse_n_s, contact.impulse_n_s, 1e-5 * contact.impulse_n_s);
    struct wp_strike given = {1.0, 2, 0.3, 11.0, 0.1, 0.5};
    wp_strike_complete(&given, &f.context);
    assert_near(given.bearing_deg, 11.0, 0.0);
    assert_near(given.height_m, 0.1, 0.0);
    assert_near(given.impulse_n_s, 0.5, 0.0);
}

static void line_prints_its_figures(void **state)
{
    (void)state;
    char text[256] = "";
    FILE *file = tmpfile();
    assert_non_null(file);
    const struct wp_strike strike = {12.5, 2, 0.25, 120.0, 0.03, 0.0123457};
    int n = wp_strike_print_heading(file);
    n += wp_strike_print(file, &strike);
    rewind(file);
    assert_int_equal(fread(text, 1, sizeof text - 1, file), n);
    fclose(file);
    assert_string_equal(text, "t_s,tube,speed_m_s,bearing_deg,height_m,impulse_n_s\n"
                              "12.500000,3,0.250000,120.00,0.03000,0.0123457\n");
}

/* /dev/full refuses every write; the caller learns of it by a negative number. */
static void print_reports_a_failing_file(void **state)
{
    (void)state;
    FILE *file = fopen("/dev/full", "w");
    if (!file) {
        skip();
    }
    setvbuf(file, NULL, _IONBF, 0);
    const struct wp_strike strike = {12.5, 2, 0.25, 120.0, 0.03, 0.0123457};
    assert_true(wp_strike_print_heading(file) < 0);
    assert_true(wp_strike_print(file, &strike) < 0);
    fclose(file);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rounded_figures_are_what_their_decimals_read_as),
        cmocka_unit_test(rounding_goes_to_the_nearest_and_stays),
        cmocka_unit_test(missing_figures_come_from_tube_and_layout),
        cmocka_unit_test(line_prints_its_figures),
        cmocka_unit_test(print_reports_a_failing_file),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
