/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_ATTRIBUTES_H
#define WINDPEAL_ATTRIBUTES_H

/* Marks on declarations: what the shared library exports, what may run in an audio callback. */

#if defined(__GNUC__)
#define WP_API __attribute__((visibility("default")))
#define WP_PRINTF(text_at, first) __attribute__((format(printf, text_at, first)))
#else
#define WP_API
#define WP_PRINTF(text_at, first)
#endif

/* The function never allocates, locks, does I/O or waits. */
#if defined(__clang__) && defined(__has_attribute)
#if __has_attribute(nonblocking)
#define WP_REALTIME __attribute__((nonblocking))
#endif
#endif
#ifndef WP_REALTIME
#define WP_REALTIME
#endif

#endif
