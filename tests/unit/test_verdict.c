/* SPDX-License-Identifier: MIT */
/* Sound levels in words. */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "windpeal/level.h"

static struct wp_verdict judge(double laeq_db, double lafmax_db, double distance_m)
{
    const struct wp_levels levels = {.laeq_db = laeq_db, .lafmax_db = lafmax_db};
    struct wp_verdict verdict;
    wp_level_judge(&verdict, &levels, distance_m);
    return verdict;
}

/* Normal vocal effort 60 dB(A) and raised 66 dB(A) at 1 m: ISO 9921:2003 (from memory). */
static void strikes_are_set_against_talk(void **state)
{
    (void)state;
    assert_int_equal(judge(10.0, 29.0, 3.0).audibility, WP_HARDLY_HEARD);
    assert_int_equal(judge(10.0, 31.0, 3.0).audibility, WP_HEARD_IN_QUIET);
    assert_int_equal(judge(10.0, 59.0, 3.0).audibility, WP_HEARD_IN_PAUSES);
    assert_int_equal(judge(10.0, 61.0, 3.0).audibility, WP_HEARD_OVER_TALK);
    assert_int_equal(judge(10.0, 67.0, 3.0).audibility, WP_DROWNS_TALK);
    assert_int_equal(judge((double)NAN, (double)NAN, 3.0).audibility, WP_SILENT);
}

/*
 * The spectrum level of speech of normal effort at 1 m, ANSI S3.5-1997, table 1: critical bands
 * with their centres and limits in Hz. Its whole is 62.35 dB there; weighted A (the formula of IEC
 * 61672-1, annex E) it is what the verdict takes for talk, to 1 dB.
 */
static void standard_speech_counts_as_talk(void **state)
{
    (void)state;
    static const double edges_hz[] = {100,  200,  300,  400,  510,  630,  770,  920,
                                      1080, 1270, 1480, 1720, 2000, 2320, 2700, 3150,
                                      3700, 4400, 5300, 6400, 7700, 9500};
    static const double centres_hz[] = {150,  250,  350,  450,  570,  700,  840,
                                        1000, 1170, 1370, 1600, 1850, 2150, 2500,
                                        2900, 3400, 4000, 4800, 5800, 7000, 8500};
    static const double spectrum_db[] = {31.44, 34.75, 34.14, 34.58, 33.17, 30.64, 27.59,
                                         25.01, 23.52, 22.28, 20.15, 18.29, 16.37, 13.80,
                                         12.21, 11.09, 9.33,  5.84,  3.47,  1.78,  -0.14};
    double power = 0.0;
    double weighted = 0.0;
    for (size_t i = 0; i < sizeof spectrum_db / sizeof spectrum_db[0]; i++) {
        const double f2 = centres_hz[i] * centres_hz[i];
        const double gain =
            12194.0 * 12194.0 * f2 * f2 /
            ((f2 + 20.6 * 20.6) * sqrt((f2 + 107.7 * 107.7) * (f2 + 737.9 * 737.9)) *
             (f2 + 12194.0 * 12194.0)) *
            pow(10.0, 2.0 / 20.0);
        const double band = (edges_hz[i + 1] - edges_hz[i]) * pow(10.0, spectrum_db[i] / 10.0);
        power += band;
        weighted += band * gain * gain;
    }
    const double talk_db = 10.0 * log10(weighted);
    assert_near(10.0 * log10(power), 62.35, 0.1);
    assert_int_equal(judge(10.0, talk_db - 1.0, 3.0).audibility, WP_HEARD_IN_PAUSES);
    assert_int_equal(judge(10.0, talk_db + 1.0, 3.0).audibility, WP_HEARD_OVER_TALK);
}

/* NIOSH 98-126: 85 dB(A) over 8 hours; ITU-T H.870: 80 dB(A) over 40 hours a week (from memory). */
static void care_for_hearing_follows_the_mean(void **state)
{
    (void)state;
    assert_int_equal(judge(79.0, 100.0, 3.0).care, WP_CARE_NONE);
    assert_int_equal(judge(81.0, 100.0, 3.0).care, WP_CARE_LEISURE);
    assert_int_equal(judge(86.0, 100.0, 3.0).care, WP_CARE_WORK);
    assert_int_equal(judge((double)NAN, (double)NAN, 3.0).care, WP_CARE_NONE);
    assert_near(judge(60.0, 100.0, 3.0).care_m, 0.3, 1e-9);
}

/* A point source in the open: 6.02 dB for a doubling, 20 dB for tenfold the distance. Guidelines of
 * WHO: 40 dB on average (2009), 45 dB + 15 dB of a slightly open window for an event (1999). */
static void nights_are_quiet_far_enough_away(void **state)
{
    (void)state;
    assert_near(judge(40.0, 50.0, 3.0).night_m, 3.0, 1e-9);
    assert_near(judge(60.0, 70.0, 3.0).night_m, 30.0, 1e-9);
    assert_near(judge(30.0, 66.0206, 3.0).night_m, 6.0, 1e-4);
    assert_near(judge(20.0, 40.0, 5.0).night_m, 0.5, 1e-9);
    assert_true(isnan(judge((double)NAN, (double)NAN, 3.0).night_m));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strikes_are_set_against_talk),
        cmocka_unit_test(standard_speech_counts_as_talk),
        cmocka_unit_test(care_for_hearing_follows_the_mean),
        cmocka_unit_test(nights_are_quiet_far_enough_away),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
