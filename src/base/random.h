/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_BASE_RANDOM_H
#define WINDPEAL_BASE_RANDOM_H

#include <stddef.h>
#include <stdint.h>

#include "windpeal/attributes.h"

/*
 * Counter-based random numbers: Philox4x32-10 (Salmon, Moraes, Dror, Shaw, "Parallel random
 * numbers: as easy as 1, 2, 3", SC11, 2011). A number is a pure function of seed, stream, event
 * and draw, so no order of calls and no thread changes it.
 */

/* Who draws; each stream is independent of the others under one seed. */
enum wp_stream {
    WP_STREAM_WIND = 1,
    WP_STREAM_WIND_START,
    WP_STREAM_WIND_BEARING,
    WP_STREAM_STRIKE_TIME,
    WP_STREAM_STRIKE_TUBE,
    WP_STREAM_STRIKE_BLOW,
    WP_STREAM_DITHER,
    WP_STREAM_SAMPLE_BATCH,
    WP_STREAM_SAMPLE_TUBE,
    WP_STREAM_ROOM,
    WP_STREAM_KICK_DELAY,
};

/* How many events wp_random_normal_pairs takes at a time. */
enum { WP_NORMAL_EVENTS = 64 };

/* Four 32-bit words for one counter and key. */
void wp_philox(const uint32_t counter[4], const uint32_t key[2], uint32_t out[4]) WP_REALTIME;

/*
 * The first four draws of each of n events in a row, 4 n words: for loops that take many. n is a
 * multiple of 64.
 */
void wp_philox_events(const uint32_t key[2], enum wp_stream stream, uint64_t event, size_t n,
                      uint32_t *out) WP_REALTIME;

/* Words in a run of wp_random_run, and how many events of its stream a run takes. */
enum { WP_RUN_WORDS = 2048, WP_RUN_EVENTS = 64 };

/*
 * Words for loops that take millions, at a quarter of the cost: generators side by side, each of
 * which an event of the run seeds. They are xoshiro128++ (Blackman, Vigna, "Scrambled linear
 * pseudorandom number generators", ACM Trans. Math. Softw. 47, 2021).
 */
void wp_random_run(const uint32_t key[2], enum wp_stream stream, uint64_t run,
                   uint32_t words[WP_RUN_WORDS]) WP_REALTIME;

/* Draws of one event of one stream, one after another. Visible state, never allocates. */
struct wp_random {
    uint32_t key[2];
    uint32_t counter[4]; /* draw block, stream, event low, event high */
    uint32_t words[4];
    unsigned int n_used;
};

/* Starts at the first draw of an event. */
void wp_random_init(struct wp_random *random, uint64_t seed, enum wp_stream stream,
                    uint64_t event) WP_REALTIME;

/* 32 random bits. */
uint32_t wp_random_word(struct wp_random *random) WP_REALTIME;

/* Uniform in the open interval (0, 1); multiples of 2^-32 plus 2^-33. */
double wp_random_uniform(struct wp_random *random) WP_REALTIME;

/*
 * Value that a standard normal number stays below with the given probability, 0 to 1 exclusive:
 * M. J. Wichura, algorithm AS 241 (PPND16), Applied Statistics 37, 1988; relative error 1e-15.
 */
double wp_normal_quantile(double probability) WP_REALTIME;

/* Standard normal: the quantile of a uniform number. */
double wp_random_normal(struct wp_random *random) WP_REALTIME;

/* The first two normal numbers of each of WP_NORMAL_EVENTS events in a row, to the bit as one after
 * the other: for loops that take many. */
void wp_random_normal_pairs(uint64_t seed, enum wp_stream stream, uint64_t event,
                            double normals[2 * WP_NORMAL_EVENTS]) WP_REALTIME;

#endif
