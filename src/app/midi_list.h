/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_MIDI_LIST_H
#define WINDPEAL_APP_MIDI_LIST_H

#include "app/set_source.h"
#include "windpeal/midi_file.h"
#include "windpeal/strike.h"

/* Strikes collected for a MIDI file, which holds one tube after the other. */

/* Owns notes. Out of memory it takes nothing more and says so when written. */
struct app_midi_list {
    const struct app_set *loaded;
    struct wp_midi_track tracks[WP_TUBES_MAX];
    double level_db[WP_TUBES_MAX];    /* of a told hit at the listener */
    double impulse_n_s[WP_TUBES_MAX]; /* of that hit */
    struct wp_midi_note *notes;
    size_t n_notes;
    size_t n_room;
    bool is_out_of_memory;
};

/* Begins; loaded must outlive the list. */
void app_midi_list_init(struct app_midi_list *list, const struct app_set *loaded);

/*
 * Takes a strike. Its level is that of the tube's partials at the listener after a gentle hit,
 * raised by the strike's impulse over that hit's: direction and brightness are left out.
 */
void app_midi_list_add(struct app_midi_list *list, const struct wp_strike *strike);

/* Writes the file. */
enum wp_status app_midi_list_write(const struct app_midi_list *list, const char *path,
                                   bool is_overwriting, struct wp_diags *diags);

/* Frees the notes. */
void app_midi_list_finish(struct app_midi_list *list);

#endif
