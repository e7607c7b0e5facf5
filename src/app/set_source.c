/* SPDX-License-Identifier: MIT */
/* Finds, reads and solves the set that a command line names. */
#include "app/set_source.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "app/preset.h"
#include "app/report.h"

/* The nearest preset, or those that there are: a bare name is meant for one of them. */
static enum wp_status refuse_preset(const char *name, struct wp_diags *diags)
{
    struct app_presets presets;
    const char *names[APP_PRESETS_MAX];
    char list[200];
    char hint[320];
    app_presets_list(&presets);
    app_presets_join(&presets, list, sizeof list);
    for (size_t i = 0; i < presets.n_names; i++) {
        names[i] = presets.names[i];
    }
    const char *near = wp_nearest_word(name, names, presets.n_names);
    if (near) {
        snprintf(hint, sizeof hint, "did you mean %s?", near);
    } else if (strpbrk(name, "/.")) {
        snprintf(hint, sizeof hint, "check the name and the folder");
    } else {
        snprintf(hint, sizeof hint, "presets: %s; the path of a set file will do as well", list);
    }
    return wp_diags_add(diags, WP_E_NO_FILE, name, (struct wp_mark){0, 0}, hint,
                        "there is no such set file or preset");
}

/* A path stays as it is; a bare name becomes the path of a preset. */
static enum wp_status find_set(const char *name, char path[PATH_MAX], struct wp_diags *diags)
{
    snprintf(path, PATH_MAX, "%s", name);
    if (access(path, F_OK) == 0 || app_preset_path(name, path, PATH_MAX)) {
        return WP_OK;
    }
    return refuse_preset(name, diags);
}

/* Reads the file and looks up every name in it, so that all errors come together. */
static enum wp_status read_set(struct app_set *loaded, const char *path,
                               const struct app_set_edits *edits, struct wp_diags *diags)
{
    const enum wp_status status =
        wp_set_load_edited(&loaded->set, path, edits->items, edits->n_items, diags);
    if (status == WP_OK || wp_status_is_input(status)) {
        wp_chime_check(&loaded->set, diags);
        wp_striker_init(&loaded->striker, &loaded->set, diags);
    }
    return status ? status : wp_diags_status(diags);
}

enum wp_status app_set_load(struct app_set *loaded, const char *name,
                            const struct wp_chime_config *config, struct wp_diags *diags)
{
    const struct app_set_edits none = {NULL, 0};
    return app_set_load_edited(loaded, name, &none, config, diags);
}

enum wp_status app_set_load_edited(struct app_set *loaded, const char *name,
                                   const struct app_set_edits *edits,
                                   const struct wp_chime_config *config, struct wp_diags *diags)
{
    char path[PATH_MAX];
    *loaded = (struct app_set){.chime = NULL};
    enum wp_status status = find_set(name, path, diags);
    if (!status) {
        status = read_set(loaded, path, edits, diags);
    }
    if (!status) {
        status = wp_chime_create(&loaded->chime, &loaded->set, config, diags);
    }
    if (!status) {
        status = wp_layout_init(&loaded->layout, &loaded->set, loaded->chime, diags);
    }
    loaded->context = (struct wp_strike_context){.set = &loaded->set,
                                                 .chime = loaded->chime,
                                                 .layout = &loaded->layout,
                                                 .striker = &loaded->striker};
    return status;
}

/* A path in a set file counts from the set file's folder. */
static void join_path(char path[PATH_MAX], const char *set_file, const char *name)
{
    const char *slash = strrchr(set_file, '/');
    const int folder = slash && name[0] != '/' ? (int)(slash + 1 - set_file) : 0;
    snprintf(path, PATH_MAX, "%.*s%s", folder, set_file, name);
}

enum wp_status app_set_load_room(struct app_set *loaded, int rate_hz,
                                 const struct wp_impulse **impulse, struct wp_diags *diags)
{
    char path[PATH_MAX];
    *impulse = NULL;
    if (loaded->set.room.kind != WP_ROOM_RECORDED) {
        return WP_OK;
    }
    join_path(path, loaded->set.file, loaded->set.room.impulse);
    wp_impulse_finish(&loaded->impulse);
    const enum wp_status status = wp_impulse_load(&loaded->impulse, path, rate_hz, diags);
    *impulse = status ? NULL : &loaded->impulse;
    return status;
}

void app_set_finish(struct app_set *loaded)
{
    wp_impulse_finish(&loaded->impulse);
    wp_chime_destroy(loaded->chime);
    loaded->chime = NULL;
}

void app_set_note(const struct app_set *loaded)
{
    const size_t n = loaded->chime->n_warnings + loaded->chime->n_warnings_left_out;
    if (n > 0) {
        app_note("%zu %s on the tubes; windpeal tubes %s shows them", n,
                 n == 1 ? "remark" : "remarks", loaded->set.file);
    }
}
