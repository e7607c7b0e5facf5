/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_SYNTH_CLONED_H
#define WINDPEAL_SYNTH_CLONED_H

/*
 * gcc on x86-64 with glibc compiles a WP_CLONED function three times and picks a version when the
 * program starts. The thread sanitizer cannot run the picking, so its build keeps the plain version.
 */
#if defined(__x86_64__) && defined(__GLIBC__) && defined(__GNUC__) && !defined(__clang__)
#if __GNUC__ >= 12 && !defined(__SANITIZE_THREAD__)
#define WP_CLONED __attribute__((target_clones("default", "arch=x86-64-v3", "arch=x86-64-v4")))
#endif
#endif
#ifndef WP_CLONED
#define WP_CLONED
#endif

#endif
