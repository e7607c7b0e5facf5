/* SPDX-License-Identifier: MIT */
/* A room's responses: the same sound at every sample rate, at the level of statistical acoustics.
 */

#include <complex.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "../near.h"
#include "synth/air_loss.h"
#include "synth/reverb.h"

static const int rates_hz[] = {44100, 48000, 88200, 96000};
enum { N_RATES = sizeof rates_hz / sizeof rates_hz[0], N_EARS = 2 };

static const double SOUND_SPEED_M_S = 343.2; /* at 20 C */

static struct wp_reverb room(int rate_hz)
{
    return (struct wp_reverb){.volume_m3 = 5.0 * 4.0 * 2.6,
                              .decay_s = 0.4,
                              .temperature_c = 20.0,
                              .humidity_01 = 0.5,
                              .distance_m = 2.0,
                              .rate_hz = rate_hz};
}

struct answer {
    int rate_hz;
    size_t n_frames;
    float *ears[N_EARS];
};

static struct answer answer_at(int rate_hz)
{
    const struct wp_reverb reverb = room(rate_hz);
    struct answer answer = {.rate_hz = rate_hz, .n_frames = wp_reverb_count(&reverb)};
    for (size_t ear = 0; ear < N_EARS; ear++) {
        answer.ears[ear] = calloc(answer.n_frames, sizeof(float));
        assert_non_null(answer.ears[ear]);
    }
    assert_int_equal(wp_reverb_make(&reverb, answer.ears, N_EARS), WP_OK);
    return answer;
}

static void answer_finish(struct answer *answer)
{
    free(answer->ears[0]);
    free(answer->ears[1]);
}

/* The excitation: a click of 0.05 ms, which is 1 at 0 Hz, -9 dB at 4.6 kHz and -139 dB at 18 kHz,
 * so that samples at all rates hold the whole of it. */
static double click_at(double t_s)
{
    const double sigma_s = 0.00005;
    return exp(-0.5 * t_s * t_s / (sigma_s * sigma_s)) / (sigma_s * sqrt(2.0 * M_PI));
}

/* What an ear hears of the click at a moment. */
static double heard_at(const struct answer *answer, size_t ear, double t_s)
{
    double sum = 0.0;
    const double middle = t_s * answer->rate_hz;
    const double reach = 0.0004 * answer->rate_hz;
    for (size_t i = (size_t)fmax(ceil(middle - reach), 0.0); (double)i < middle + reach; i++) {
        sum += i < answer->n_frames
                   ? (double)answer->ears[ear][i] * click_at(t_s - (double)i / answer->rate_hz)
                   : 0.0;
    }
    return sum;
}

/* Every reflection comes at the same moment, as strong: the click's sound agrees moment by moment
 * to a thousandth of its peak (60 dB), from the first reflections to the end. */
static void click_sounds_alike_at_every_rate(void **state)
{
    (void)state;
    enum { N_MOMENTS = 12000 }; /* 0.025 ms apart: the first 300 ms */
    static double want[N_EARS][N_MOMENTS];
    double peak = 0.0;
    for (size_t r = 0; r < N_RATES; r++) {
        struct answer answer = answer_at(rates_hz[r]);
        for (size_t ear = 0; ear < N_EARS; ear++) {
            for (size_t k = 0; k < N_MOMENTS; k++) {
                const double heard = heard_at(&answer, ear, 0.001 + 0.000025 * (double)k);
                if (r == 0) {
                    want[ear][k] = heard;
                    peak = fmax(peak, fabs(heard));
                }
                assert_near(heard, want[ear][k], 0.001 * peak);
            }
        }
        answer_finish(&answer);
    }
    assert_true(peak > 0.0);
}

/* Mean power of both ears' transforms in an octave. */
static double octave_power(const struct answer *answer, double middle_hz)
{
    enum { N_POINTS = 100 };
    double sum = 0.0;
    for (int point = 0; point < N_POINTS; point++) {
        const double hz = middle_hz * (M_SQRT1_2 + M_SQRT1_2 * (point + 0.5) / N_POINTS);
        const double complex step = cexp(-(double complex)I * 2.0 * M_PI * hz / answer->rate_hz);
        for (size_t ear = 0; ear < N_EARS; ear++) {
            double complex z = 0.0;
            for (size_t i = answer->n_frames; i-- > 0;) {
                z = z * step + (double)answer->ears[ear][i];
            }
            sum += creal(z) * creal(z) + cimag(z) * cimag(z);
        }
    }
    return sum / (N_EARS * N_POINTS);
}

/*
 * 16 pi / A of a source's power at 1 m in free air (H. Kuttruff, Room Acoustics), A = 24 ln 10 V /
 * (c T) by Sabine, with the decay that the air shortens (ISO 9613-1, which has tests of its own),
 * from the direct sound's arrival on (M. Barron & L.-J. Lee, J. Acoust. Soc. Am. 84 (1988) 618).
 */
static double diffuse_db(double hz)
{
    const struct wp_reverb reverb = room(48000);
    const double more_db_m = wp_air_loss_db_m(hz, 20.0, 0.5) - wp_air_loss_db_m(1000.0, 20.0, 0.5);
    const double t_s = 1.0 / (1.0 / reverb.decay_s + SOUND_SPEED_M_S * more_db_m / 60.0);
    const double area_m2 = 24.0 * log(10.0) * reverb.volume_m3 / (SOUND_SPEED_M_S * t_s);
    return 10.0 * log10(16.0 * M_PI / area_m2) - 60.0 * reverb.distance_m / (SOUND_SPEED_M_S * t_s);
}

/* Octaves lie within 1 dB of the formula at every rate, what chance may do to one response, and
 * within 0.1 dB of each other. */
static void octaves_have_the_diffuse_level_at_every_rate(void **state)
{
    (void)state;
    enum { N_OCTAVES = 6 };
    double first_db[N_OCTAVES];
    for (size_t r = 0; r < N_RATES; r++) {
        struct answer answer = answer_at(rates_hz[r]);
        for (int octave = 0; octave < N_OCTAVES; octave++) {
            const double hz = ldexp(250.0, octave);
            const double db = 10.0 * log10(octave_power(&answer, hz));
            first_db[octave] = r == 0 ? db : first_db[octave];
            assert_near(db, first_db[octave], 0.1);
            assert_near(db, diffuse_db(hz), 1.0);
        }
        answer_finish(&answer);
    }
}

/* Loudspeakers have rates of all kinds; a room is drawn for any of them, and lasts as long. */
static void rooms_are_made_at_odd_rates(void **state)
{
    (void)state;
    static const int odd_hz[] = {8000, 11025, 22050, 47999, 192000};
    struct answer usual = answer_at(48000);
    for (size_t r = 0; r < sizeof odd_hz / sizeof odd_hz[0]; r++) {
        struct answer answer = answer_at(odd_hz[r]);
        assert_near((double)answer.n_frames / odd_hz[r], (double)usual.n_frames / 48000.0,
                    1.0 / odd_hz[r]);
        assert_near(10.0 * log10(octave_power(&answer, 1000.0) / octave_power(&usual, 1000.0)), 0.0,
                    0.1);
        answer_finish(&answer);
    }
    answer_finish(&usual);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(click_sounds_alike_at_every_rate),
        cmocka_unit_test(octaves_have_the_diffuse_level_at_every_rate),
        cmocka_unit_test(rooms_are_made_at_odd_rates),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
