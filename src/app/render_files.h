/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_RENDER_FILES_H
#define WINDPEAL_APP_RENDER_FILES_H

#include <limits.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "app/render_job.h"
#include "windpeal/sound_file.h"

/*
 * The sound file of a rendering and, beside it, one file a tube: all take the same gain and get
 * their names together, when all are whole.
 */

struct app_render_files {
    const struct app_render_job *job;
    struct wp_sound_file *mix;
    struct wp_sound_file *stems[WP_TUBES_MAX];
    char stem_paths[WP_TUBES_MAX][PATH_MAX];
    size_t n_stems;
    bool is_folder_made;
    bool is_committed;
};

/* What would keep app_render_files_open from opening them; changes nothing. */
enum wp_status app_render_files_check(const struct app_render_job *job, struct wp_diags *diags);

/* Opens them, and makes the folder of the stems; end with app_render_files_finish, also on failure.
 */
enum wp_status app_render_files_open(struct app_render_files *files,
                                     const struct app_render_job *job, double gain_db,
                                     struct wp_diags *diags);

/* Files: that of the mix, number 0, and those of the tubes. */
size_t app_render_files_count(const struct app_render_files *files);

/* Appends frames to one of the files; each may be written by a thread of its own. */
enum wp_status app_render_files_write(struct app_render_files *files, size_t number,
                                      const float *frames, size_t n_frames);

/* Tells of a file that could not be written; returns status. */
enum wp_status app_render_files_refuse(const struct app_render_files *files, size_t number,
                                       enum wp_status status, struct wp_diags *diags);

/* Completes all files, then gives them their names, that of the mix last. */
enum wp_status app_render_files_commit(struct app_render_files *files, struct wp_diags *diags);

/* Samples of all files that did not fit into full scale. */
uint64_t app_render_files_clipped(const struct app_render_files *files);

/* Closes them; without a commit playable parts stay, but no empty folder. */
void app_render_files_finish(struct app_render_files *files);

#endif
