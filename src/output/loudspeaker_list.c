/* SPDX-License-Identifier: MIT */
/* Which loudspeakers there are, and which one is meant. */
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <time.h>

#include "output/loudspeaker.h"
#include "output/ward.h"
#include "windpeal/loudspeaker.h"

static const struct wp_mark nowhere = {0, 0};

/* How long the sound system may take to answer. */
static const int patience_ms = 3000;

/* Waits for the ward to finish; collects what it says. False: it was still busy. */
static bool wait_for(struct wp_ward *ward, struct wp_loudspeakers *list)
{
    enum { TICK_MS = 5 };
    static const struct timespec tick = {0, TICK_MS * 1000000};
    size_t n_noise = 0;
    bool is_alive = true;
    for (int waited_ms = 0; is_alive && waited_ms < patience_ms; waited_ms += TICK_MS) {
        is_alive = wp_ward_is_alive(ward);
        n_noise += wp_ward_listen(ward, list->noise + n_noise, sizeof list->noise - 1 - n_noise);
        if (is_alive) {
            nanosleep(&tick, NULL);
        }
    }
    return !is_alive;
}

enum wp_status wp_loudspeakers_list(struct wp_loudspeakers *list)
{
    struct wp_ring *ring;
    struct wp_ward ward;
    memset(list, 0, sizeof *list);
    enum wp_status status = wp_ring_create(&ring, sizeof list->items[0], WP_LOUDSPEAKERS_MAX);
    if (status) {
        return status;
    }
    status = wp_ward_start(&ward, wp_sound_system_look, ring);
    if (!status) {
        status = wait_for(&ward, list) && !ward.has_failed ? WP_OK : WP_E_DEVICE;
        wp_ward_end(&ward);
        list->n_items = wp_ring_read(ring, list->items, WP_LOUDSPEAKERS_MAX);
    }
    wp_ring_destroy(ring);
    return status;
}

static bool contains(const char *text, const char *part)
{
    const size_t length = strlen(part);
    for (; strlen(text) >= length; text++) {
        if (strncasecmp(text, part, length) == 0) {
            return true;
        }
    }
    return false;
}

/* The names that contain part, or all when none does, one after another. */
static void join_names(const struct wp_loudspeakers *list, const char *part, char *text,
                       size_t text_size)
{
    size_t used = 0;
    text[0] = '\0';
    for (size_t i = 0; i < list->n_items && used < text_size; i++) {
        if (!part || contains(list->items[i].name, part)) {
            used += (size_t)snprintf(text + used, text_size - used, "%s'%s'", used ? ", " : "",
                                     list->items[i].name);
        }
    }
}

static enum wp_status refuse(const struct wp_loudspeakers *list, const char *part, size_t n_found,
                             struct wp_diags *diags)
{
    char names[300];
    join_names(list, n_found ? part : NULL, names, sizeof names);
    if (n_found) {
        return wp_diags_add(diags, WP_E_AMBIGUOUS, NULL, nowhere, "give more of the name",
                            "'%s' fits more than one loudspeaker: %s", part, names);
    }
    char hint[320];
    snprintf(hint, sizeof hint, "there are %s", names);
    return wp_diags_add(diags, WP_E_UNKNOWN_NAME, NULL, nowhere, hint,
                        "no loudspeaker has '%s' in its name", part);
}

static size_t default_of(const struct wp_loudspeakers *list)
{
    for (size_t i = 0; i < list->n_items; i++) {
        if (list->items[i].is_default) {
            return i;
        }
    }
    return 0;
}

enum wp_status wp_loudspeakers_find(const struct wp_loudspeakers *list, const char *part,
                                    size_t *index, struct wp_diags *diags)
{
    size_t n_found = 0;
    size_t found = 0;
    if (list->n_items == 0) {
        return wp_diags_add(diags, WP_E_DEVICE, NULL, nowhere,
                            "is one plugged in and its sound server running?",
                            "there is no loudspeaker on this machine");
    }
    if (!part) {
        *index = default_of(list);
        return WP_OK;
    }
    for (size_t i = 0; i < list->n_items; i++) {
        if (strcasecmp(list->items[i].name, part) == 0) {
            *index = i;
            return WP_OK;
        }
        if (contains(list->items[i].name, part)) {
            found = i;
            n_found++;
        }
    }
    if (n_found != 1) {
        return refuse(list, part, n_found, diags);
    }
    *index = found;
    return WP_OK;
}
