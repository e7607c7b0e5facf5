/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_SET_SOURCE_H
#define WINDPEAL_APP_SET_SOURCE_H

#include "windpeal/chime.h"
#include "windpeal/contact.h"
#include "windpeal/impulse.h"
#include "windpeal/layout.h"
#include "windpeal/set.h"
#include "windpeal/status.h"
#include "windpeal/strike.h"

/* The set that a command line names: read, solved and hung up. */

/* Must not move once loaded: context points into it. */
struct app_set {
    struct wp_set set;
    struct wp_chime *chime;
    struct wp_striker striker;
    struct wp_layout layout;
    struct wp_strike_context context;
    struct wp_impulse impulse; /* of a recorded room, once loaded */
};

/*
 * Loads a set. name is a path, or the bare name of a preset, which is looked for as NAME.yaml in
 * ./presets and then in the installed data. One run finds every error of the file.
 *
 * loaded  out; end it with app_set_finish, also on failure
 */
enum wp_status app_set_load(struct app_set *loaded, const char *name,
                            const struct wp_chime_config *config, struct wp_diags *diags);

/* Values to put into the set file before it is read. */
struct app_set_edits {
    const struct wp_set_edit *items;
    size_t n_items;
};

/* The same with edits. */
enum wp_status app_set_load_edited(struct app_set *loaded, const char *name,
                                   const struct app_set_edits *edits,
                                   const struct wp_chime_config *config, struct wp_diags *diags);

/*
 * Reads the impulse response that the set's room names, at a rate, if it names one; its place
 * counts from the set file's folder.
 *
 * impulse  out: of the set for a peal's config, or NULL
 */
enum wp_status app_set_load_room(struct app_set *loaded, int rate_hz,
                                 const struct wp_impulse **impulse, struct wp_diags *diags);

/* Frees what the set owns. */
void app_set_finish(struct app_set *loaded);

/* Notes on stderr how many remarks on the tubes there are, and where they are told. */
void app_set_note(const struct app_set *loaded);

#endif
