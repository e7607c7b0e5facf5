/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_OUTPUT_WARD_H
#define WINDPEAL_OUTPUT_WARD_H

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

#include "windpeal/status.h"

/*
 * A process of our own that does one thing which may hang or crash. It can be ended at any time and
 * ends with its parent. What it writes to standard error is caught.
 */

struct wp_ward {
    pid_t pid;       /* 0: ended */
    int noise_fd;    /* -1: none */
    bool has_failed; /* ended, and not of its own accord */
};

/* What it does; it shares ring and mapped memory with us, everything else is a copy. */
typedef void wp_ward_work(void *task);

/* Forks. The caller should have no other thread. WP_OK or WP_E_DEVICE; then there is no ward. */
enum wp_status wp_ward_start(struct wp_ward *ward, wp_ward_work *work, void *task);

/* Whether it still works; false also for no ward. */
bool wp_ward_is_alive(struct wp_ward *ward);

/* Waits up to most_ms for it to end of its own accord; true when it has ended. */
bool wp_ward_await(struct wp_ward *ward, int most_ms);

/* Takes up to text_size bytes that it wrote to standard error; never waits. */
size_t wp_ward_listen(struct wp_ward *ward, char *text, size_t text_size);

/* Ends it wherever it is; allowed for none. */
void wp_ward_end(struct wp_ward *ward);

/* For the ward: whether its parent is gone. */
bool wp_ward_is_orphan(pid_t parent);

#endif
