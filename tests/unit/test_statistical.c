/* SPDX-License-Identifier: MIT */
/* Claims about the statistical drive. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "drive_fixture.h"

enum { STRIKES_MAX = 20000 };

static struct wp_strike strikes[STRIKES_MAX];
static struct wp_strike others[STRIKES_MAX];

static void set_records(struct drive_fixture *f, double mean_m_s, double from_deg)
{
    for (size_t i = 0; i < f->weather.n_records; i++) {
        f->weather.records[i].mean_m_s = mean_m_s;
        f->weather.records[i].from_deg = from_deg;
    }
}

/* One hour of steady readings; returns the strikes in the global list. */
static size_t steady_hour(double mean_m_s, double from_deg, uint64_t seed)
{
    struct drive_fixture f;
    drive_open(&f, 361, 10.0);
    set_records(&f, mean_m_s, from_deg);
    drive_start(&f, seed);
    const size_t n = drive_collect(&f, 3600.0, 3600.0, strikes, STRIKES_MAX);
    drive_close(&f);
    return n;
}

static struct wp_variety variety_of(size_t n)
{
    struct wp_variety_meter meter;
    struct wp_variety variety;
    wp_variety_init(&meter, 6);
    for (size_t i = 0; i < n; i++) {
        wp_variety_add(&meter, &strikes[i]);
    }
    wp_variety_result(&meter, 3600.0, &variety);
    return variety;
}

static double mean_speed(size_t n)
{
    double sum = 0.0;
    for (size_t i = 0; i < n; i++) {
        sum += strikes[i].speed_m_s;
    }
    return sum / (double)n;
}

static void strikes_do_not_depend_on_how_they_are_asked_for(void **state)
{
    (void)state;
    static const double blocks[] = {0.01, 0.37, 60.0};
    static const double intervals[] = {10.0, 600.0};
    for (size_t k = 0; k < 2; k++) {
        struct drive_fixture f;
        drive_open(&f, 64, intervals[k]);
        drive_start(&f, 3);
        const size_t n = drive_collect(&f, 500.0, 500.0, strikes, STRIKES_MAX);
        drive_stop(&f);
        assert_true(n > 300);
        for (size_t i = 0; i < 3; i++) {
            drive_start(&f, 3);
            assert_int_equal(drive_collect(&f, 500.0, blocks[i], others, STRIKES_MAX), n);
            assert_memory_equal(others, strikes, n * sizeof *strikes);
            drive_stop(&f);
        }
        drive_close(&f);
    }
}

static void another_seed_gives_other_strikes(void **state)
{
    (void)state;
    const size_t n = steady_hour(6.0, 270.0, 1);
    memcpy(others, strikes, n * sizeof *strikes);
    steady_hour(6.0, 270.0, 2);
    size_t n_alike = 0;
    for (size_t i = 0; i < 1000; i++) {
        n_alike += strikes[i].t_s == others[i].t_s || strikes[i].speed_m_s == others[i].speed_m_s;
    }
    assert_true(n_alike < 20); /* speeds at the lower bound are equal */
}

static void strikes_ascend_and_are_possible(void **state)
{
    (void)state;
    struct fixture f;
    assert_int_equal(fixture_init(&f), WP_OK);
    const size_t n = steady_hour(12.0, 200.0, 5);
    for (size_t i = 0; i < n; i++) {
        const struct wp_strike *s = &strikes[i];
        assert_true(i == 0 || s->t_s > strikes[i - 1].t_s);
        assert_true(s->tube < 6 && s->speed_m_s >= 0.02 && s->speed_m_s <= 1.5);
        assert_true(s->bearing_deg >= 0.0 && s->bearing_deg < 360.0);
        assert_true(s->height_m >= 0.0 && s->height_m <= 0.7);
        const double off = s->bearing_deg - f.layout.bearing_deg[s->tube];
        assert_true(fabs(off - 360.0 * floor(off / 360.0 + 0.5)) < 30.0);
        assert_near(s->height_m, 0.03, 0.02);
    }
}

static void list_played_back_is_the_same_bit_for_bit(void **state)
{
    (void)state;
    struct fixture f;
    struct wp_strike_list list;
    assert_int_equal(fixture_init(&f), WP_OK);
    const size_t n = steady_hour(8.0, 200.0, 6);
    char *text = NULL;
    size_t text_size = 0;
    FILE *file = open_memstream(&text, &text_size);
    assert_non_null(file);
    wp_strike_print_heading(file);
    for (size_t i = 0; i < n; i++) {
        wp_strike_complete(&strikes[i], &f.context);
        wp_strike_print(file, &strikes[i]);
    }
    fclose(file);
    assert_int_equal(wp_strike_list_parse(&list, "list", text, text_size, &f.context, &f.diags),
                     WP_OK);
    assert_int_equal(list.n_items, n);
    assert_memory_equal(list.items, strikes, n * sizeof *strikes);
    wp_strike_list_finish(&list);
    free(text);
}

/* Solved again at the height and speed that the list shows; 6 digits are printed. */
static void impulse_is_that_of_the_contact(void **state)
{
    (void)state;
    struct fixture f;
    assert_int_equal(fixture_init(&f), WP_OK);
    const size_t n = steady_hour(5.0, 90.0, 8);
    for (size_t i = 0; i < n; i++) {
        struct wp_contact contact;
        assert_true(isnan(strikes[i].impulse_n_s));
        wp_strike_complete(&strikes[i], &f.context);
        wp_contact_solve(&contact, &f.striker, &f.chime.tubes[strikes[i].tube], strikes[i].height_m,
                         strikes[i].speed_m_s);
        assert_near(strikes[i].impulse_n_s, contact.impulse_n_s, 1e-5 * contact.impulse_n_s);
    }
}

static void light_wind_under_the_threshold_is_silent(void **state)
{
    (void)state;
    assert_int_equal(steady_hour(0.49, 270.0, 1), 0);
    assert_int_equal(steady_hour(0.0, 270.0, 1), 0);
    assert_true(steady_hour(0.7, 270.0, 1) > 0);
}

static void more_wind_strikes_more_often_and_harder_up_to_the_busiest(void **state)
{
    (void)state;
    static const double winds[] = {1.0, 2.0, 4.0, 8.0, 12.0};
    size_t before = 0;
    double softer = 0.0;
    for (size_t i = 0; i < 5; i++) {
        const size_t n = steady_hour(winds[i], 270.0, 4);
        assert_true(n > before);
        assert_true(mean_speed(n) > softer);
        before = n;
        softer = mean_speed(n);
    }
    assert_near((double)steady_hour(30.0, 270.0, 4), (double)before, 0.0);
}

static void striker_goes_downwind(void **state)
{
    (void)state;
    for (size_t tube = 0; tube < 6; tube++) {
        const size_t n = steady_hour(6.0, fmod(60.0 * (double)tube + 180.0, 360.0), 9);
        const struct wp_variety v = variety_of(n);
        for (size_t other = 0; other < 6; other++) {
            assert_true(other == tube || v.per_tube[other] < v.per_tube[tube]);
        }
        assert_true(v.per_tube[(tube + 3) % 6] * 4 < v.per_tube[tube]);
        assert_true(v.per_tube[(tube + 3) % 6] > 0);
    }
}

static void light_wind_scatters_more(void **state)
{
    (void)state;
    const double light = variety_of(steady_hour(1.5, 270.0, 9)).entropy_bits;
    const double strong = variety_of(steady_hour(12.0, 270.0, 9)).entropy_bits;
    assert_true(light > strong + 0.2);
}

static void wind_from_nowhere_strikes_all_alike(void **state)
{
    (void)state;
    const size_t n = steady_hour(12.0, NAN, 9);
    const struct wp_variety v = variety_of(n);
    /* six equal chances: each within five sigma of its sixth */
    for (size_t i = 0; i < 6; i++) {
        assert_near((double)v.per_tube[i], (double)n / 6.0, 5.0 * sqrt((double)n * 5.0 / 36.0));
    }
}

static void busy_minutes_are_windy_minutes(void **state)
{
    (void)state;
    enum { MINUTES = 120 };
    struct drive_fixture f;
    drive_open(&f, MINUTES / 10 + 2, 600.0); /* the generated wind stands in */
    for (size_t i = 0; i < f.weather.n_records; i++) {
        f.weather.records[i].mean_m_s = i % 2 ? 3.0 : 6.0;
    }
    drive_start(&f, 11);
    const size_t n = drive_collect(&f, 60.0 * MINUTES, 60.0, strikes, STRIKES_MAX);
    drive_stop(&f);
    double wind[MINUTES] = {0.0};
    double count[MINUTES] = {0.0};
    assert_int_equal(wp_wind_create(&f.wind, &f.wind_config), WP_OK);
    struct wp_wind_sample sample;
    for (wp_wind_step(f.wind, &sample); sample.t_s < 60.0 * MINUTES;
         wp_wind_step(f.wind, &sample)) {
        wind[(size_t)(sample.t_s / 60.0)] += sample.speed_m_s / 600.0;
    }
    for (size_t i = 0; i < n; i++) {
        count[(size_t)(strikes[i].t_s / 60.0)] += 1.0;
    }
    double sw = 0.0, sc = 0.0, sww = 0.0, scc = 0.0, swc = 0.0;
    for (size_t i = 0; i < MINUTES; i++) {
        sw += wind[i];
        sc += count[i];
        sww += wind[i] * wind[i];
        scc += count[i] * count[i];
        swc += wind[i] * count[i];
    }
    const double r =
        (MINUTES * swc - sw * sc) / sqrt((MINUTES * sww - sw * sw) * (MINUTES * scc - sc * sc));
    assert_true(r > 0.8);
    drive_close(&f);
}

static void impossible_drives_are_refused(void **state)
{
    (void)state;
    struct drive_fixture f;
    drive_open(&f, 61, 10.0);
    assert_int_equal(wp_wind_create(&f.wind, &f.wind_config), WP_OK);
    static const struct wp_set_statistical drives[] = {
        {0.5, 0.0, 12.0, 10.0},  {0.5, NAN, 12.0, 10.0}, {5.0, 6.0, 5.0, 10.0},
        {-1.0, 6.0, 12.0, 10.0}, {0.5, 6.0, 12.0, 0.0},  {0.5, 6.0, 12.0, 0.05},
    };
    for (size_t i = 0; i < sizeof drives / sizeof drives[0]; i++) {
        f.base.set.drive.statistical = drives[i];
        const struct wp_drive_config config = {&f.base.context, f.wind, 0.1, 1, NULL};
        f.drive = (struct wp_drive *)&f;
        assert_int_equal(wp_drive_create(&f.drive, &config), WP_E_RANGE);
        assert_null(f.drive);
    }
    wp_drive_destroy(NULL);
    drive_close(&f);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strikes_do_not_depend_on_how_they_are_asked_for),
        cmocka_unit_test(another_seed_gives_other_strikes),
        cmocka_unit_test(strikes_ascend_and_are_possible),
        cmocka_unit_test(list_played_back_is_the_same_bit_for_bit),
        cmocka_unit_test(impulse_is_that_of_the_contact),
        cmocka_unit_test(light_wind_under_the_threshold_is_silent),
        cmocka_unit_test(more_wind_strikes_more_often_and_harder_up_to_the_busiest),
        cmocka_unit_test(striker_goes_downwind),
        cmocka_unit_test(light_wind_scatters_more),
        cmocka_unit_test(wind_from_nowhere_strikes_all_alike),
        cmocka_unit_test(busy_minutes_are_windy_minutes),
        cmocka_unit_test(impossible_drives_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
