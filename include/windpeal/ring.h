/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_RING_H
#define WINDPEAL_RING_H

#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"

/*
 * A queue between one writer and one reader, which may be two threads or two processes of one fork:
 * the only place where they meet. Neither ever waits for the other. Items are copied.
 */

struct wp_ring;

/**
 * Makes an empty ring in memory that stays shared with later forks.
 *
 * @param out        receives the ring; NULL on failure. Free with wp_ring_destroy in each process.
 * @param item_size  bytes of an item, 1 to 65536
 * @param n_items    room at least, 1 to 2^24; rounded up to a power of two
 * @return WP_OK, WP_E_RANGE, WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_ring_create(struct wp_ring **out, size_t item_size, size_t n_items);

/** Gives this process's view of the ring back; NULL is allowed. */
WP_API void wp_ring_destroy(struct wp_ring *ring);

/** For the writer: copies up to n_items in; returns how many found room. Real time: yes. */
WP_API size_t wp_ring_write(struct wp_ring *ring, const void *items, size_t n_items) WP_REALTIME;

/** For the reader: takes up to n_items out; returns how many there were. Real time: yes. */
WP_API size_t wp_ring_read(struct wp_ring *ring, void *items, size_t n_items) WP_REALTIME;

/** For the reader: passes over all that has been written. Real time: yes. */
WP_API void wp_ring_skip(struct wp_ring *ring) WP_REALTIME;

/** For either: items that wait; at once outdated by the other side. Real time: yes. */
WP_API size_t wp_ring_count(const struct wp_ring *ring) WP_REALTIME;

#endif
