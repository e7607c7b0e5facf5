/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_ARGUMENTS_H
#define WINDPEAL_APP_ARGUMENTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "app/options.h"
#include "windpeal/status.h"

/* A command line, read by the option table. */

enum { APP_OPERANDS_MAX = 4 };

/* Strings belong to argv. Values of options that were not given are zero. */
struct app_arguments {
    enum app_command_id command;
    size_t n_operands;
    const char *operands[APP_OPERANDS_MAX];
    bool is_given[APP_N_OPTIONS];
    const char *text[APP_N_OPTIONS];
    const char *again[APP_N_OPTIONS]; /* the second text of an option that may be given twice */
    double number[APP_N_OPTIONS];     /* of a quantity, SI */
    uint64_t whole[APP_N_OPTIONS];    /* of a whole number */
    size_t choice[APP_N_OPTIONS];     /* index of a choice */
};

/*
 * Reads argv[1] as the command and the rest as its options and operands. With --help anywhere the
 * operands are not checked.
 *
 * Returns WP_OK or the first error's status; every finding goes to diags.
 */
enum wp_status app_arguments_parse(struct app_arguments *arguments, int argc, char *const argv[],
                                   struct wp_diags *diags);

/* True when --json stands among the words, so that even a wrong command line answers in JSON. */
bool app_arguments_want_json(int argc, char *const argv[]);

/* Adds an error about the command line (no file) and returns its status; hint may be NULL. */
enum wp_status app_refuse(struct wp_diags *diags, enum wp_status status, const char *hint,
                          const char *format, ...) WP_PRINTF(4, 5);

/* Refuses two given options together; WP_OK when at most one of them is given. */
enum wp_status app_refuse_both(const struct app_arguments *arguments, enum app_option_id one,
                               enum app_option_id other, struct wp_diags *diags);

#endif
