/* SPDX-License-Identifier: MIT */
/* Partitioned convolution. */

#include "synth/convolver.h"

#include <assert.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include <kiss_fftr.h>

#include "base/clones.h"

/* A spectrum with real and imaginary parts apart, so that products of spectra are plain loops. */
struct spectrum {
    float *re;
    float *im;
};

struct wp_convolver {
    size_t n_ears;
    size_t block;
    size_t n_bins;  /* of a transform of two blocks */
    size_t n_parts; /* blocks of a response */
    kiss_fftr_cfg forward;
    kiss_fftr_cfg inverse;
    float *memory;                                   /* of all spectra */
    struct spectrum *filters[WP_CONVOLVER_EARS_MAX]; /* n_parts of each ear */
    struct spectrum *feeds;                          /* of the last n_parts inputs, a ring */
    bool *is_silent;                                 /* of each in feeds */
    size_t newest;                                   /* in feeds */
    size_t n_silent;                                 /* inputs without a sound, the last ones */
    struct spectrum sum;
    float *window; /* two blocks: the last input and this one */
    float *answer;
    kiss_fft_cpx *bins;
};

/*
 * Time for a frame in units of a product of two bins: a bin takes part in as many products as there
 * are blocks, and transforms cost some 15 for each doubling of their length (measured with vectors
 * of 16; a factor of two either way moves the best block by one step, and the time by little).
 */
static double cost(size_t n_response, size_t block)
{
    double steps = 1.0;
    for (size_t length = block; length > 1; length /= 2) {
        steps += 1.0;
    }
    return 2.0 * (double)((n_response + block - 1) / block) + 15.0 * steps;
}

size_t wp_convolver_best_block(size_t n_response, size_t least)
{
    size_t block = least;
    while (cost(n_response, 2 * block) < cost(n_response, block)) {
        block *= 2;
    }
    return block;
}

WP_CLONED
static void take_apart(const kiss_fft_cpx *restrict bins, float scale, float *restrict re,
                       float *restrict im, size_t n_bins)
{
    for (size_t k = 0; k < n_bins; k++) {
        re[k] = scale * bins[k].r;
        im[k] = scale * bins[k].i;
    }
}

WP_CLONED
static void put_together(kiss_fft_cpx *restrict bins, const float *restrict re,
                         const float *restrict im, size_t n_bins)
{
    for (size_t k = 0; k < n_bins; k++) {
        bins[k].r = re[k];
        bins[k].i = im[k];
    }
}

/* Transforms the samples in window into a spectrum, scaled. */
static void transform(struct wp_convolver *convolver, float scale, const struct spectrum *spectrum)
{
    kiss_fftr(convolver->forward, convolver->window, convolver->bins);
    take_apart(convolver->bins, scale, spectrum->re, spectrum->im, convolver->n_bins);
}

static void build_filters(struct wp_convolver *convolver, const float *const *responses,
                          size_t n_response)
{
    const size_t block = convolver->block;
    for (size_t ear = 0; ear < convolver->n_ears; ear++) {
        for (size_t part = 0; part < convolver->n_parts; part++) {
            const size_t first = part * block;
            const size_t n = n_response - first < block ? n_response - first : block;
            memset(convolver->window, 0, 2 * block * sizeof *convolver->window);
            memcpy(convolver->window, responses[ear] + first, n * sizeof *convolver->window);
            /* kiss_fft leaves a transform there and back larger by its length. */
            transform(convolver, 0.5f / (float)block, &convolver->filters[ear][part]);
        }
    }
    memset(convolver->window, 0, 2 * block * sizeof *convolver->window);
}

/* Gives every spectrum its place in memory, which holds nothing but zeros. */
static void lay_out(struct wp_convolver *convolver, size_t stride)
{
    float *next = convolver->memory;
    for (size_t ear = 0; ear < convolver->n_ears; ear++) {
        for (size_t part = 0; part < convolver->n_parts; part++, next += 2 * stride) {
            convolver->filters[ear][part] = (struct spectrum){next, next + stride};
        }
    }
    for (size_t part = 0; part < convolver->n_parts; part++, next += 2 * stride) {
        convolver->feeds[part] = (struct spectrum){next, next + stride};
        convolver->is_silent[part] = true;
    }
    convolver->sum = (struct spectrum){next, next + stride};
    convolver->window = next + 2 * stride;
    convolver->answer = convolver->window + 2 * convolver->block;
    convolver->n_silent = convolver->n_parts + 1;
}

static enum wp_status allocate(struct wp_convolver *convolver)
{
    const size_t n_parts = convolver->n_parts;
    const size_t stride = (convolver->n_bins + 15) / 16 * 16; /* floats, on cache lines */
    const size_t n_spectra = (convolver->n_ears + 1) * n_parts + 1;
    const size_t size = (2 * stride * n_spectra + 4 * convolver->block) * sizeof(float);
    convolver->memory = aligned_alloc(64, (size + 63) / 64 * 64);
    convolver->feeds = calloc(n_parts, sizeof *convolver->feeds);
    convolver->is_silent = calloc(n_parts, sizeof *convolver->is_silent);
    convolver->bins = calloc(convolver->n_bins, sizeof *convolver->bins);
    convolver->forward = kiss_fftr_alloc((int)(2 * convolver->block), 0, NULL, NULL);
    convolver->inverse = kiss_fftr_alloc((int)(2 * convolver->block), 1, NULL, NULL);
    bool has_filters = true;
    for (size_t ear = 0; ear < convolver->n_ears; ear++) {
        convolver->filters[ear] = calloc(n_parts, sizeof *convolver->filters[ear]);
        has_filters = has_filters && convolver->filters[ear];
    }
    if (!(convolver->memory && convolver->feeds && convolver->is_silent && convolver->bins &&
          convolver->forward && convolver->inverse && has_filters)) {
        return WP_E_NO_MEMORY;
    }
    memset(convolver->memory, 0, size);
    lay_out(convolver, stride);
    return WP_OK;
}

enum wp_status wp_convolver_create(struct wp_convolver **out, const float *const *responses,
                                   size_t n_ears, size_t n_response, size_t block)
{
    assert(n_ears <= WP_CONVOLVER_EARS_MAX && n_response > 0 && (block & (block - 1)) == 0);
    *out = NULL;
    struct wp_convolver *convolver = calloc(1, sizeof *convolver);
    if (!convolver) {
        return WP_E_NO_MEMORY;
    }
    convolver->n_ears = n_ears;
    convolver->block = block;
    convolver->n_bins = block + 1;
    convolver->n_parts = (n_response + block - 1) / block;
    const enum wp_status status = allocate(convolver);
    if (status) {
        wp_convolver_destroy(convolver);
        return status;
    }
    build_filters(convolver, responses, n_response);
    *out = convolver;
    return WP_OK;
}

void wp_convolver_destroy(struct wp_convolver *convolver)
{
    if (!convolver) {
        return;
    }
    for (size_t ear = 0; ear < convolver->n_ears; ear++) {
        free(convolver->filters[ear]);
    }
    kiss_fftr_free(convolver->forward);
    kiss_fftr_free(convolver->inverse);
    free(convolver->bins);
    free(convolver->is_silent);
    free(convolver->feeds);
    free(convolver->memory);
    free(convolver);
}

WP_CLONED
static void add_product(const struct spectrum *restrict sum, const struct spectrum *restrict a,
                        const struct spectrum *restrict b, size_t n_bins)
{
    float *restrict sum_re = sum->re;
    float *restrict sum_im = sum->im;
    const float *restrict a_re = a->re;
    const float *restrict a_im = a->im;
    const float *restrict b_re = b->re;
    const float *restrict b_im = b->im;
    for (size_t k = 0; k < n_bins; k++) {
        sum_re[k] += a_re[k] * b_re[k] - a_im[k] * b_im[k];
        sum_im[k] += a_re[k] * b_im[k] + a_im[k] * b_re[k];
    }
}

static bool is_all_zero(const float *frames, size_t n_frames)
{
    for (size_t i = 0; i < n_frames; i++) {
        if (frames[i] != 0.0f) {
            return false;
        }
    }
    return true;
}

/* Takes up a block: its transform together with the block before it. */
static void take(struct wp_convolver *convolver, const float *feed)
{
    const size_t block = convolver->block;
    const size_t size = block * sizeof *feed;
    memcpy(convolver->window + block, feed, size);
    convolver->newest = (convolver->newest + convolver->n_parts - 1) % convolver->n_parts;
    /* The first silent block still has a sounding one before it in the window. */
    convolver->is_silent[convolver->newest] = convolver->n_silent > 1;
    if (convolver->n_silent <= 1) {
        transform(convolver, 1.0f, &convolver->feeds[convolver->newest]);
    }
    memcpy(convolver->window, feed, size);
}

static void answer(struct wp_convolver *convolver, size_t ear, float *frames)
{
    const struct spectrum *sum = &convolver->sum;
    const size_t n_bins = convolver->n_bins;
    memset(sum->re, 0, n_bins * sizeof *sum->re);
    memset(sum->im, 0, n_bins * sizeof *sum->im);
    for (size_t part = 0; part < convolver->n_parts; part++) {
        const size_t age = (convolver->newest + part) % convolver->n_parts;
        if (!convolver->is_silent[age]) {
            add_product(sum, &convolver->feeds[age], &convolver->filters[ear][part], n_bins);
        }
    }
    put_together(convolver->bins, sum->re, sum->im, n_bins);
    kiss_fftri(convolver->inverse, convolver->bins, convolver->answer);
    const float *fresh = convolver->answer + convolver->block;
    for (size_t i = 0; i < convolver->block; i++) {
        frames[i] += fresh[i];
    }
}

void wp_convolver_render(struct wp_convolver *convolver, const float *feed, float *const *ears)
{
    convolver->n_silent = is_all_zero(feed, convolver->block) ? convolver->n_silent + 1 : 0;
    if (convolver->n_silent > convolver->n_parts + 1) {
        return;
    }
    take(convolver, feed);
    for (size_t ear = 0; ear < convolver->n_ears; ear++) {
        answer(convolver, ear, ears[ear]);
    }
}
