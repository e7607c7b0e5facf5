/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_PEAL_AGENDA_H
#define WINDPEAL_PEAL_AGENDA_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "synth/bank.h"
#include "windpeal/attributes.h"

/* What the bank is still to be told of strikes, rests and leaves, way by way in order of time; at
 * one moment in the order of adding. */

/*
 * A strike on its way from contact to free ringing, or a rest or leave that is still to be heard.
 * Times are as each way of the sound brings it, in frames of the block. Of all ways to one output
 * of the bank the first is the straight one: by it comes what the contact takes from the ringing,
 * for the bank keeps no echoes apart.
 */
struct wp_entry {
    size_t tube;
    bool is_blow;
    bool is_rest;
    size_t n_ways;
    size_t output[WP_BANK_WAYS_MAX];
    bool is_straight[WP_BANK_WAYS_MAX];
    bool is_told[WP_BANK_WAYS_MAX];
    double start[WP_BANK_WAYS_MAX];    /* of the contact */
    double end[WP_BANK_WAYS_MAX];      /* of the contact; of a rest or leave its moment */
    double kept[WP_BANK_PARTIALS_MAX]; /* share of what rang before; of a rest the added decay */
    double re[WP_BANK_WAYS_MAX][WP_BANK_PARTIALS_MAX]; /* what rings at the contact's end */
    double im[WP_BANK_WAYS_MAX][WP_BANK_PARTIALS_MAX];
};

/*
 * Entries whose contact, by the slowest way, has not ended by the end of a block. When more than
 * this fall into one block the rest waits for the next and joins in its place in time, short of
 * some milliseconds.
 */
enum { WP_AGENDA_MAX = 128 };

/* What the bank is told in a block of one entry by one way. */
struct wp_agenda_event {
    double at;
    double end; /* of a fade's part */
    uint16_t entry;
    uint8_t way;
    bool is_fade;
};

/* Room for every entry by every way and a fade in two parts; a crowd's fades may be cut short. */
enum { WP_AGENDA_EVENTS_MAX = 3 * WP_AGENDA_MAX * WP_BANK_WAYS_MAX };

/* Zeros are an empty one. */
struct wp_agenda {
    size_t n;
    struct wp_entry entries[WP_AGENDA_MAX];
    size_t n_events; /* of the block that is told */
    struct wp_agenda_event events[WP_AGENDA_EVENTS_MAX];
};

static inline bool wp_agenda_is_full(const struct wp_agenda *agenda)
{
    return agenda->n == WP_AGENDA_MAX;
}

/* A new entry without ways, to be filled; not when full. */
struct wp_entry *wp_agenda_add(struct wp_agenda *agenda) WP_REALTIME;

/* Adds a way to an output; returns its index. */
size_t wp_entry_add_way(struct wp_entry *entry, size_t output) WP_REALTIME;

/*
 * Tells the bank the part of the block just rendered of all entries from first on, and moves them
 * on to the next block; those that are done go.
 */
void wp_agenda_tell(struct wp_agenda *agenda, size_t first, struct wp_bank *bank) WP_REALTIME;

#endif
