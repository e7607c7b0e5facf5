/* SPDX-License-Identifier: MIT */
/* Writes strikes as a Standard MIDI File. */
#include "windpeal/midi_file.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "output/midi_bytes.h"
#include "output/part_file.h"

static const struct wp_mark nowhere = {0, 0};

/* A quarter note a second of 1000 ticks: a tick is a millisecond. */
enum { TICKS_PER_QUARTER = 1000, QUARTER_US = 1000000 };

/* General MIDI sound set: program 15, Tubular Bells, sent as 14. */
enum { TUBULAR_BELLS = 14, DRUM_CHANNEL = 9, BEND_SEMITONES = 2, BEND_MIDDLE = 8192 };

enum { NOTE_OFF = 0x80, NOTE_ON = 0x90, CONTROL = 0xB0, PROGRAM = 0xC0, BEND = 0xE0 };

/* Key 69 is A at 440 Hz, whatever pitch the set was tuned from. */
struct pitch {
    int key;
    int bend; /* 0 to 16383, 8192: none */
};

static struct pitch pitch_of(double pitch_hz)
{
    const double semitones = 69.0 + 12.0 * log2(pitch_hz / 440.0);
    const double key = round(semitones);
    const double bend = (semitones - key) * BEND_MIDDLE / BEND_SEMITONES;
    return (struct pitch){(int)key, BEND_MIDDLE + (int)lround(bend)};
}

int wp_midi_velocity(double level_db)
{
    const double velocity = 127.0 * pow(10.0, level_db / 40.0);
    return (int)lround(fmin(fmax(velocity, 1.0), 127.0));
}

static unsigned int channel_of(size_t track)
{
    return (unsigned int)(track < DRUM_CHANNEL ? track : track + 1);
}

static uint64_t tick_of(double t_s)
{
    return (uint64_t)llround(1000.0 * fmax(t_s, 0.0));
}

static void put_event(struct wp_midi_bytes *midi, unsigned int kind, size_t track, int first,
                      int second)
{
    const uint8_t bytes[3] = {(uint8_t)(kind | channel_of(track)), (uint8_t)first, (uint8_t)second};
    wp_midi_put(midi, bytes, kind == PROGRAM ? 2 : 3);
}

static void put_header(struct wp_midi_bytes *midi, size_t n_tracks)
{
    wp_midi_begin(midi, "MThd");
    wp_midi_put_number(midi, 1, 2); /* type 1: tracks that sound together */
    wp_midi_put_number(midi, (uint32_t)n_tracks + 1, 2);
    wp_midi_put_number(midi, TICKS_PER_QUARTER, 2);
    wp_midi_end(midi);
}

static void put_tempo_track(struct wp_midi_bytes *midi, const char *title)
{
    static const uint8_t tempo[3] = {QUARTER_US >> 16, QUARTER_US >> 8 & 0xFF, QUARTER_US & 0xFF};
    wp_midi_begin(midi, "MTrk");
    wp_midi_put_length(midi, 0);
    wp_midi_put_meta(midi, 0x03, title, strlen(title));
    wp_midi_put_length(midi, 0);
    wp_midi_put_meta(midi, 0x51, tempo, sizeof tempo);
    wp_midi_end_track(midi);
}

/* Name, sound, bend range (registered parameter 0, closed again afterwards) and bend. */
static void put_set_up(struct wp_midi_bytes *midi, const struct wp_midi_file_config *config,
                       size_t track, struct pitch pitch)
{
    static const int controls[][2] = {{101, 0}, {100, 0},   {6, BEND_SEMITONES},
                                      {38, 0},  {101, 127}, {100, 127}};
    const char *name = config->tracks[track].name;
    wp_midi_put_length(midi, 0);
    wp_midi_put_meta(midi, 0x03, name, strlen(name));
    wp_midi_put_length(midi, 0);
    put_event(midi, PROGRAM, track, TUBULAR_BELLS, 0);
    for (size_t i = 0; i < sizeof controls / sizeof controls[0]; i++) {
        wp_midi_put_length(midi, 0);
        put_event(midi, CONTROL, track, controls[i][0], controls[i][1]);
    }
    wp_midi_put_length(midi, 0);
    put_event(midi, BEND, track, pitch.bend & 0x7F, pitch.bend >> 7);
}

/* A struck tube that still rings ends its note with the new one. Two strikes within a millisecond
 * are kept apart by one, or a reader would take the first for a note without length. */
static void put_track(struct wp_midi_bytes *midi, const struct wp_midi_file_config *config,
                      size_t track, double loudest_db)
{
    const struct pitch pitch = pitch_of(config->tracks[track].pitch_hz);
    const uint64_t ring = tick_of(fmax(config->tracks[track].ring_s, 0.001));
    uint64_t start = 0;
    bool is_ringing = false;
    wp_midi_begin(midi, "MTrk");
    put_set_up(midi, config, track, pitch);
    for (size_t i = 0; i < config->n_notes; i++) {
        const struct wp_midi_note *note = &config->notes[i];
        if (note->track != track) {
            continue;
        }
        uint64_t tick = tick_of(note->t_s);
        if (is_ringing) {
            tick = tick > start ? tick : start + 1;
            wp_midi_put_time(midi, tick < start + ring ? tick : start + ring);
            put_event(midi, NOTE_OFF, track, pitch.key, 64);
        }
        wp_midi_put_time(midi, tick);
        put_event(midi, NOTE_ON, track, pitch.key, wp_midi_velocity(note->level_db - loudest_db));
        start = tick;
        is_ringing = true;
    }
    if (is_ringing) {
        wp_midi_put_time(midi, start + ring);
        put_event(midi, NOTE_OFF, track, pitch.key, 64);
    }
    wp_midi_end_track(midi);
}

static enum wp_status check(const struct wp_midi_file_config *config, struct wp_diags *diags)
{
    if (config->n_tracks > WP_MIDI_TRACKS_MAX) {
        return wp_diags_add(diags, WP_E_RANGE, config->path, nowhere,
                            "write the list as .csv, or leave tubes out of the set",
                            "a MIDI file cannot hold %zu tubes; expected at most %d, since each "
                            "needs one of the 16 channels for its exact pitch and one is for drums",
                            config->n_tracks, WP_MIDI_TRACKS_MAX);
    }
    for (size_t i = 0; i < config->n_tracks; i++) {
        const double pitch_hz = config->tracks[i].pitch_hz;
        const bool is_usable = pitch_hz > 0.0 && isfinite(pitch_hz);
        const int key = is_usable ? pitch_of(pitch_hz).key : -1;
        if (key < 0 || key > 127) {
            return wp_diags_add(diags, WP_E_RANGE, config->path, nowhere, "write the list as .csv",
                                "no MIDI key for tube %zu at %.1f Hz; expected 8.2 Hz to 12.5 kHz",
                                i + 1, pitch_hz);
        }
    }
    return WP_OK;
}

static enum wp_status save(const struct wp_midi_file_config *config,
                           const struct wp_midi_bytes *midi, struct wp_diags *diags)
{
    struct wp_part_file file;
    enum wp_status status = wp_part_file_init(&file, config->path, config->is_overwriting, diags);
    if (status) {
        return status;
    }
    status = wp_part_file_append(&file, midi->bytes, midi->n_bytes);
    if (!status) {
        status = wp_part_file_commit(&file);
    }
    if (status) {
        wp_diags_add(diags, status, config->path, nowhere, NULL,
                     "the MIDI file was not written; %s", wp_status_text(status));
    }
    wp_part_file_finish(&file, false);
    return status;
}

enum wp_status wp_midi_file_write(const struct wp_midi_file_config *config, struct wp_diags *diags)
{
    struct wp_midi_bytes midi = {.bytes = NULL};
    double loudest_db = -(double)INFINITY;
    enum wp_status status = check(config, diags);
    if (status) {
        return status;
    }
    for (size_t i = 0; i < config->n_notes; i++) {
        loudest_db = fmax(loudest_db, config->notes[i].level_db);
    }
    put_header(&midi, config->n_tracks);
    put_tempo_track(&midi, config->title ? config->title : "");
    for (size_t i = 0; i < config->n_tracks; i++) {
        put_track(&midi, config, i, isfinite(loudest_db) ? loudest_db : 0.0);
    }
    status = midi.is_out_of_memory ? WP_E_NO_MEMORY : save(config, &midi, diags);
    wp_midi_finish(&midi);
    return status;
}
