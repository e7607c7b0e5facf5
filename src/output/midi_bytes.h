/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_OUTPUT_MIDI_BYTES_H
#define WINDPEAL_OUTPUT_MIDI_BYTES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The bytes of a Standard MIDI File's chunks, growing as events are added. */

/* Owns bytes. Out of memory it takes nothing more and says so at the end. */
struct wp_midi_bytes {
    uint8_t *bytes;
    size_t n_bytes;
    size_t n_room;
    size_t chunk;  /* where the open chunk's length stands */
    uint64_t tick; /* of the last event of the open track */
    bool is_out_of_memory;
};

/* Most ticks between two events: a variable-length quantity has at most four bytes. */
enum { WP_MIDI_DELTA_MAX = 0x0FFFFFFF };

void wp_midi_put(struct wp_midi_bytes *midi, const void *bytes, size_t n_bytes);

/* A number of n_bytes bytes, the most significant first. */
void wp_midi_put_number(struct wp_midi_bytes *midi, uint32_t number, size_t n_bytes);

/* A variable-length quantity: seven bits a byte, the top bit set on all but the last. */
void wp_midi_put_length(struct wp_midi_bytes *midi, uint32_t number);

/* Begins and ends a chunk; a track begins at tick 0 and ends with its end-of-track event. */
void wp_midi_begin(struct wp_midi_bytes *midi, const char type[4]);
void wp_midi_end(struct wp_midi_bytes *midi);
void wp_midi_end_track(struct wp_midi_bytes *midi);

/* The time of the next event, which must not go back. */
void wp_midi_put_time(struct wp_midi_bytes *midi, uint64_t tick);

/* A meta event at the last event's time. */
void wp_midi_put_meta(struct wp_midi_bytes *midi, uint8_t type, const void *bytes, size_t n_bytes);

void wp_midi_finish(struct wp_midi_bytes *midi);

#endif
