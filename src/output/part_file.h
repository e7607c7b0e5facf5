/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_OUTPUT_PART_FILE_H
#define WINDPEAL_OUTPUT_PART_FILE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "windpeal/status.h"

/*
 * An output file that gets its name when it is whole: until then its bytes stand in PATH.part in
 * the same folder. Standard output ("-") is written as it comes. Nothing is kept back in memory, so
 * whatever was appended survives the end of the process.
 */
struct wp_part_file {
    int descriptor; /* -1: closed */
    bool is_stream; /* standard output: no name, no way back */
    bool is_overwriting;
    char *path; /* owned; the final name */
    char *part_path;
    uint64_t n_bytes;    /* appended so far */
    uint64_t n_expected; /* bytes in the end, 0: unknown */
    uint64_t n_ready;    /* bytes that the disk was told to have room ready for */
    int error;           /* errno of the first write that failed, 0: none */
};

/* What wp_part_file_init would find in the way; opens and changes nothing. */
enum wp_status wp_part_file_check(const char *path, bool is_overwriting, struct wp_diags *diags);

/* What wp_part_file_reserve would say; what an interrupted run left in PATH.part counts as free. */
enum wp_status wp_part_file_check_room(const char *path, uint64_t n_bytes, uint64_t n_files,
                                       struct wp_diags *diags);

/*
 * Opens PATH.part, emptying what an interrupted run left there. What is in the way is a finding in
 * diags: WP_E_EXISTS (a file of that name, another process at work on it), WP_E_IO (no folder, not
 * writable).
 */
enum wp_status wp_part_file_init(struct wp_part_file *file, const char *path, bool is_overwriting,
                                 struct wp_diags *diags);

/* WP_E_NO_SPACE and a finding when n_bytes will not fit under the size limit, or n_files of them on
 * the disk. */
enum wp_status wp_part_file_reserve(const struct wp_part_file *file, uint64_t n_bytes,
                                    uint64_t n_files, struct wp_diags *diags);

/*
 * Tells how many bytes will be appended at most. The disk then has room ready for the next 16 MiB
 * of them, which takes it less time than to find room for each write; wp_part_file_cut gives back
 * what is not used.
 */
void wp_part_file_expect(struct wp_part_file *file, uint64_t n_bytes);

/*
 * Writes at the current place, or at offset without moving. WP_E_NO_SPACE, WP_E_IO. The first
 * failure is kept: from then on nothing more is appended.
 */
enum wp_status wp_part_file_append(struct wp_part_file *file, const void *bytes, size_t n_bytes);
enum wp_status wp_part_file_write_at(struct wp_part_file *file, uint64_t offset, const void *bytes,
                                     size_t n_bytes);

/* Cuts off what stands after n_bytes; nothing happens to a stream. */
enum wp_status wp_part_file_cut(struct wp_part_file *file, uint64_t n_bytes);

/* WP_OK, or what the first failed write means. */
enum wp_status wp_part_file_status(const struct wp_part_file *file);

/* Waits for what the disk says of all bytes; WP_OK, or what the first failed write means. */
enum wp_status wp_part_file_settle(struct wp_part_file *file);

/*
 * Settles the file and gives it its name; a file that has taken the name in the meantime is
 * WP_E_EXISTS unless overwriting. Only wp_part_file_finish, without a part to keep or remove, comes
 * after it.
 */
enum wp_status wp_part_file_commit(struct wp_part_file *file);

/* Closes and frees. Without a commit PATH.part stays, or is removed. */
void wp_part_file_finish(struct wp_part_file *file, bool is_keeping_part);

#endif
