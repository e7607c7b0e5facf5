/* SPDX-License-Identifier: MIT */
/* Adds decaying partials to tiles of frames: the hot loop of live sound. */

#include "synth/tile.h"

#include "base/clones.h"
#include "base/series.h"

WP_CLONED
void wp_tile_powers_init(struct wp_tile_powers *powers, double log_re, double log_im)
{
    for (int k = 0; k < WP_TILE; k++) {
        double cosine;
        double sine;
        const double size = wp_series_exp(log_re * k);
        wp_series_circle(log_im * k, &cosine, &sine);
        powers->re[k] = (float)(size * cosine);
        powers->im[k] = (float)(size * sine);
    }
}

WP_CLONED
void wp_tile_step(struct wp_phasors *restrict state, const struct wp_phasors *restrict turn,
                  struct wp_tile_row *restrict row, size_t n_partials)
{
    for (size_t m = 0; m < n_partials; m++) {
        const double re = state->re[m];
        const double im = state->im[m];
        row->re[m] = (float)re;
        row->im[m] = (float)im;
        state->re[m] = re * turn->re[m] - im * turn->im[m];
        state->im[m] = re * turn->im[m] + im * turn->re[m];
    }
}

/* Phasors of two partials at the start of a row. */
struct pair {
    float re0, im0, re1, im1;
};

static inline struct pair pair_of(const struct wp_tile_row *row, size_t i)
{
    return (struct pair){row->re[i], row->im[i], row->re[i + 1], row->im[i + 1]};
}

/*
 * Two partials into two rows: every power that is loaded serves twice. The two are summed before
 * they join the row, whose sum is larger and rounds more coarsely.
 */
static inline void add_two_by_two(float *restrict out_a, float *restrict out_b, struct pair a,
                                  struct pair b, const struct wp_tile_powers *restrict p0,
                                  const struct wp_tile_powers *restrict p1)
{
    for (int k = 0; k < WP_TILE; k++) {
        float sum_a = a.im0 * p0->re[k];
        float sum_b = b.im0 * p0->re[k];
        sum_a += a.re0 * p0->im[k];
        sum_b += b.re0 * p0->im[k];
        sum_a += a.im1 * p1->re[k];
        sum_b += b.im1 * p1->re[k];
        sum_a += a.re1 * p1->im[k];
        sum_b += b.re1 * p1->im[k];
        out_a[k] += sum_a;
        out_b[k] += sum_b;
    }
}

WP_CLONED
void wp_tile_add(const struct wp_tile_powers *powers, const uint16_t *partials, size_t n_partials,
                 const struct wp_tile_row *rows, size_t n_rows)
{
    for (size_t i = 0; i + 1 < n_partials; i += 2) {
        for (size_t r = 0; r + 1 < n_rows; r += 2) {
            add_two_by_two(rows[r].out, rows[r + 1].out, pair_of(&rows[r], i),
                           pair_of(&rows[r + 1], i), &powers[partials[i]],
                           &powers[partials[i + 1]]);
        }
    }
}
