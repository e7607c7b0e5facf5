/* SPDX-License-Identifier: MIT */
#ifndef TESTS_FUZZ_TARGET_H
#define TESTS_FUZZ_TARGET_H

#include <stddef.h>
#include <stdint.h>

/*
 * What every fuzz_*.c defines: feeds one input to a parser, returns 0. The name is libFuzzer's
 * (LLVM documentation, "libFuzzer - a library for coverage-guided fuzz testing").
 */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#endif
