/* SPDX-License-Identifier: MIT */
/* Any bytes as a set file: a good set is possible and can be written, and a bad one says where. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz_target.h"
#include "windpeal/set.h"

/* A set without findings holds no number that a later room could trip over. */
static void check_set(const struct wp_set *set)
{
    if (set->n_tubes < 1 || set->n_tubes > WP_TUBES_MAX) {
        abort();
    }
    for (size_t i = 0; i < set->n_tubes; i++) {
        const struct wp_set_tube *tube = &set->tubes[i];
        if (!(tube->wall_m > 0.0) || !(tube->wall_m <= 0.5 * tube->outer_diameter_m) ||
            isnan(tube->length_m) == isnan(tube->note_hz) || !isfinite(tube->end_mass_kg)) {
            abort();
        }
    }
    if (!(set->site_height_m > set->site_roughness_m) || !isfinite(set->temperature_c) ||
        !(set->striker.mass_kg > 0.0) ||
        !(set->drive.statistical.full_at_m_s > set->drive.statistical.calm_below_m_s)) {
        abort();
    }
}

/* What is written of a set reads back, with the same name and as many tubes. */
static void check_writing(const struct wp_set *set)
{
    char *text = NULL;
    size_t text_size = 0;
    struct wp_set again;
    FILE *file = open_memstream(&text, &text_size);
    if (!file || wp_set_print(file, set) < 0 || fclose(file)) {
        abort();
    }
    if (wp_set_parse(&again, "again", text, text_size, NULL) || again.n_tubes != set->n_tubes ||
        strcmp(again.name, set->name) != 0) {
        fwrite(text, 1, text_size, stderr);
        abort();
    }
    free(text);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct wp_set set;
    struct wp_diags diags;
    wp_diags_init(&diags);
    const enum wp_status status = wp_set_parse(&set, "fuzz", (const char *)data, size, &diags);
    if ((status != WP_OK) != (diags.n_errors > 0) ||
        memchr(set.name, '\0', sizeof set.name) == NULL) {
        abort();
    }
    if (!status) {
        check_set(&set);
        check_writing(&set);
    }
    return 0;
}
