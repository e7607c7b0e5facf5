/* SPDX-License-Identifier: MIT */
/* Decimal numbers without a locale. */
#include "base/decimal.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* More digits than these cannot change the double by more than its last place. */
enum { DIGITS_MAX = 18, EXPONENT_MAX = 9999 };

/* digits * 10^exponent */
struct decimal {
    uint64_t digits;
    int exponent;
    int n_digits; /* leading zeros not counted */
    bool has_digit;
};

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static const char *read_digits(const char *at, struct decimal *decimal, int step)
{
    for (; is_digit(*at); at++) {
        decimal->has_digit = true;
        if (decimal->n_digits < DIGITS_MAX) {
            decimal->digits = decimal->digits * 10 + (uint64_t)(*at - '0');
            decimal->n_digits += decimal->digits != 0;
            decimal->exponent += step;
        } else if (decimal->exponent < EXPONENT_MAX) {
            decimal->exponent += step + 1; /* dropped: a place before the point still counts */
        }
    }
    return at;
}

/* The exponent's digits after e, or at itself when no exponent follows ("3 ells"). */
static const char *read_exponent(const char *at, struct decimal *decimal)
{
    if (*at != 'e' && *at != 'E') {
        return at;
    }
    const bool is_negative = at[1] == '-';
    const char *digit = at + 1 + (at[1] == '-' || at[1] == '+');
    if (!is_digit(*digit)) {
        return at;
    }
    int exponent = 0;
    for (; is_digit(*digit); digit++) {
        exponent = exponent < EXPONENT_MAX ? exponent * 10 + (*digit - '0') : exponent;
    }
    decimal->exponent += is_negative ? -exponent : exponent;
    return digit;
}

/* Powers of ten up to 10^22 are doubles without error, so that one product or quotient of them and
 * a number below 2^53 is correctly rounded (W. D. Clinger, PLDI 1990). */
static double scaled(uint64_t digits, int exponent)
{
    static const double powers[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                    1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                    1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    double value = (double)digits;
    for (; exponent > 22 && value > 0.0 && isfinite(value); exponent -= 22) {
        value *= 1e22;
    }
    for (; exponent < -22 && value > 0.0; exponent += 22) {
        value /= 1e22;
    }
    if (value == 0.0 || isinf(value)) {
        return value;
    }
    return exponent < 0 ? value / powers[-exponent] : value * powers[exponent];
}

const char *wp_decimal_parse(const char *text, double *value)
{
    struct decimal decimal = {0};
    const bool is_negative = *text == '-';
    const char *at = text + (*text == '-' || *text == '+');
    at = read_digits(at, &decimal, 0);
    if (*at == '.') {
        at = read_digits(at + 1, &decimal, -1);
    }
    if (!decimal.has_digit) {
        return NULL;
    }
    at = read_exponent(at, &decimal);
    const double size = scaled(decimal.digits, decimal.exponent);
    if (isinf(size)) {
        return NULL;
    }
    *value = is_negative ? -size : size;
    return at;
}
