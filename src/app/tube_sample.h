/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_TUBE_SAMPLE_H
#define WINDPEAL_APP_TUBE_SAMPLE_H

#include <jansson.h>
#include <stdint.h>

#include "app/arguments.h"
#include "app/set_source.h"
#include "windpeal/tolerance.h"

/* What `windpeal tubes --sample` does: plausible sets as set files, and how far they spread. */

/* Paths and pitches of a sample. Set up and ended by the functions below. */
struct app_sample {
    size_t n_sets;
    uint64_t seed;
    struct wp_tolerance tolerances[WP_TUBES_MAX];
    struct app_sampled *sampled; /* n_sets */
};

/*
 * Draws the sets that the command line asks for and writes them, all or none. Refuses files that
 * exist already, without --overwrite.
 *
 * sample: out; end it with app_sample_finish, also on failure
 */
enum wp_status app_sample_make(struct app_sample *sample, const struct app_arguments *arguments,
                               const struct app_set *loaded, struct wp_diags *diags);

/* Prints files, spread and the worst interval on stdout. */
void app_sample_print(const struct app_sample *sample, const struct app_set *loaded);

/* The same as a JSON object; NULL without memory. */
json_t *app_sample_describe(const struct app_sample *sample, const struct app_set *loaded);

/* Frees what the sample owns; its files stay. */
void app_sample_finish(struct app_sample *sample);

#endif
