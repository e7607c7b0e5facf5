/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_CONVOLVER_H
#define WINDPEAL_SYNTH_CONVOLVER_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"

/*
 * One feed through the impulse responses of one or two ears, in blocks: uniformly partitioned
 * convolution by overlap and save. A block's output is ready with its input, so nothing comes late.
 */

enum { WP_CONVOLVER_EARS_MAX = 2 };

struct wp_convolver;

/* Block size, a power of two from least up, that costs the least time for responses of n_response
 * frames. */
size_t wp_convolver_best_block(size_t n_response, size_t least);

/*
 * responses   n_ears impulse responses of n_response frames (at least 1); read, not kept
 * block       frames of a block, a power of two
 * returns WP_OK or WP_E_NO_MEMORY
 */
enum wp_status wp_convolver_create(struct wp_convolver **out, const float *const *responses,
                                   size_t n_ears, size_t n_response, size_t block);

/* Frees a convolver; NULL is allowed. */
void wp_convolver_destroy(struct wp_convolver *convolver);

/* Adds the answer to the next block of the feed to each ear's block. Silence costs nothing once the
 * responses have died away. */
void wp_convolver_render(struct wp_convolver *convolver, const float *feed,
                         float *const *ears) WP_REALTIME;

#endif
