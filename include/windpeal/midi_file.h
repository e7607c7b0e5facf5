/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_MIDI_FILE_H
#define WINDPEAL_MIDI_FILE_H

#include <stdbool.h>
#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"

/*
 * Standard MIDI Files (MIDI 1.0 Detailed Specification with RP-001, MIDI Manufacturers
 * Association): type 1, one tick a millisecond, a tempo track and then one track and one channel a
 * tube. Channel 10 is left out, since General MIDI plays drums on it. A tube's exact pitch is the
 * nearest key and a pitch bend of a channel whose range is set to two semitones: 0.02 cents.
 */

/** Tubes that a file can hold: each needs a channel that bends alone. */
enum { WP_MIDI_TRACKS_MAX = 15 };

struct wp_midi_track {
    char name[64];
    double pitch_hz; /**< 8.2 Hz to 12.5 kHz */
    double ring_s;   /**< how long a note lasts, unless the tube is struck again */
};

struct wp_midi_note {
    double t_s;
    size_t track;
    double level_db; /**< against any reference: the loudest note has velocity 127 */
};

struct wp_midi_file_config {
    const char *path; /**< "-" is standard output */
    bool is_overwriting;
    const char *title;
    const struct wp_midi_track *tracks;
    size_t n_tracks;
    const struct wp_midi_note *notes; /**< in order of time, from 0 */
    size_t n_notes;
};

/**
 * Key velocity, 1 to 127, of a note level_db below (that is, negative) the loudest one: 127 at 0 dB
 * and half of it 12 dB below, level = 40 log10(velocity / 127), as DLS Level 1 has synthesizers
 * read it (from memory).
 */
WP_API int wp_midi_velocity(double level_db);

/**
 * Writes the file under PATH.part and gives it its name when whole.
 *
 * @return WP_OK, or with a finding in diags: WP_E_RANGE (more than WP_MIDI_TRACKS_MAX tracks, a
 *         pitch that no key has), WP_E_EXISTS, WP_E_NO_SPACE, WP_E_IO; WP_E_NO_MEMORY
 */
WP_API enum wp_status wp_midi_file_write(const struct wp_midi_file_config *config,
                                         struct wp_diags *diags);

#endif
