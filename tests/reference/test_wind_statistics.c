/* SPDX-License-Identifier: MIT */
/* Hours of generated wind against sampling theory: what a stationary process of Kaimal's spectrum
 * shows in a given time, and what the records ask for. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "../near.h"
#include "../wind_station.h"
#include "davenport.h"

static const double STEP_S = 0.1;

enum { HOUR = 36000, GUST_STEPS = 30 };

/*
 * Kaimal's spectrum of IEC 61400-1:2005, annex B.2, at 10 m: L = 8.1 * 0.7 * 10 m. A mean over T
 * has the standard error sqrt(S(0) / 2T) = sigma sqrt(2 (L / U) / T); a variance over T the
 * relative standard deviation sqrt(integral of S^2 / T) = sqrt(1.143 (L / U) / T) (J. S. Bendat, A.
 * G. Piersol, "Random Data", Wiley 2010, section 8.2; the integral is 8 / 7 L / U).
 */
static const double LENGTH_M = 56.7;

static double standard_error(double sigma_m_s, double mean_m_s, double time_s)
{
    return sigma_m_s * sqrt(2.0 * LENGTH_M / mean_m_s / time_s);
}

/* Records of an hour of which ten minutes are bound to the mean: the rest is free to differ. */
static struct wp_wind_sample *stationary(struct station *station, double mean_m_s, size_t hours,
                                         uint64_t seed)
{
    station_init(station, hours, 3600.0, mean_m_s, (double)NAN);
    struct wp_wind_config config = station_config(station, seed);
    config.intensity = 0.2;
    return station_samples(&config, hours * HOUR);
}

static void six_hours_have_mean_and_sigma(void **state)
{
    (void)state;
    static const double speeds_m_s[3] = {3.0, 6.0, 12.0};
    static struct station station;
    for (size_t k = 0; k < 3; k++) {
        const size_t n = (size_t)6 * HOUR;
        const double mean_m_s = speeds_m_s[k];
        const double sigma_m_s = 0.2 * mean_m_s;
        struct wp_wind_sample *samples = stationary(&station, mean_m_s, 6, 31 + k);
        const double mean = station_mean(samples, 0, n);
        double squares[2] = {0.0};
        for (size_t i = 0; i < n; i++) {
            squares[0] += pow(samples[i].along_m_s, 2.0) / (double)n;
            squares[1] += samples[i].along_m_s / (double)n;
        }
        free(samples);
        assert_near(mean, mean_m_s, 3.0 * standard_error(sigma_m_s, mean_m_s, 21600.0));
        /* The intensity is that within ten minutes; in all there is more, by the share that ten
         * minutes leave out. By scipy's quad, integral of S (1 - sinc^2(600 s f)) df. */
        static const double within[3] = {0.94440, 0.97057, 0.98466};
        const double sigma = sqrt(squares[0] - squares[1] * squares[1]);
        assert_near(sigma / (sigma_m_s / sqrt(within[k])), 1.0, 0.04);
    }
}

/* Strongest mean over 3 s that lies within samples first to end. */
static double strongest(const struct wp_wind_sample *samples, size_t first, size_t end)
{
    double most = 0.0;
    double sum = 0.0;
    for (size_t i = first; i < end; i++) {
        sum += samples[i].speed_m_s;
        if (i >= first + GUST_STEPS) {
            sum -= samples[i - GUST_STEPS].speed_m_s;
        }
        if (i + 1 >= first + GUST_STEPS) {
            most = fmax(most, sum / GUST_STEPS);
        }
    }
    return most;
}

/*
 * (Strongest gust - mean) / sigma of each of 102 pieces of ten minutes. One scatters by 0.33: the
 * mean of 102 is known to 0.033, so that 0.1 is three of them. The speed of a vector is a little
 * less spread than its along component; that cancels, since sigma is of the same speeds.
 */
static void seventeen_hours_have_davenports_peak_factor(void **state)
{
    (void)state;
    enum { PIECES = 17 * 6, PIECE = 6000 };
    static struct station station;
    struct wp_wind_sample *samples = stationary(&station, 5.0, 17, 41);
    double sum = 0.0;
    for (size_t k = 0; k < PIECES; k++) {
        const size_t first = k * PIECE;
        const double mean = station_mean(samples, first, first + PIECE);
        double squares = 0.0;
        for (size_t i = first; i < first + PIECE; i++) {
            squares += pow(samples[i].speed_m_s - mean, 2.0);
        }
        sum += (strongest(samples, first, first + PIECE) - mean) / sqrt(squares / PIECE);
    }
    free(samples);
    assert_near(sum / PIECES, davenport(600.0, 3.0, 5.0, 10.0), 0.1);
}

/* Records such as a station gives: gusts of 1.3 to 2 times a mean of 1.5 to 9 m/s that changes by
 * up to a half from record to record, the direction by up to 40 degrees. */
static void make_changeable(struct station *station, size_t n, double interval_s)
{
    station_init(station, n, interval_s, 5.0, 8.0);
    for (size_t i = 0; i < n; i++) {
        const double x = (double)i;
        struct wp_record *record = &station->records[i];
        record->mean_m_s = 5.0 + 2.5 * sin(0.07 * x) + 1.2 * sin(1.3 * x) + 0.3 * sin(2.9 * x);
        record->gust_m_s = record->mean_m_s * (1.65 + 0.35 * sin(0.9 * x));
        record->from_deg = fmod(360.0 + 240.0 + 60.0 * sin(0.05 * x) + 20.0 * sin(2.1 * x), 360.0);
    }
}

/*
 * Every record's mean, no speed below zero (it is a length, but never NAN), and at the edges of
 * records changes of one step that are no larger than elsewhere: twice the standard deviation of a
 * step is allowed for the mean square over 400 edges, which is known to 5 %.
 */
static void records_come_out_without_joints(void **state)
{
    (void)state;
    static const double intervals_s[3] = {10.0, 60.0, 300.0};
    static struct station station;
    for (size_t k = 0; k < 3; k++) {
        enum { RECORDS = 400 };
        const size_t per_record = (size_t)lround(intervals_s[k] / STEP_S);
        make_changeable(&station, RECORDS, intervals_s[k]);
        const struct wp_wind_config config = station_config(&station, 51);
        struct wp_wind_sample *samples = station_samples(&config, RECORDS * per_record);
        double edges = 0.0;
        double all = 0.0;
        for (size_t i = 0; i < RECORDS; i++) {
            const double want = station.records[i].mean_m_s;
            const double got = station_mean(samples, i * per_record, (i + 1) * per_record);
            assert_near(got, want, fmax(0.15, 0.03 * want));
        }
        for (size_t i = 1; i < RECORDS * per_record; i++) {
            assert_true(samples[i].speed_m_s >= 0.0 && samples[i].speed_m_s < 40.0);
            const double step = pow(samples[i].speed_m_s - samples[i - 1].speed_m_s, 2.0);
            all += step / (double)(RECORDS * per_record - 1);
            edges += i % per_record == 0 ? step / (RECORDS - 1) : 0.0;
        }
        free(samples);
        assert_near(edges / all, 1.0, 0.5);
    }
}

/*
 * Mean of realised over reported excess of the gusts. One record's gust scatters by 18 % of its
 * excess in a minute, 15 % in five: over 700 and 400 records 0.7 %. Davenport's formula is the
 * limit for many gusts; finite records stay up to 3 % below it (Monte Carlo). 5 % in all.
 */
static void gusts_are_unbiased(void **state)
{
    (void)state;
    static const double intervals_s[2] = {60.0, 300.0};
    static const size_t n_records[2] = {700, 400};
    static struct station station;
    for (size_t k = 0; k < 2; k++) {
        const size_t per_record = (size_t)lround(intervals_s[k] / STEP_S);
        make_changeable(&station, n_records[k], intervals_s[k]);
        const struct wp_wind_config config = station_config(&station, 61);
        struct wp_wind_sample *samples = station_samples(&config, n_records[k] * per_record);
        double sum = 0.0;
        double reported = 0.0;
        for (size_t i = 0; i < n_records[k]; i++) {
            const struct wp_record *record = &station.records[i];
            sum += strongest(samples, i * per_record, (i + 1) * per_record) - record->mean_m_s;
            reported += record->gust_m_s - record->mean_m_s;
        }
        free(samples);
        assert_near(sum / reported, 1.0, 0.05);
    }
}

/* Asked for exactly, every gust is within 2 %, and the means still hold. */
static void exact_gusts_are_met(void **state)
{
    (void)state;
    static const double intervals_s[3] = {30.0, 60.0, 600.0};
    static struct station station;
    for (size_t k = 0; k < 3; k++) {
        enum { RECORDS = 150 };
        const size_t per_record = (size_t)lround(intervals_s[k] / STEP_S);
        make_changeable(&station, RECORDS, intervals_s[k]);
        struct wp_wind_config config = station_config(&station, 71);
        config.has_exact_gusts = true;
        struct wp_wind_sample *samples = station_samples(&config, RECORDS * per_record);
        for (size_t i = 0; i < RECORDS; i++) {
            const struct wp_record *record = &station.records[i];
            const size_t first = i * per_record;
            const double gust = strongest(samples, first, first + per_record);
            assert_near(gust, record->gust_m_s, 0.02 * record->gust_m_s);
            assert_near(station_mean(samples, first, first + per_record), record->mean_m_s,
                        fmax(0.15, 0.03 * record->mean_m_s));
        }
        free(samples);
    }
}

/* Standard deviation of the speeds about their means of five minutes. */
static double sigma_in_five_minutes(const struct wp_wind_sample *samples, size_t n)
{
    enum { FIVE_MINUTES = 3000 };
    double squares = 0.0;
    for (size_t first = 0; first + FIVE_MINUTES <= n; first += FIVE_MINUTES) {
        const double mean = station_mean(samples, first, first + FIVE_MINUTES);
        for (size_t i = first; i < first + FIVE_MINUTES; i++) {
            squares += pow(samples[i].speed_m_s - mean, 2.0);
        }
    }
    return sqrt(squares / (double)(n - n % FIVE_MINUTES));
}

/*
 * A wind read off every two seconds, as an ultrasonic sensor gives it, is made into wind again: its
 * sigma is the one it had. What the two seconds average out (16 % of the variance) comes back by
 * the scatter of their means. Also as a feed.
 */
static void two_second_records_give_back_their_own_sigma(void **state)
{
    (void)state;
    enum { RECORDS = 720, PER_RECORD = 20, STEPS = RECORDS * PER_RECORD };
    static struct station source;
    static struct station read;
    struct wp_wind_sample *samples = stationary(&source, 5.0, 1, 81);
    const double want = sigma_in_five_minutes(samples, STEPS);
    station_init(&read, RECORDS, 2.0, 0.0, (double)NAN);
    for (size_t i = 0; i < RECORDS; i++) {
        read.records[i].mean_m_s = station_mean(samples, i * PER_RECORD, (i + 1) * PER_RECORD);
    }
    free(samples);
    for (int is_live = 0; is_live <= 1; is_live++) {
        struct wp_wind_config config = station_config(&read, 82);
        config.is_live = is_live;
        samples = station_samples(&config, STEPS);
        assert_near(sigma_in_five_minutes(samples, STEPS) / want, 1.0, 0.10);
        free(samples);
    }
}

/*
 * A feed's means and gusts come out on average. Over 700 minutes the mean of the records' means is
 * known to their scatter of 0.1 U over sqrt(700), the gusts to 0.7 %; Davenport's formula stays up
 * to 3 % above the gusts of a minute: 1 % and 5 %.
 */
static void feeds_keep_means_and_gusts_on_average(void **state)
{
    (void)state;
    enum { RECORDS = 700, PER_RECORD = 600 };
    static struct station station;
    make_changeable(&station, RECORDS, 60.0);
    struct wp_wind_config config = station_config(&station, 85);
    config.is_live = true;
    config.start_s = 60.0; /* the first record's: each holds from its own time on */
    struct wp_wind_sample *samples = station_samples(&config, RECORDS * PER_RECORD);
    double sums[2] = {0.0};
    double excesses[2] = {0.0};
    for (size_t i = 0; i < RECORDS; i++) {
        const size_t first = i * PER_RECORD;
        const double mean = station_mean(samples, first, first + PER_RECORD);
        sums[0] += mean;
        sums[1] += station.records[i].mean_m_s;
        excesses[0] += strongest(samples, first, first + PER_RECORD) - mean;
        excesses[1] += station.records[i].gust_m_s - station.records[i].mean_m_s;
    }
    free(samples);
    assert_near(sums[0] / sums[1], 1.0, 0.01);
    assert_near(excesses[0] / excesses[1], 1.0, 0.05);
}

/* Adds a direction to the mean vector: sine and cosine. */
static void add_direction(double mean[2], double angle, double weight)
{
    mean[0] += weight * sin(angle);
    mean[1] += weight * cos(angle);
}

/* Standard deviation of directions by the method of R. J. Yamartino, J. Climate Appl. Meteor. 23
 * (1984) 1362: asin(e) (1 + 0.1547 e^3), e^2 = 1 - sbar^2 - cbar^2. */
static double yamartino(const double mean[2])
{
    const double e = sqrt(1.0 - mean[0] * mean[0] - mean[1] * mean[1]);
    return asin(e) * (1.0 + 0.1547 * e * e * e);
}

/* Directions of a Gaussian wind of sigmas s and 0.8 s whose vector is 1 on average: midpoints over
 * five sigmas each way. */
static double spread_of_gaussian_wind(double sigma)
{
    enum { CELLS = 200 };
    double mean[2] = {0.0};
    double total = 0.0;
    for (int i = 0; i < CELLS; i++) {
        for (int j = 0; j < CELLS; j++) {
            const double a = 10.0 * (i + 0.5) / CELLS - 5.0;
            const double b = 10.0 * (j + 0.5) / CELLS - 5.0;
            const double weight = exp(-0.5 * (a * a + b * b));
            add_direction(mean, atan2(0.8 * sigma * b, 1.0 + sigma * a), weight);
            total += weight;
        }
    }
    mean[0] /= total;
    mean[1] /= total;
    return yamartino(mean);
}

/*
 * Directions spread as those of a Gaussian wind do, about sigma_v / U. Over six hours sigma_v is
 * known to 1 % (L_v is a third of L_u) and the mean vector to 0.7 %: 3 %.
 */
static void direction_spreads_as_the_wind_across(void **state)
{
    (void)state;
    static struct station station;
    struct wp_wind_sample *samples = stationary(&station, 6.0, 6, 91);
    const double radian = acos(-1.0) / 180.0;
    double mean[2] = {0.0};
    for (size_t i = 0; i < (size_t)6 * HOUR; i++) {
        add_direction(mean, radian * (samples[i].from_deg - 240.0), 1.0 / (6.0 * HOUR));
    }
    free(samples);
    /* The vector's mean is shorter than the mean speed by sigma_v^2 / 2U. */
    const double sigma = 0.2 / sqrt(0.97057);
    const double along = 1.0 - 0.5 * 0.64 * sigma * sigma;
    assert_near(yamartino(mean) / spread_of_gaussian_wind(sigma / along), 1.0, 0.03);
    assert_near(atan2(mean[0], mean[1]) / radian, 0.0, 1.0);
}

/* Common practice, no single source: in a calm of less than half a metre a second directions have a
 * standard deviation of 40 to 100 degrees in an hour, and swing in minutes. Seen over three hours
 * of 0.4 m/s, in seconds. */
static void direction_wanders_in_a_calm(void **state)
{
    (void)state;
    static struct station station;
    station_init(&station, 18, 600.0, 0.4, (double)NAN);
    const struct wp_wind_config config = station_config(&station, 92);
    struct wp_wind_sample *samples = station_samples(&config, (size_t)3 * HOUR);
    const double radian = acos(-1.0) / 180.0;
    double mean[2] = {0.0};
    double apart[2] = {0.0};
    for (size_t i = 0; i < (size_t)3 * HOUR; i++) {
        add_direction(mean, radian * samples[i].from_deg, 1.0 / (3.0 * HOUR));
        if (i >= 50) {
            const double turn = radian * (samples[i].from_deg - samples[i - 50].from_deg);
            add_direction(apart, turn, 1.0 / (3.0 * HOUR));
        }
    }
    free(samples);
    assert_near(yamartino(mean) / radian, 70.0, 40.0);
    assert_true(yamartino(apart) < 0.6 * yamartino(mean));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(six_hours_have_mean_and_sigma),
        cmocka_unit_test(seventeen_hours_have_davenports_peak_factor),
        cmocka_unit_test(records_come_out_without_joints),
        cmocka_unit_test(gusts_are_unbiased),
        cmocka_unit_test(exact_gusts_are_met),
        cmocka_unit_test(two_second_records_give_back_their_own_sigma),
        cmocka_unit_test(feeds_keep_means_and_gusts_on_average),
        cmocka_unit_test(direction_spreads_as_the_wind_across),
        cmocka_unit_test(direction_wanders_in_a_calm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
