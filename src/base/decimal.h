/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_BASE_DECIMAL_H
#define WINDPEAL_BASE_DECIMAL_H

/*
 * Reads a decimal number at the start of text: sign, digits with at most one point, exponent
 * ("-1.6", ".5", "1e-4"). No blanks before it, no hexadecimal, no infinity, whatever the locale.
 * Correctly rounded up to 15 significant digits, else within 2 ulp.
 *
 * value: out; untouched on failure. Returns the first character that is not part of the number, or
 * NULL when there is none or it is too large for a double.
 */
const char *wp_decimal_parse(const char *text, double *value);

#endif
