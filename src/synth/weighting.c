/* SPDX-License-Identifier: MIT */
/* Runs the weighting filters of the meter. */

#include "synth/weighting.h"

#include <string.h>

#include "base/clones.h"

enum { SECTIONS = WP_WEIGHTING_SECTIONS, STEP = WP_WEIGHTING_STEP };

/* Left and right. */
typedef double pair __attribute__((vector_size(16)));

/*
 * A section for both channels, b0 being 1. From its memories s0 and s1 and a frame x come y = x +
 * s0, the new s0 = c1 x + s1 - a1 s0 and the new s1 = c2 x - a2 s0: from s0 to the next s0 it is
 * one multiply and add, where the textbook's way by the output takes two in a row.
 */
struct pair_section {
    pair c1, c2, a1, a2;
};

void wp_weighting_init(struct wp_weighting *weighting, int rate_hz)
{
    memset(weighting, 0, sizeof *weighting);
    wp_a_weighting_design(weighting->sections, rate_hz);
    wp_k_weighting_design(&weighting->sections[WP_A_SECTIONS], rate_hz);
    weighting->gain[0] = 1.0;
    weighting->gain[1] = 1.0;
    for (size_t s = 0; s < SECTIONS; s++) {
        double *b = weighting->sections[s].b;
        weighting->gain[s < WP_A_SECTIONS ? 0 : 1] *= b[0] * b[0];
        b[1] /= b[0];
        b[2] /= b[0];
        b[0] = 1.0;
    }
}

static inline struct pair_section pair_section(const struct wp_biquad *from)
{
    const double c1 = from->b[1] - from->a[0];
    const double c2 = from->b[2] - from->a[1];
    return (struct pair_section){
        .c1 = {c1, c1},
        .c2 = {c2, c2},
        .a1 = {from->a[0], from->a[0]},
        .a2 = {from->a[1], from->a[1]},
    };
}

static inline pair section_step(const struct pair_section *section, pair memory[2], pair x)
{
    const pair s0 = memory[0];
    memory[0] = section->c1 * x + memory[1] - section->a1 * s0;
    memory[1] = section->c2 * x - section->a2 * s0;
    return x + s0;
}

static inline struct wp_weighted weighted(const struct wp_weighting *weighting, const pair power[2],
                                          size_t n_channels)
{
    const double k = n_channels == 1 ? power[1][0] : power[1][0] + power[1][1];
    return (struct wp_weighted){
        .a = weighting->gain[0] * 0.5 * (power[0][0] + power[0][1]),
        .k = weighting->gain[1] * k,
    };
}

WP_CLONED
size_t wp_weighting_add(struct wp_weighting *weighting, const float *frames, size_t n_channels,
                        size_t n_frames, struct wp_weighted *steps)
{
    struct pair_section sections[SECTIONS]; /* nothing else points here or to the memories: all */
    pair memory[SECTIONS][2];               /* stay in registers */
    pair power[2];
    size_t n_steps = 0;
    const size_t last = n_channels - 1; /* one channel is filtered twice */
    for (size_t s = 0; s < SECTIONS; s++) {
        sections[s] = pair_section(&weighting->sections[s]);
    }
    memcpy(memory, weighting->memory, sizeof memory);
    memcpy(power, weighting->power, sizeof power);
    while (n_frames > 0) {
        const size_t n_left = STEP - weighting->n_in_step;
        const size_t n = n_frames < n_left ? n_frames : n_left;
        for (size_t i = 0; i < n; i++) {
            const pair x = {(double)frames[i * n_channels], (double)frames[i * n_channels + last]};
            pair a = section_step(&sections[0], memory[0], x);
            a = section_step(&sections[1], memory[1], a);
            a = section_step(&sections[2], memory[2], a);
            pair k = section_step(&sections[3], memory[3], x);
            k = section_step(&sections[4], memory[4], k);
            power[0] += a * a;
            power[1] += k * k;
        }
        frames += n * n_channels;
        n_frames -= n;
        weighting->n_in_step += n;
        if (weighting->n_in_step == STEP) {
            steps[n_steps++] = weighted(weighting, power, n_channels);
            memset(power, 0, sizeof power);
            weighting->n_in_step = 0;
        }
    }
    memcpy(weighting->memory, memory, sizeof memory);
    memcpy(weighting->power, power, sizeof power);
    return n_steps;
}
