/* SPDX-License-Identifier: MIT */
/* Makes notes of a MIDI file out of strikes. */
#include "app/midi_list.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "app/blow_hint.h"
#include "windpeal/level.h"
#include "windpeal/quantity.h"

/* Energies of the partials add. */
static double told_level_db(const struct app_set *loaded, size_t tube)
{
    double level_db[WP_PARTIALS_MAX];
    double power = 0.0;
    wp_strike_levels(&loaded->context, tube, APP_TOLD_SPEED_M_S, level_db);
    for (size_t i = 0; i < loaded->chime->tubes[tube].n_partials; i++) {
        power += isfinite(level_db[i]) ? pow(10.0, level_db[i] / 10.0) : 0.0;
    }
    return power > 0.0 ? 10.0 * log10(power) : 0.0;
}

/* A note lasts as long as the partial that gives the pitch rings. */
static void describe_track(struct wp_midi_track *track, const struct app_set *loaded, size_t tube)
{
    const struct wp_tube *solved = &loaded->chime->tubes[tube];
    char note[32];
    wp_note_format(solved->heard_hz, loaded->set.reference_hz, wp_set_spelling(&loaded->set, tube),
                   note, sizeof note);
    snprintf(track->name, sizeof track->name, "tube %zu, %s", tube + 1, note);
    track->pitch_hz = solved->heard_hz;
    const size_t leading = solved->is_heard_from_fourth && solved->n_partials > 3 ? 3 : 0;
    track->ring_s = solved->partials[leading].t60_s;
}

void app_midi_list_init(struct app_midi_list *list, const struct app_set *loaded)
{
    *list = (struct app_midi_list){.loaded = loaded};
    for (size_t i = 0; i < loaded->chime->n_tubes; i++) {
        struct wp_contact contact;
        app_blow_solve(loaded, i, &contact);
        describe_track(&list->tracks[i], loaded, i);
        list->level_db[i] = told_level_db(loaded, i);
        list->impulse_n_s[i] = contact.impulse_n_s;
    }
}

void app_midi_list_add(struct app_midi_list *list, const struct wp_strike *strike)
{
    if (!wp_strike_is_blow(strike)) {
        return;
    }
    if (list->n_notes == list->n_room) {
        const size_t n_room = 2 * list->n_room + 1024;
        struct wp_midi_note *larger =
            list->is_out_of_memory ? NULL : realloc(list->notes, n_room * sizeof *larger);
        if (!larger) {
            list->is_out_of_memory = true;
            return;
        }
        list->notes = larger;
        list->n_room = n_room;
    }
    const double raised_db = 20.0 * log10(strike->impulse_n_s / list->impulse_n_s[strike->tube]);
    list->notes[list->n_notes++] =
        (struct wp_midi_note){strike->t_s, strike->tube, list->level_db[strike->tube] + raised_db};
}

enum wp_status app_midi_list_write(const struct app_midi_list *list, const char *path,
                                   bool is_overwriting, struct wp_diags *diags)
{
    if (list->is_out_of_memory) {
        return WP_E_NO_MEMORY;
    }
    const struct wp_midi_file_config config = {
        .path = path,
        .is_overwriting = is_overwriting,
        .title = list->loaded->set.name,
        .tracks = list->tracks,
        .n_tracks = list->loaded->chime->n_tubes,
        .notes = list->notes,
        .n_notes = list->n_notes,
    };
    return wp_midi_file_write(&config, diags);
}

void app_midi_list_finish(struct app_midi_list *list)
{
    free(list->notes);
    list->notes = NULL;
}
