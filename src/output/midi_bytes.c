/* SPDX-License-Identifier: MIT */
/* Chunks and events of a Standard MIDI File. */
#include "output/midi_bytes.h"

#include <stdlib.h>
#include <string.h>

void wp_midi_put(struct wp_midi_bytes *midi, const void *bytes, size_t n_bytes)
{
    if (n_bytes > midi->n_room - midi->n_bytes) {
        const size_t n_room = 2 * (midi->n_room + n_bytes) + 256;
        uint8_t *larger = midi->is_out_of_memory ? NULL : realloc(midi->bytes, n_room);
        if (!larger) {
            midi->is_out_of_memory = true;
            return;
        }
        midi->bytes = larger;
        midi->n_room = n_room;
    }
    if (n_bytes > 0) {
        memcpy(midi->bytes + midi->n_bytes, bytes, n_bytes);
        midi->n_bytes += n_bytes;
    }
}

void wp_midi_put_number(struct wp_midi_bytes *midi, uint32_t number, size_t n_bytes)
{
    for (size_t i = n_bytes; i > 0; i--) {
        const uint8_t byte = (uint8_t)(number >> (8 * (i - 1)));
        wp_midi_put(midi, &byte, 1);
    }
}

void wp_midi_put_length(struct wp_midi_bytes *midi, uint32_t number)
{
    for (unsigned int shift = 21; shift > 0; shift -= 7) {
        if (number >> shift) {
            const uint8_t byte = (uint8_t)(0x80U | (number >> shift & 0x7FU));
            wp_midi_put(midi, &byte, 1);
        }
    }
    const uint8_t last = (uint8_t)(number & 0x7FU);
    wp_midi_put(midi, &last, 1);
}

void wp_midi_begin(struct wp_midi_bytes *midi, const char type[4])
{
    wp_midi_put(midi, type, 4);
    midi->chunk = midi->n_bytes;
    midi->tick = 0;
    wp_midi_put_number(midi, 0, 4);
}

void wp_midi_end(struct wp_midi_bytes *midi)
{
    if (midi->is_out_of_memory) {
        return;
    }
    const size_t length = midi->n_bytes - midi->chunk - 4;
    for (size_t i = 0; i < 4; i++) {
        midi->bytes[midi->chunk + i] = (uint8_t)(length >> (24 - 8 * i));
    }
}

void wp_midi_end_track(struct wp_midi_bytes *midi)
{
    wp_midi_put_length(midi, 0);
    wp_midi_put_meta(midi, 0x2F, NULL, 0);
    wp_midi_end(midi);
}

void wp_midi_put_time(struct wp_midi_bytes *midi, uint64_t tick)
{
    uint64_t delta = tick - midi->tick;
    for (; delta > WP_MIDI_DELTA_MAX; delta -= WP_MIDI_DELTA_MAX) {
        wp_midi_put_length(midi, WP_MIDI_DELTA_MAX);
        wp_midi_put_meta(midi, 0x01, NULL, 0); /* an empty text bridges a silence of days */
    }
    wp_midi_put_length(midi, (uint32_t)delta);
    midi->tick = tick;
}

void wp_midi_put_meta(struct wp_midi_bytes *midi, uint8_t type, const void *bytes, size_t n_bytes)
{
    const uint8_t head[2] = {0xFF, type};
    wp_midi_put(midi, head, 2);
    wp_midi_put_length(midi, (uint32_t)n_bytes);
    wp_midi_put(midi, bytes, n_bytes);
}

void wp_midi_finish(struct wp_midi_bytes *midi)
{
    free(midi->bytes);
    *midi = (struct wp_midi_bytes){.bytes = NULL};
}
