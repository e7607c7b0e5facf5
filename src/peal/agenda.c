/* SPDX-License-Identifier: MIT */
/* Tells the bank what strikes do, in order of time. */

#include "peal/agenda.h"

#include <assert.h>
#include <math.h>

struct wp_entry *wp_agenda_add(struct wp_agenda *agenda)
{
    assert(!wp_agenda_is_full(agenda));
    struct wp_entry *entry = &agenda->entries[agenda->n++];
    entry->n_ways = 0;
    return entry;
}

size_t wp_entry_add_way(struct wp_entry *entry, size_t output)
{
    const size_t way = entry->n_ways++;
    entry->output[way] = output;
    entry->is_told[way] = false;
    entry->is_straight[way] = true;
    for (size_t i = 0; i < way; i++) {
        entry->is_straight[way] = entry->is_straight[way] && entry->output[i] != output;
    }
    return way;
}

/* In order of time: the bank goes back from the block's end and must not meet what came later. */
static void insert(struct wp_agenda *agenda, struct wp_agenda_event event)
{
    struct wp_agenda_event *events = agenda->events;
    if (agenda->n_events == WP_AGENDA_EVENTS_MAX) {
        return;
    }
    size_t place = agenda->n_events++;
    for (; place > 0 && events[place - 1].at > event.at; place--) {
        events[place] = events[place - 1];
    }
    events[place] = event;
}

/* The part of a contact in this block, from what else happens to the tube in it to the next. */
static void insert_fade(struct wp_agenda *agenda, size_t index, size_t way, double block_end)
{
    const struct wp_entry *entry = &agenda->entries[index];
    const double last = fmin(entry->end[way], block_end);
    double begin = fmax(entry->start[way], 0.0);
    for (size_t i = 0; i < agenda->n_events && begin < last; i++) {
        const struct wp_agenda_event *event = &agenda->events[i];
        const struct wp_entry *other = &agenda->entries[event->entry];
        const bool is_same = !event->is_fade && other->tube == entry->tube &&
                             other->output[event->way] == entry->output[way];
        if (is_same && event->at > begin && event->at < last) {
            const double at = event->at;
            insert(agenda,
                   (struct wp_agenda_event){begin, at, (uint16_t)index, (uint8_t)way, true});
            begin = at;
        }
    }
    if (begin < last) {
        insert(agenda, (struct wp_agenda_event){begin, last, (uint16_t)index, (uint8_t)way, true});
    }
}

static void list_events(struct wp_agenda *agenda, size_t first, double block_end)
{
    agenda->n_events = 0;
    for (size_t i = first; i < agenda->n; i++) {
        const struct wp_entry *entry = &agenda->entries[i];
        for (size_t way = 0; way < entry->n_ways; way++) {
            const double at = entry->end[way];
            if (!entry->is_told[way] && at < block_end) {
                insert(agenda, (struct wp_agenda_event){at, at, (uint16_t)i, (uint8_t)way, false});
            }
        }
    }
    for (size_t i = first; i < agenda->n; i++) {
        const struct wp_entry *entry = &agenda->entries[i];
        for (size_t way = 0; way < entry->n_ways; way++) {
            if (entry->is_blow && entry->is_straight[way] && !entry->is_told[way]) {
                insert_fade(agenda, i, way, block_end);
            }
        }
    }
}

static void tell_blow(const struct wp_entry *entry, size_t way, struct wp_bank *bank)
{
    const struct wp_bank_blow blow = {
        .voice = entry->tube,
        .ear = entry->output[way],
        .onset = entry->end[way],
        .amplitude = entry->re[way],
        .cosine = entry->im[way],
        .kept = entry->is_straight[way] ? entry->kept : NULL,
    };
    wp_bank_excite(bank, &blow);
}

static void tell_damping(const struct wp_entry *entry, size_t way, struct wp_bank *bank)
{
    const struct wp_bank_damping damping = {
        .voice = entry->tube,
        .ear = entry->output[way],
        .onset = entry->end[way],
        .added_per_s = entry->is_rest ? entry->kept : NULL,
    };
    wp_bank_damp(bank, &damping);
}

static void tell(struct wp_agenda *agenda, const struct wp_agenda_event *event,
                 struct wp_bank *bank)
{
    struct wp_entry *entry = &agenda->entries[event->entry];
    const size_t way = event->way;
    if (event->is_fade) {
        const struct wp_bank_fade fade = {.voice = entry->tube,
                                          .ear = entry->output[way],
                                          .from = entry->start[way],
                                          .to = entry->end[way],
                                          .kept = entry->kept,
                                          .begin = event->at,
                                          .end = event->end};
        wp_bank_fade(bank, &fade);
        return;
    }
    entry->is_told[way] = true;
    if (entry->is_blow) {
        tell_blow(entry, way, bank);
    } else {
        tell_damping(entry, way, bank);
    }
}

/* Moves on to the next block; true when there is still something to tell. */
static bool is_left(struct wp_entry *entry, double n_block)
{
    bool is_some = false;
    for (size_t way = 0; way < entry->n_ways; way++) {
        entry->start[way] -= n_block;
        entry->end[way] -= n_block;
        is_some = is_some || !entry->is_told[way];
    }
    return is_some;
}

void wp_agenda_tell(struct wp_agenda *agenda, size_t first, struct wp_bank *bank)
{
    const double n_block = (double)wp_bank_block(bank);
    list_events(agenda, first, n_block);
    for (size_t i = 0; i < agenda->n_events; i++) {
        tell(agenda, &agenda->events[i], bank);
    }
    size_t n_kept = first;
    for (size_t i = first; i < agenda->n; i++) {
        if (is_left(&agenda->entries[i], n_block)) {
            agenda->entries[n_kept] = agenda->entries[i];
            n_kept++;
        }
    }
    agenda->n = n_kept;
}
