/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_TEXT_FILE_H
#define WINDPEAL_APP_TEXT_FILE_H

#include <limits.h>
#include <stdbool.h>
#include <stdio.h>

#include "windpeal/status.h"

/* A text being written: under PATH.part, given its name when whole. */

/* Fill by printing to file and hand the outcome of every print to app_text_file_printed. */
struct app_text_file {
    FILE *file; /* NULL: not open */
    int reason; /* errno of the first failed print; 0: none */
    const char *path;
    char part[PATH_MAX];
    bool is_stdout;
    bool is_direct; /* a device or pipe: written as it is, nothing to rename */
};

/* True when path stands for standard output. */
bool app_is_stdout(const char *path);

/*
 * Opens path for writing; "-" is standard output. An existing path needs is_overwriting. The
 * reason of a failure is in diags; file is then NULL and there is nothing to clean up.
 */
enum wp_status app_text_file_open(struct app_text_file *text, const char *path, bool is_overwriting,
                                  struct wp_diags *diags);

/* The same for a table, whose name ends in .csv unless it is a device, a pipe or "-". */
enum wp_status app_table_file_open(struct app_text_file *text, const char *path,
                                   bool is_overwriting, struct wp_diags *diags);

/* Takes the result of printf or the like; false once one of them has failed. */
bool app_text_file_printed(struct app_text_file *text, int result);

/* Closes the file and gives it its name; on failure nothing stands under that name. */
enum wp_status app_text_file_commit(struct app_text_file *text, struct wp_diags *diags);

/* Closes an unfinished file; keeps PATH.part when is_kept, else removes it. Copes with a file
 * that is committed or was never opened. */
void app_text_file_abandon(struct app_text_file *text, bool is_kept);

/* Adds what an errno says about path to diags and returns WP_E_NO_SPACE or WP_E_IO. */
enum wp_status app_refuse_errno(struct wp_diags *diags, const char *path, const char *doing,
                                int reason);

#endif
