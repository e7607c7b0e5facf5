/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_LEVEL_H
#define WINDPEAL_STRIKER_LEVEL_H

/* The level part of a vector, east and north, which compilers take in one: each of the two is
 * computed as it would be alone, to the bit. */
typedef double wp_level __attribute__((vector_size(16)));

static inline wp_level wp_level_of(const double values[2])
{
    return (wp_level){values[0], values[1]};
}

static inline void wp_level_put(wp_level level, double values[2])
{
    values[0] = level[0];
    values[1] = level[1];
}

static inline double wp_level_dot(wp_level a, wp_level b)
{
    const wp_level products = a * b;
    return products[0] + products[1];
}

#endif
