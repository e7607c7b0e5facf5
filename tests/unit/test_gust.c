/* SPDX-License-Identifier: MIT */
/* Peak factors: their table, their order, their limits. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "wind/gust.h"
#include "wind/kaimal.h"
#include "windpeal/wind.h"

static void table_agrees_with_the_integrals(void **state)
{
    (void)state;
    struct wp_gust_table table;
    wp_gust_table_init(&table, 600.0, 3.0, 10.0);
    for (double speed_m_s = 0.3; speed_m_s < 50.0; speed_m_s *= 1.37) {
        struct wp_gust_moments moments;
        wp_gust_moments(&moments, 600.0, 3.0, wp_kaimal_length(WP_ALONG, 10.0) / speed_m_s);
        assert_near(wp_gust_table_at(&table, speed_m_s), wp_gust_excess(&moments), 2e-3);
    }
}

static void longer_records_hold_stronger_gusts(void **state)
{
    (void)state;
    double last = 0.0;
    for (double record_s = 60.0; record_s <= 3600.0; record_s *= 2.0) {
        const double factor = wp_wind_peak_factor(record_s, 3.0, 5.0, 10.0);
        assert_true(factor > last);
        last = factor;
    }
}

static void longer_gusts_are_weaker(void **state)
{
    (void)state;
    assert_true(wp_wind_peak_factor(600.0, 1.0, 5.0, 10.0) >
                wp_wind_peak_factor(600.0, 3.0, 5.0, 10.0));
    assert_true(wp_wind_peak_factor(600.0, 3.0, 5.0, 10.0) >
                wp_wind_peak_factor(600.0, 5.0, 5.0, 10.0));
}

static void too_short_a_record_has_no_peak_factor(void **state)
{
    (void)state;
    assert_true(isnan(wp_wind_peak_factor(10.0, 3.0, 5.0, 10.0)));
    assert_true(isnan(wp_wind_peak_factor(600.0, 3.0, 0.0, 10.0)));
    assert_true(isnan(wp_wind_peak_factor(600.0, (double)NAN, 5.0, 10.0)));
    assert_false(isnan(wp_wind_peak_factor(15.0, 3.0, 5.0, 10.0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(table_agrees_with_the_integrals),
        cmocka_unit_test(longer_records_hold_stronger_gusts),
        cmocka_unit_test(longer_gusts_are_weaker),
        cmocka_unit_test(too_short_a_record_has_no_peak_factor),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
