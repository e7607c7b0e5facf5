/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_RENDER_PASS_H
#define WINDPEAL_APP_RENDER_PASS_H

#include <stdint.h>

#include "app/command.h"
#include "app/render_job.h"

/* Does what a render job says: one pass over the sound, or one to meter it and one to write. */

/* What came out. */
struct app_render_result {
    struct wp_levels levels; /* calibrated: before the gain */
    double gain_db;
    double file_lufs; /* integrated loudness of the file as written; NAN: none */
    enum wp_level_bound bound;
    struct wp_variety variety;
    uint64_t n_clipped; /* samples of file and stems */
    double elapsed_s;   /* of all passes */
};

/*
 * Renders and writes. When a signal stops it, a playable PATH.part stays; with a level that needs
 * two passes and a signal during the first, that part holds the beginning only.
 *
 * result  out; complete only on WP_OK
 */
enum wp_status app_render_job_run(struct app_render_job *job, struct app_session *session,
                                  struct app_render_result *result);

#endif
