/* SPDX-License-Identifier: MIT */
/* A tube as a whole. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "windpeal/tube.h"

enum { N_TRIALS = 40, N_FREQS = 12 };

static struct wp_tube_spec plain(void)
{
    return (struct wp_tube_spec){
        .material = {68.9e9, 2700.0, 0.33, 1e-4, 23.4e-6, -5e-4, 200.0, 900.0, NAN},
        .outer_diameter_m = 0.0254,
        .wall_m = 0.00165,
        .length_m = 0.6,
        .temperature_c = 20.0,
        .is_supported_at_node = true,
        .cord_kg_m = 1e-3,
    };
}

/* A small generator of its own, so that a seed names the same tubes for ever. */
static double uniform(uint64_t *seed, double low, double high)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return low + (high - low) * (double)(*seed >> 11) * 0x1p-53;
}

static struct wp_tube_spec any_tube(uint64_t *seed)
{
    struct wp_tube_spec spec = plain();
    spec.material.young_modulus_pa = uniform(seed, 60e9, 210e9);
    spec.material.density_kg_m3 = uniform(seed, 2500.0, 9000.0);
    spec.material.poisson_ratio = uniform(seed, 0.2, 0.4);
    spec.outer_diameter_m = uniform(seed, 0.008, 0.08);
    spec.wall_m = spec.outer_diameter_m * uniform(seed, 0.03, 0.5);
    spec.length_m = spec.outer_diameter_m * uniform(seed, 3.0, 70.0);
    spec.end_mass_kg = 0.0;
    spec.without_air_mass = true;
    return spec;
}

/* WINDPEAL_TEST_SEED in the environment repeats a run. */
static uint64_t first_seed(void)
{
    const char *text = getenv("WINDPEAL_TEST_SEED");
    const uint64_t seed = text ? strtoull(text, NULL, 10) : 20240;
    print_message("seed %llu\n", (unsigned long long)seed);
    return seed;
}

static void assert_ratio(const struct wp_tube_spec *a, const struct wp_tube_spec *b, double ratio)
{
    double fa[N_FREQS], fb[N_FREQS];
    assert_int_equal(wp_tube_frequencies(a, fa, N_FREQS), WP_OK);
    assert_int_equal(wp_tube_frequencies(b, fb, N_FREQS), WP_OK);
    for (int i = 0; i < N_FREQS; i++) {
        assert_true(fabs(fb[i] / fa[i] / ratio - 1.0) < 1e-10);
    }
}

/* Dimensional analysis of a body in a vacuum: f = sqrt(E/rho)/L g(shape, nu). */
static void frequencies_scale_as_dimensions_demand(void **state)
{
    (void)state;
    uint64_t seed = first_seed();
    for (int trial = 0; trial < N_TRIALS; trial++) {
        const struct wp_tube_spec tube = any_tube(&seed);
        struct wp_tube_spec other = tube;
        const double s = uniform(&seed, 0.3, 2.0);
        other.outer_diameter_m *= s;
        other.wall_m *= s;
        other.length_m *= s;
        assert_ratio(&tube, &other, 1.0 / s);
        other = tube;
        other.material.young_modulus_pa *= 4.0;
        assert_ratio(&tube, &other, 2.0);
        other = tube;
        other.material.density_kg_m3 *= 4.0;
        assert_ratio(&tube, &other, 0.5);
    }
}

static void longer_tube_sounds_lower(void **state)
{
    (void)state;
    uint64_t seed = first_seed();
    for (int trial = 0; trial < N_TRIALS; trial++) {
        const struct wp_tube_spec tube = any_tube(&seed);
        struct wp_tube_spec longer = tube;
        longer.length_m *= 1.01;
        double f[N_FREQS], lower[N_FREQS];
        assert_int_equal(wp_tube_frequencies(&tube, f, N_FREQS), WP_OK);
        assert_int_equal(wp_tube_frequencies(&longer, lower, N_FREQS), WP_OK);
        for (int i = 0; i < N_FREQS; i++) {
            assert_true(lower[i] < f[i] && (i == 0 || f[i] > f[i - 1]));
        }
    }
}

/* Air, an end mass: each adds inertia, so each lowers every partial (Rayleigh's principle). */
static void every_added_mass_lowers_every_partial(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain();
    double vacuum[N_FREQS], air[N_FREQS], loaded[N_FREQS];
    spec.without_air_mass = true;
    assert_int_equal(wp_tube_frequencies(&spec, vacuum, N_FREQS), WP_OK);
    spec.without_air_mass = false;
    assert_int_equal(wp_tube_frequencies(&spec, air, N_FREQS), WP_OK);
    spec.end_mass_kg = 0.003;
    assert_int_equal(wp_tube_frequencies(&spec, loaded, N_FREQS), WP_OK);
    for (int i = 0; i < N_FREQS; i++) {
        assert_true(air[i] < vacuum[i] && loaded[i] < air[i]);
    }
}

static void air_mass_switch_leaves_the_losses(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain();
    struct wp_tube with, without;
    assert_int_equal(wp_tube_solve(&with, &spec, 16000.0), WP_OK);
    spec.without_air_mass = true;
    assert_int_equal(wp_tube_solve(&without, &spec, 16000.0), WP_OK);
    for (size_t i = 0; i < with.n_partials; i++) {
        assert_true(fabs(without.partials[i].t60_s / with.partials[i].t60_s - 1.0) < 0.02);
        assert_true(without.partials[i].losses.viscous > 0.0);
    }
}

/* Makers hear it so: the hum of the first partial stays, the brightness goes (common practice, no
 * source for figures). */
static void lower_partials_ring_longer(void **state)
{
    (void)state;
    static const char *const names[4] = {"aluminium", "steel", "brass", "copper"};
    for (int i = 0; i < 4; i++) {
        for (double f = 200.0; f < 1500.0; f *= 1.5) {
            struct wp_tube_spec spec = plain();
            struct wp_tube tube;
            spec.material = *wp_material_find(names[i]);
            assert_int_equal(wp_tube_length_for(&spec, WP_TUNED_FIRST_PARTIAL, f, &spec.length_m),
                             WP_OK);
            assert_int_equal(wp_tube_solve(&tube, &spec, 16000.0), WP_OK);
            assert_true(tube.partials[0].t60_s > tube.partials[1].t60_s);
            assert_true(tube.partials[1].t60_s > tube.partials[3].t60_s);
        }
    }
}

static void partials_reach_the_wanted_frequency(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain();
    struct wp_tube tube;
    spec.length_m = 1.6;
    assert_int_equal(wp_tube_solve(&tube, &spec, 16000.0), WP_OK);
    const size_t n = tube.n_bending;
    assert_true(n > 12 && tube.partials[n - 1].freq_hz <= 16000.0);
    double next[WP_PARTIALS_MAX];
    assert_int_equal(wp_tube_frequencies(&spec, next, n + 1), WP_OK);
    assert_true(next[n] > 16000.0);
    for (size_t i = 0; i < n; i++) {
        assert_true(tube.partials[i].freq_hz == next[i]);
        assert_int_equal(tube.partials[i].n, (int)i + 1);
    }
    assert_int_equal(wp_tube_solve(&tube, &spec, 1.0), WP_OK);
    assert_int_equal(tube.n_bending, 12);
    assert_int_equal(tube.n_partials, 12);
}

static void flaws_split_bending_partials_about_their_mean(void **state)
{
    (void)state;
    struct wp_tube_spec spec = plain();
    struct wp_tube tube;
    spec.ovality_01 = 0.003;
    assert_int_equal(wp_tube_solve(&tube, &spec, 16000.0), WP_OK);
    for (size_t i = 0; i < tube.n_bending; i++) {
        const struct wp_partial *p = &tube.partials[i];
        const double low = p->polarised_hz[0];
        const double high = p->polarised_hz[1];
        assert_true(p->split_cents > 3.5 && p->split_cents < 4.5);
        assert_true(fabs(1200.0 * log2(high / low) - p->split_cents) < 1e-9);
        assert_true(fabs(sqrt(low * high) / p->freq_hz - 1.0) < 1e-12);
    }
}

static void impossible_tube_leaves_the_result_untouched(void **state)
{
    (void)state;
    struct wp_tube tube, before;
    memset(&tube, 0x5a, sizeof tube);
    memcpy(&before, &tube, sizeof tube);
    struct wp_tube_spec spec = plain();
    spec.wall_m = 0.02;
    assert_int_equal(wp_tube_solve(&tube, &spec, 16000.0), WP_E_RANGE);
    spec = plain();
    spec.is_supported_at_node = false;
    spec.support_m = 0.4;
    assert_int_equal(wp_tube_solve(&tube, &spec, 16000.0), WP_E_RANGE);
    assert_memory_equal(&tube, &before, sizeof tube);
    double freqs[1];
    assert_int_equal(wp_tube_frequencies(&spec, freqs, 0), WP_E_RANGE);
    assert_int_equal(wp_tube_frequencies(&spec, freqs, WP_PARTIALS_MAX + 1), WP_E_RANGE);
}

/* Whatever is possible gives finite numbers: all partials of any tube, and its sound anywhere. */
static void every_possible_tube_gives_finite_numbers(void **state)
{
    (void)state;
    uint64_t seed = first_seed();
    for (int trial = 0; trial < N_TRIALS; trial++) {
        struct wp_tube_spec spec = any_tube(&seed);
        struct wp_tube tube;
        spec.without_air_mass = false;
        spec.temperature_c = uniform(&seed, -40.0, 60.0);
        assert_int_equal(wp_tube_solve(&tube, &spec, 16000.0), WP_OK);
        for (size_t i = 0; i < tube.n_partials; i++) {
            const struct wp_partial *p = &tube.partials[i];
            const struct wp_ear ear = {uniform(&seed, 0.0, 5.0), uniform(&seed, -3.0, 3.0)};
            assert_true(p->freq_hz > 0.0 && isfinite(p->freq_hz));
            assert_true(p->t60_s > 0.0 && isfinite(p->t60_s));
            assert_true(p->losses.radiation > 0.0);
            assert_true(isfinite(wp_tube_pressure(&tube, p, ear)));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(frequencies_scale_as_dimensions_demand),
        cmocka_unit_test(longer_tube_sounds_lower),
        cmocka_unit_test(every_added_mass_lowers_every_partial),
        cmocka_unit_test(air_mass_switch_leaves_the_losses),
        cmocka_unit_test(lower_partials_ring_longer),
        cmocka_unit_test(partials_reach_the_wanted_frequency),
        cmocka_unit_test(flaws_split_bending_partials_about_their_mean),
        cmocka_unit_test(impossible_tube_leaves_the_result_untouched),
        cmocka_unit_test(every_possible_tube_gives_finite_numbers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
