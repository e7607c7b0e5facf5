/* SPDX-License-Identifier: MIT */
/* Partials by way of their spectra, at every place between two bins and at both ends of the band.
 */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "synth/spectrum.h"

/* Where the partial lies in bins, how fast it decays, its phasor. */
struct tone {
    double bin;
    double log_re;
    float re;
    float im;
};

struct sound {
    float left[WP_SPECTRUM_FRAMES];
    float right[WP_SPECTRUM_FRAMES];
};

static double angle_of(const struct tone *tone)
{
    return 2.0 * M_PI * tone->bin / WP_TRANSFORM;
}

static void add(struct wp_spectrum *spectrum, const struct tone *tone)
{
    static struct wp_bins bins;
    struct wp_bins_fit fit;
    const uint16_t only = 0;
    uint16_t first;
    wp_bins_fit_init(&fit);
    wp_bins_init(&bins, &first, &fit, tone->log_re, angle_of(tone));
    const struct wp_tile_row row = {.re = {tone->re}, .im = {tone->im}};
    wp_spectrum_add(spectrum, 1, &bins, &first, &only, 1, &row);
}

/* Sounds one tone left and another one right. */
static void sound(const struct tone *left, const struct tone *right, struct sound *out)
{
    static struct wp_spectrum_window window;
    static struct wp_spectrum spectra[2];
    *out = (struct sound){{0.0f}, {0.0f}};
    wp_spectrum_window_init(&window);
    add(&spectra[0], left);
    add(&spectra[1], right);
    wp_spectrum_sound(&window, &spectra[0], &spectra[1], out->left, out->right);
}

/* Largest difference from the closed form, in dB re the phasor's size. Floats alone make -124 to
 * -130 of it, at the block's ends, where the window is divided out. */
static double error_db(const struct tone *tone, const float *frames)
{
    double worst = 0.0;
    for (int n = 0; n < WP_SPECTRUM_FRAMES; n++) {
        const double angle = angle_of(tone) * n;
        const double wanted =
            exp(tone->log_re * n) * ((double)tone->im * cos(angle) + (double)tone->re * sin(angle));
        worst = fmax(worst, fabs(wanted - (double)frames[n]));
    }
    return 20.0 * log10(worst / hypot((double)tone->re, (double)tone->im));
}

static void assert_exact(const struct tone *left, const struct tone *right, double limit_db)
{
    static struct sound out;
    sound(left, right, &out);
    assert_true(error_db(left, out.left) < limit_db);
    assert_true(error_db(right, out.right) < limit_db);
}

static void steady_tone_is_exact_between_bins(void **state)
{
    (void)state;
    for (int i = 0; i < 32; i++) {
        const struct tone left = {300.0 + i / 32.0, 0.0, 0.6f, 0.3f};
        const struct tone right = {301.0 + i / 32.0, 0.0, -0.2f, 0.9f};
        assert_exact(&left, &right, -122.0);
    }
}

static void steepest_decay_keeps_120_db(void **state)
{
    (void)state;
    for (int i = 0; i < 32; i++) {
        const struct tone left = {500.0 + i / 32.0, -WP_SPECTRUM_STEEPEST, 0.6f, 0.3f};
        const struct tone right = {70.0 + i / 32.0, -0.4 * WP_SPECTRUM_STEEPEST, 1.0f, 0.0f};
        assert_exact(&left, &right, -120.0);
    }
}

/* Bins below 0 and above half the rate come back from the other side. */
static void ends_of_the_band_are_exact(void **state)
{
    (void)state;
    const double half = WP_TRANSFORM / 2;
    for (int i = 1; i < 100; i++) {
        const struct tone low = {0.07 * i, -1e-5, 0.6f, 0.3f};
        const struct tone high = {half - 0.07 * i, -1e-5, -0.1f, 0.8f};
        assert_exact(&low, &high, -122.0);
        assert_exact(&high, &low, -122.0);
    }
}

static void spectra_are_empty_afterwards(void **state)
{
    (void)state;
    static struct sound out;
    const struct tone loud = {432.1, 0.0, 1.0f, 1.0f};
    const struct tone silent = {432.1, 0.0, 0.0f, 0.0f};
    sound(&loud, &loud, &out);
    sound(&silent, &silent, &out);
    for (int n = 0; n < WP_SPECTRUM_FRAMES; n++) {
        assert_true(out.left[n] == 0.0f && out.right[n] == 0.0f);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steady_tone_is_exact_between_bins),
        cmocka_unit_test(steepest_decay_keeps_120_db),
        cmocka_unit_test(ends_of_the_band_are_exact),
        cmocka_unit_test(spectra_are_empty_afterwards),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
