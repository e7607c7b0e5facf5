/* SPDX-License-Identifier: MIT */
/* Elementary functions against the C library's in long double, in units of the last place. */
#include "base/exact.h"

#include <float.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "base/random.h"

enum { N_ARGUMENTS = 200000 };

/* Distance of a result from the true value in units of the true value's last place. */
static double ulps(double got, long double want)
{
    const double nearest = (double)want;
    const double place = fmax(nextafter(fabs(nearest), INFINITY) - fabs(nearest), DBL_TRUE_MIN);
    return (double)(fabsl((long double)got - want) / (long double)place);
}

/* Evenly spread arguments by Weyl's sequence of the golden ratio, 0 to 1. */
static double spread(int i)
{
    const double x = 0.6180339887498949 * (i + 1);
    return x - floor(x);
}

static void logarithm_is_exact_to_two_ulp(void **state)
{
    (void)state;
    double worst = 0.0;
    for (int i = 0; i < N_ARGUMENTS; i++) {
        const double u = spread(i);
        const double wide = ldexp(1.0 + u, i % 2098 - 1074);
        const double near_one = 1.0 + (u - 0.5) * ldexp(1.0, -(i % 50));
        worst = fmax(worst, ulps(wp_exact_log(wide), logl((long double)wide)));
        worst = fmax(worst, ulps(wp_exact_log(near_one), logl((long double)near_one)));
    }
    print_message("log: %.2f ulp\n", worst);
    assert_true(worst < 2.0);
}

static void exponential_is_exact_to_two_ulp(void **state)
{
    (void)state;
    double worst = 0.0;
    for (int i = 0; i < N_ARGUMENTS; i++) {
        const double wide = -708.0 + 1417.0 * spread(i);
        const double small = (spread(i) - 0.5) * ldexp(1.0, -(i % 60));
        worst = fmax(worst, ulps(wp_exact_exp(wide), expl((long double)wide)));
        worst = fmax(worst, ulps(wp_exact_exp(small), expl((long double)small)));
    }
    print_message("exp: %.2f ulp\n", worst);
    assert_true(worst < 2.0);
}

static void sine_and_cosine_are_exact_to_two_ulp_up_to_a_million(void **state)
{
    (void)state;
    double worst = 0.0;
    for (int i = 0; i < N_ARGUMENTS; i++) {
        const double x = (spread(i) - 0.5) * 2e6 * ldexp(1.0, -(i % 60));
        worst = fmax(worst, ulps(wp_exact_sin(x), sinl((long double)x)));
        worst = fmax(worst, ulps(wp_exact_cos(x), cosl((long double)x)));
    }
    print_message("sin, cos: %.2f ulp\n", worst);
    assert_true(worst < 2.0);
}

/* The doubles nearest to multiples of pi / 2 cancel most: there a sloppy reduction shows. */
static void sine_is_exact_beside_its_zeros(void **state)
{
    (void)state;
    const long double half_pi = 1.570796326794896619231321691639751442L;
    double worst = 0.0;
    for (int i = 1; i < 636000; i += 1 + i / 1000) {
        const double x = (double)((long double)i * half_pi);
        const long double sine = i & 1 ? cosl((long double)x) : sinl((long double)x);
        const double got = i & 1 ? wp_exact_cos(x) : wp_exact_sin(x);
        worst = fmax(worst, ulps(got, sine));
    }
    print_message("beside zeros: %.2f ulp\n", worst);
    assert_true(worst < 2.0);
}

static void angle_is_exact_to_two_ulp_in_every_quadrant(void **state)
{
    (void)state;
    double worst = 0.0;
    for (int i = 0; i < N_ARGUMENTS; i++) {
        const double x = (spread(i) - 0.5) * ldexp(1.0, i % 40 - 20);
        const double y = (spread(3 * i + 1) - 0.5) * ldexp(1.0, i % 37 - 18);
        worst = fmax(worst, ulps(wp_exact_atan2(y, x), atan2l((long double)y, (long double)x)));
    }
    print_message("atan2: %.2f ulp\n", worst);
    assert_true(worst < 2.0);
}

static void power_is_exact_to_a_few_1e15(void **state)
{
    (void)state;
    double worst = 0.0;
    for (int i = 0; i < N_ARGUMENTS; i++) {
        const double x = 100.0 * spread(i) + 1e-6;
        const double y = 6.0 * spread(5 * i + 2) - 3.0;
        const long double want = powl((long double)x, (long double)y);
        worst = fmax(worst, (double)fabsl((long double)wp_exact_pow(x, y) / want - 1.0L));
    }
    print_message("pow: %.1e\n", worst);
    assert_true(worst < 5e-15);
}

/* ISO C annex F gives the values at the edges. */
static void edges_are_those_of_annex_f(void **state)
{
    (void)state;
    const double infinity = (double)INFINITY;
    assert_true(wp_exact_log(0.0) == -infinity);
    assert_true(wp_exact_log(infinity) == infinity);
    assert_true(isnan(wp_exact_log(-1.0)) && isnan(wp_exact_log(NAN)));
    assert_true(wp_exact_log(1.0) == 0.0);
    assert_true(wp_exact_exp(0.0) == 1.0 && wp_exact_exp(infinity) == infinity);
    assert_true(wp_exact_exp(-infinity) == 0.0 && isnan(wp_exact_exp(NAN)));
    assert_true(isfinite(wp_exact_exp(709.78)) && isinf(wp_exact_exp(709.79)));
    assert_true(wp_exact_exp(-745.0) > 0.0 && wp_exact_exp(-745.2) == 0.0);
    assert_true(wp_exact_pow(0.0, 2.0) == 0.0 && wp_exact_pow(0.0, 0.0) == 1.0);
    assert_true(wp_exact_pow(0.0, -1.0) == infinity && wp_exact_pow(1.0, infinity) == 1.0);
    assert_true(isnan(wp_exact_sin(infinity)) && isnan(wp_exact_cos(NAN)));
    assert_true(wp_exact_sin(0.0) == 0.0 && wp_exact_cos(0.0) == 1.0);
}

static void angles_on_the_axes_are_those_of_annex_f(void **state)
{
    (void)state;
    const double ys[] = {0.0, -0.0, 1.0, -1.0, INFINITY, -INFINITY};
    const double xs[] = {1.0, -1.0, 2.0, INFINITY, -INFINITY};
    for (size_t i = 0; i < sizeof ys / sizeof ys[0]; i++) {
        for (size_t j = 0; j < sizeof xs / sizeof xs[0]; j++) {
            const double want = atan2(ys[i], xs[j]);
            const double got = wp_exact_atan2(ys[i], xs[j]);
            assert_true(fabs(got - want) <= DBL_EPSILON && signbit(got) == signbit(want));
        }
    }
    assert_true(wp_exact_atan2(1.0, 0.0) == atan2(1.0, 0.0));
    assert_true(wp_exact_atan2(0.0, 0.0) == 0.0 && wp_exact_atan2(0.0, -0.0) == 0.0);
    assert_true(isnan(wp_exact_atan2(NAN, 1.0)) && isnan(wp_exact_atan2(1.0, NAN)));
}

static void assert_same_bits(const double *got, const double *want, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        assert_true(isnan(want[i]) ? isnan(got[i]) : memcmp(&got[i], &want[i], sizeof *got) == 0);
    }
}

/* Rows of every length against single calls, over the range of the normal numbers. */
static void rows_of_logarithms_have_the_bits_of_single_calls(void **state)
{
    (void)state;
    enum { N = 67 };
    double x[N];
    double want[N];
    double got[N];
    for (size_t n = 0; n <= N; n++) {
        for (size_t i = 0; i < n; i++) {
            x[i] = ldexp(1.0 + spread((int)(n * N + i)), (int)((n * N + i) % 2046) - 1022);
            want[i] = wp_exact_log(x[i]);
        }
        wp_exact_log_each(x, got, n);
        assert_same_bits(got, want, n);
    }
}

static void rows_of_angles_have_the_bits_of_single_calls(void **state)
{
    (void)state;
    const double edges[] = {0.0, -0.0,  DBL_MIN,  1e-310,   1.0,       -1.0,
                            NAN, -1e30, -DBL_MAX, INFINITY, -INFINITY, 3.0};
    enum { EDGES = sizeof edges / sizeof edges[0], N = 67 };
    double x[N];
    double y[N];
    double want[N];
    double got[N];
    for (size_t n = 0; n <= N; n++) {
        for (size_t i = 0; i < n; i++) {
            const size_t pair = n * N + i;
            x[i] = pair % 2 ? edges[pair / 2 % EDGES] : spread((int)pair) - 0.5;
            y[i] = pair % 3 ? edges[pair / 6 % EDGES] : spread((int)(7 * pair)) - 0.5;
            want[i] = wp_exact_atan2(y[i], x[i]);
        }
        wp_exact_atan2_each(y, x, got, n);
        assert_same_bits(got, want, n);
    }
}

static uint64_t mixed_bits(uint64_t hash, double x)
{
    uint64_t bits;
    memcpy(&bits, &x, sizeof bits);
    return (hash ^ bits) * 0x100000001B3U; /* FNV-1a's prime */
}

/* Frozen: a compiler or machine that rounds one of these otherwise changes the number. The
 * arguments are products with powers of two and draws, the same everywhere as well. */
static void bits_are_the_same_everywhere(void **state)
{
    (void)state;
    uint64_t hash = 0xCBF29CE484222325U;
    struct wp_random random;
    wp_random_init(&random, 1, WP_STREAM_DITHER, 0);
    for (int i = 0; i < 10000; i++) {
        const double x = wp_random_uniform(&random);
        const double y = wp_random_uniform(&random);
        hash = mixed_bits(hash, wp_exact_log(x));
        hash = mixed_bits(hash, wp_exact_exp(16.0 * x));
        hash = mixed_bits(hash, wp_exact_pow(8.0 * x, 4.0 * y));
        hash = mixed_bits(hash, wp_exact_sin(1024.0 * x));
        hash = mixed_bits(hash, wp_exact_cos(1024.0 * x));
        hash = mixed_bits(hash, wp_exact_atan2(x, y));
    }
    assert_true(hash == 0xA12799C820D02D2CU);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(logarithm_is_exact_to_two_ulp),
        cmocka_unit_test(exponential_is_exact_to_two_ulp),
        cmocka_unit_test(sine_and_cosine_are_exact_to_two_ulp_up_to_a_million),
        cmocka_unit_test(sine_is_exact_beside_its_zeros),
        cmocka_unit_test(angle_is_exact_to_two_ulp_in_every_quadrant),
        cmocka_unit_test(power_is_exact_to_a_few_1e15),
        cmocka_unit_test(edges_are_those_of_annex_f),
        cmocka_unit_test(angles_on_the_axes_are_those_of_annex_f),
        cmocka_unit_test(rows_of_logarithms_have_the_bits_of_single_calls),
        cmocka_unit_test(rows_of_angles_have_the_bits_of_single_calls),
        cmocka_unit_test(bits_are_the_same_everywhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
