/* SPDX-License-Identifier: MIT */
/* Runs the weighting filters of the meter. */

#include "synth/weighting.h"

#include <string.h>

#include "base/clones.h"
#include "base/quad.h"

enum { ROWS = WP_WEIGHTING_ROWS, LANES = WP_WEIGHTING_LANES, STEP = WP_WEIGHTING_STEP };

typedef wp_quad lanes;
_Static_assert((int)LANES == 4, "lanes are a quad");

/*
 * A section in every lane, b0 being 1. From its memories s0 and s1 and a frame x come y = x + s0,
 * the new s0 = c1 x + s1 - a1 s0 and the new s1 = c2 x - a2 s0: from s0 to the next s0 it is one
 * multiply and add, where the textbook's way by the output takes two in a row. A lane that has no
 * section left passes its frames on: all zeros.
 */
struct row {
    lanes c1, c2, a1, a2;
};

/* Returns the gain of the sections' power. */
static double take_out_gain(struct wp_biquad *sections, size_t n)
{
    double gain = 1.0;
    for (size_t s = 0; s < n; s++) {
        double *b = sections[s].b;
        gain *= b[0] * b[0];
        b[1] /= b[0];
        b[2] /= b[0];
        b[0] = 1.0;
    }
    return gain;
}

void wp_weighting_init(struct wp_weighting *weighting, int rate_hz)
{
    memset(weighting, 0, sizeof *weighting);
    wp_a_weighting_design(weighting->a, rate_hz);
    wp_k_weighting_design(weighting->k, rate_hz);
    weighting->gain[0] = take_out_gain(weighting->a, WP_A_SECTIONS);
    weighting->gain[1] = take_out_gain(weighting->k, WP_K_SECTIONS);
}

static void fill_row(struct row *row, const struct wp_biquad *section, int first_lane)
{
    for (int lane = first_lane; lane < first_lane + 2; lane++) {
        row->c1[lane] = section->b[1] - section->a[0];
        row->c2[lane] = section->b[2] - section->a[1];
        row->a1[lane] = section->a[0];
        row->a2[lane] = section->a[1];
    }
}

_Static_assert((int)WP_K_SECTIONS <= (int)ROWS, "a row for every section");

static void fill_rows(struct row rows[ROWS], const struct wp_weighting *weighting)
{
    memset(rows, 0, ROWS * sizeof *rows);
    for (size_t s = 0; s < WP_A_SECTIONS; s++) {
        fill_row(&rows[s], &weighting->a[s], 0);
    }
    for (size_t s = 0; s < WP_K_SECTIONS; s++) {
        fill_row(&rows[s], &weighting->k[s], 2);
    }
}

/* Passes a frame of every lane through a row. With the product of the memory first compilers fuse
 * that one with the sum, which shortens the recursion. */
static inline void row_step(const struct row *row, lanes memory[2], lanes *x)
{
    const lanes s0 = memory[0];
    const lanes kept = row->a2 * s0;
    memory[0] = row->c1 * *x + memory[1] - row->a1 * s0;
    memory[1] = row->c2 * *x - kept;
    *x += s0;
}

static inline struct wp_weighted weighted(const struct wp_weighting *weighting, const lanes *power,
                                          size_t n_channels)
{
    const double k = n_channels == 1 ? (*power)[2] : (*power)[2] + (*power)[3];
    return (struct wp_weighted){
        .a = weighting->gain[0] * 0.5 * ((*power)[0] + (*power)[1]),
        .k = weighting->gain[1] * k,
    };
}

/* Registers are taken one by one: memories that were copied in one piece would go back to memory
 * after every step. */
static inline void take_memories(lanes memory[ROWS][2], const struct wp_weighting *weighting)
{
    for (size_t r = 0; r < ROWS; r++) {
        memory[r][0] = *wp_quad_of(weighting->memory[r][0]);
        memory[r][1] = *wp_quad_of(weighting->memory[r][1]);
    }
}

static inline void keep_memories(lanes memory[ROWS][2], struct wp_weighting *weighting)
{
    for (size_t r = 0; r < ROWS; r++) {
        *wp_quad_at(weighting->memory[r][0]) = memory[r][0];
        *wp_quad_at(weighting->memory[r][1]) = memory[r][1];
    }
}

WP_CLONED
size_t wp_weighting_add(struct wp_weighting *weighting, const float *frames, size_t n_channels,
                        size_t n_frames, struct wp_weighted *steps)
{
    struct row rows[ROWS]; /* nothing else points here or to the memories: all stay in registers */
    lanes memory[ROWS][2];
    lanes power;
    size_t n_steps = 0;
    const size_t last = n_channels - 1; /* one channel is filtered twice */
    fill_rows(rows, weighting);
    take_memories(memory, weighting);
    power = *wp_quad_of(weighting->power);
    while (n_frames > 0) {
        const size_t n_left = STEP - weighting->n_in_step;
        const size_t n = n_frames < n_left ? n_frames : n_left;
        for (size_t i = 0; i < n; i++) {
            const double left = (double)frames[i * n_channels];
            const double right = (double)frames[i * n_channels + last];
            lanes x = {left, right, left, right};
            for (size_t r = 0; r < ROWS; r++) {
                row_step(&rows[r], memory[r], &x);
            }
            power += x * x;
        }
        frames += n * n_channels;
        n_frames -= n;
        weighting->n_in_step += n;
        if (weighting->n_in_step == STEP) {
            steps[n_steps++] = weighted(weighting, &power, n_channels);
            power = (lanes){0.0};
            weighting->n_in_step = 0;
        }
    }
    keep_memories(memory, weighting);
    *wp_quad_at(weighting->power) = power;
    return n_steps;
}
