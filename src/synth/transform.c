/* SPDX-License-Identifier: MIT */
/* An inverse Fourier transform of fixed length, laid out for vector registers. */

#include "synth/transform.h"

#include <assert.h>
#include <math.h>

#include "base/clones.h"

enum { N = WP_TRANSFORM, LEGS = WP_TRANSFORM_LEGS, STEP = WP_TRANSFORM_STEP };

/* Eight points on their way through a butterfly. */
struct eight {
    float re[LEGS];
    float im[LEGS];
};

void wp_transform_init(struct wp_transform *transform)
{
    for (int j = 0; j < LEGS; j++) {
        for (int p = 0; p < STEP; p++) {
            const double angle = 2.0 * M_PI * j * p / N;
            transform->re[j][p] = (float)cos(angle);
            transform->im[j][p] = (float)sin(angle);
        }
    }
}

/* Inverse transform of four points of x, from first on and two apart, into four of y. */
static inline struct eight fourfold(struct eight x, int first)
{
    const int a = first;
    const int b = first + 2;
    const int c = first + 4;
    const int d = first + 6;
    const float sum_re = x.re[a] + x.re[c];
    const float sum_im = x.im[a] + x.im[c];
    const float gap_re = x.re[a] - x.re[c];
    const float gap_im = x.im[a] - x.im[c];
    const float sum2_re = x.re[b] + x.re[d];
    const float sum2_im = x.im[b] + x.im[d];
    const float gap2_re = x.re[b] - x.re[d];
    const float gap2_im = x.im[b] - x.im[d];
    return (struct eight){
        .re = {sum_re + sum2_re, gap_re - gap2_im, sum_re - sum2_re, gap_re + gap2_im},
        .im = {sum_im + sum2_im, gap_im + gap2_re, sum_im - sum2_im, gap_im - gap2_re},
    };
}

/* Inverse transform of eight points: the even and the odd ones by four, then together. */
static inline struct eight eightfold(struct eight x)
{
    const float half_root = 0.707106781f;
    const struct eight even = fourfold(x, 0);
    const struct eight odd = fourfold(x, 1);
    /* The odd ones turned by an eighth, a quarter and three eighths. */
    const float re1 = half_root * (odd.re[1] - odd.im[1]);
    const float im1 = half_root * (odd.re[1] + odd.im[1]);
    const float re3 = -half_root * (odd.re[3] + odd.im[3]);
    const float im3 = half_root * (odd.re[3] - odd.im[3]);
    return (struct eight){
        .re = {even.re[0] + odd.re[0], even.re[1] + re1, even.re[2] - odd.im[2], even.re[3] + re3,
               even.re[0] - odd.re[0], even.re[1] - re1, even.re[2] + odd.im[2], even.re[3] - re3},
        .im = {even.im[0] + odd.im[0], even.im[1] + im1, even.im[2] + odd.re[2], even.im[3] + im3,
               even.im[0] - odd.im[0], even.im[1] - im1, even.im[2] - odd.re[2], even.im[3] - im3},
    };
}

static inline struct eight take(const struct wp_points *points, int first)
{
    struct eight x;
    for (int i = 0; i < LEGS; i++) {
        x.re[i] = points->re[first + i * STEP];
        x.im[i] = points->im[first + i * STEP];
    }
    return x;
}

/* The first pass: neighbouring butterflies read neighbours, each writes its eight in a row. */
WP_CLONED
static void pass_first(const struct wp_transform *restrict transform,
                       const struct wp_points *restrict from, struct wp_points *restrict to)
{
    for (int p = 0; p < STEP; p++) {
        const struct eight y = eightfold(take(from, p));
        for (int j = 0; j < LEGS; j++) {
            const float re = transform->re[j][p];
            const float im = transform->im[j][p];
            to->re[LEGS * p + j] = y.re[j] * re - y.im[j] * im;
            to->im[LEGS * p + j] = y.re[j] * im + y.im[j] * re;
        }
    }
}

/* A later pass, where width neighbours are turned alike. */
static inline void pass(const struct wp_transform *restrict transform,
                        const struct wp_points *restrict from, struct wp_points *restrict to,
                        int width)
{
    for (int p = 0; p < STEP; p += width) {
        for (int q = 0; q < width; q++) {
            const struct eight y = eightfold(take(from, p + q));
            for (int j = 0; j < LEGS; j++) {
                const float re = transform->re[j][p];
                const float im = transform->im[j][p];
                to->re[LEGS * p + j * width + q] = y.re[j] * re - y.im[j] * im;
                to->im[LEGS * p + j * width + q] = y.re[j] * im + y.im[j] * re;
            }
        }
    }
}

WP_CLONED
static void pass_by_8(const struct wp_transform *restrict transform,
                      const struct wp_points *restrict from, struct wp_points *restrict to)
{
    pass(transform, from, to, LEGS);
}

WP_CLONED
static void pass_by_64(const struct wp_transform *restrict transform,
                       const struct wp_points *restrict from, struct wp_points *restrict to)
{
    pass(transform, from, to, LEGS * LEGS);
}

void wp_transform_run(const struct wp_transform *transform, struct wp_points *points,
                      struct wp_points *spare)
{
    pass_first(transform, points, spare);
    pass_by_8(transform, spare, points);
    pass_by_64(transform, points, spare);
}

/* The last pass is by four, without turns; of its four results only two are wanted. */
WP_CLONED
void wp_transform_middle(const struct wp_points *restrict spare, const float *restrict window,
                         int half, float *restrict re, float *restrict im)
{
    enum { QUARTER = N / 4 };
    assert(half <= QUARTER);
    const float *a = &spare->re[QUARTER - half];
    const float *b = &spare->im[QUARTER - half];
    for (int i = 0; i < half; i++) {
        re[i] += window[i] * (a[i] - a[i + 2 * QUARTER] - (b[i + QUARTER] - b[i + 3 * QUARTER]));
        im[i] += window[i] * (b[i] - b[i + 2 * QUARTER] + (a[i + QUARTER] - a[i + 3 * QUARTER]));
    }
    const float *c = spare->re;
    const float *d = spare->im;
    for (int i = 0; i < half; i++) {
        re[half + i] += window[half + i] *
                        ((c[i] + c[i + 2 * QUARTER]) - (c[i + QUARTER] + c[i + 3 * QUARTER]));
        im[half + i] += window[half + i] *
                        ((d[i] + d[i + 2 * QUARTER]) - (d[i + QUARTER] + d[i + 3 * QUARTER]));
    }
}
