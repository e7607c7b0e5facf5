/* SPDX-License-Identifier: MIT */
/* A queue between one writer and one reader, without locks. */
#include "windpeal/ring.h"

#include <stdalign.h>
#include <stdatomic.h>
#include <stdint.h>
#include <string.h>
#include <sys/mman.h>

enum { ITEM_SIZE_MAX = 65536, ITEMS_MAX = 1 << 24, CACHE_LINE = 64 };

/*
 * Both places count items since the beginning; they are far from wrapping round, and their
 * difference is what waits. Each has one writer. Publishing releases what was copied before, and
 * looking at the other side's place acquires it. Apart in memory, so that the two sides do not
 * fight for a cache line.
 */
struct wp_ring {
    size_t item_size;
    uint64_t n_items; /* a power of two */
    size_t mapped_size;
    alignas(CACHE_LINE) _Atomic uint64_t written;
    alignas(CACHE_LINE) _Atomic uint64_t read;
    alignas(CACHE_LINE) unsigned char items[];
};

_Static_assert(ATOMIC_LLONG_LOCK_FREE == 2, "places in a ring must not need a lock");

enum wp_status wp_ring_create(struct wp_ring **out, size_t item_size, size_t n_items)
{
    *out = NULL;
    if (item_size < 1 || item_size > ITEM_SIZE_MAX || n_items < 1 || n_items > ITEMS_MAX) {
        return WP_E_RANGE;
    }
    uint64_t rounded = 1;
    while (rounded < n_items) {
        rounded *= 2;
    }
    const size_t size = sizeof(struct wp_ring) + (size_t)rounded * item_size;
    struct wp_ring *ring =
        mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (ring == MAP_FAILED) {
        return WP_E_NO_MEMORY;
    }
    ring->item_size = item_size;
    ring->n_items = rounded;
    ring->mapped_size = size;
    atomic_init(&ring->written, 0);
    atomic_init(&ring->read, 0);
    /* Touched here, so that no page is missing when time is short. */
    memset(ring->items, 0, (size_t)rounded * item_size);
    *out = ring;
    return WP_OK;
}

void wp_ring_destroy(struct wp_ring *ring)
{
    if (ring) {
        munmap(ring, ring->mapped_size);
    }
}

/* Where an item lies, and how many follow it before the ring's end. */
static unsigned char *item_at(struct wp_ring *ring, uint64_t place, uint64_t *n_left)
{
    const uint64_t index = place & (ring->n_items - 1);
    *n_left = ring->n_items - index;
    return ring->items + (size_t)index * ring->item_size;
}

size_t wp_ring_write(struct wp_ring *ring, const void *items, size_t n_items)
{
    const uint64_t place = atomic_load_explicit(&ring->written, memory_order_relaxed);
    const uint64_t read = atomic_load_explicit(&ring->read, memory_order_acquire);
    const uint64_t room = ring->n_items - (place - read);
    const uint64_t n = n_items < room ? n_items : room;
    uint64_t n_left;
    unsigned char *to = item_at(ring, place, &n_left);
    const size_t first = (size_t)(n < n_left ? n : n_left) * ring->item_size;
    memcpy(to, items, first);
    memcpy(ring->items, (const unsigned char *)items + first, (size_t)n * ring->item_size - first);
    atomic_store_explicit(&ring->written, place + n, memory_order_release);
    return (size_t)n;
}

size_t wp_ring_read(struct wp_ring *ring, void *items, size_t n_items)
{
    const uint64_t place = atomic_load_explicit(&ring->read, memory_order_relaxed);
    const uint64_t written = atomic_load_explicit(&ring->written, memory_order_acquire);
    const uint64_t n = n_items < written - place ? n_items : written - place;
    uint64_t n_left;
    const unsigned char *from = item_at(ring, place, &n_left);
    const size_t first = (size_t)(n < n_left ? n : n_left) * ring->item_size;
    memcpy(items, from, first);
    memcpy((unsigned char *)items + first, ring->items, (size_t)n * ring->item_size - first);
    atomic_store_explicit(&ring->read, place + n, memory_order_release);
    return (size_t)n;
}

void wp_ring_skip(struct wp_ring *ring)
{
    const uint64_t written = atomic_load_explicit(&ring->written, memory_order_acquire);
    atomic_store_explicit(&ring->read, written, memory_order_release);
}

size_t wp_ring_count(const struct wp_ring *ring)
{
    const uint64_t read = atomic_load_explicit(&ring->read, memory_order_acquire);
    const uint64_t written = atomic_load_explicit(&ring->written, memory_order_acquire);
    return (size_t)(written - read);
}
