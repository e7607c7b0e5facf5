/* SPDX-License-Identifier: MIT */
/* Switches the processor's treatment of subnormal numbers. */

#include "synth/subnormal.h"

#if defined(__x86_64__) || defined(__SSE2__)
#include <xmmintrin.h>

/* Flush to zero (bit 15, results) and denormals are zero (bit 6, operands); Intel SDM vol. 1,
 * 10.2.3 "MXCSR Control and Status Register", from memory. */
enum { MXCSR_FLUSH = 0x8040 };

uint64_t wp_subnormal_flush(void)
{
    const unsigned int setting = _mm_getcsr();
    _mm_setcsr(setting | MXCSR_FLUSH);
    return setting;
}

void wp_subnormal_restore(uint64_t setting)
{
    _mm_setcsr((unsigned int)setting);
}

#elif defined(__aarch64__)

/* FZ, bit 24 of FPCR (Arm Architecture Reference Manual for A-profile, FPCR, from memory). */
enum { FPCR_FLUSH = 1 << 24 };

uint64_t wp_subnormal_flush(void)
{
    uint64_t setting;
    __asm__ volatile("mrs %0, fpcr" : "=r"(setting));
    __asm__ volatile("msr fpcr, %0" : : "r"(setting | FPCR_FLUSH));
    return setting;
}

void wp_subnormal_restore(uint64_t setting)
{
    __asm__ volatile("msr fpcr, %0" : : "r"(setting));
}

#else

uint64_t wp_subnormal_flush(void)
{
    return 0;
}

void wp_subnormal_restore(uint64_t setting)
{
    (void)setting;
}

#endif
