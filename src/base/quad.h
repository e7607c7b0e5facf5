/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_BASE_QUAD_H
#define WINDPEAL_BASE_QUAD_H

/*
 * Four doubles side by side in a vector register, wherever they lie in memory: for loops that must
 * keep what they carry along in registers, which compilers do not manage with arrays of doubles.
 */
typedef double wp_quad __attribute__((vector_size(4 * sizeof(double)), aligned(8), may_alias));

static inline wp_quad *wp_quad_at(double *x)
{
    return (wp_quad *)x;
}

static inline const wp_quad *wp_quad_of(const double *x)
{
    return (const wp_quad *)x;
}

#endif
