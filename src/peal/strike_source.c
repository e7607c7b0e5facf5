/* SPDX-License-Identifier: MIT */
/* Delivers strikes from a list or from wind and drive. */

#include "peal/strike_source.h"

#include <math.h>
#include <string.h>

void wp_strike_source_init_list(struct wp_strike_source *source, const struct wp_strike_list *list,
                                size_t n_tubes, double end_s)
{
    memset(source, 0, sizeof *source);
    source->list = list;
    source->end_s = end_s;
    wp_variety_init(&source->variety, n_tubes);
}

enum wp_status wp_strike_source_init_drive(struct wp_strike_source *source,
                                           const struct wp_wind_config *wind,
                                           const struct wp_strike_context *context, uint64_t seed,
                                           double end_s)
{
    memset(source, 0, sizeof *source);
    source->end_s = end_s;
    wp_variety_init(&source->variety, context->chime->n_tubes);
    enum wp_status status = wp_wind_create(&source->wind, wind);
    if (status) {
        return status;
    }
    const struct wp_drive_config drive = {
        .context = context,
        .wind = source->wind,
        .wind_step_s = wind->step_s,
        .seed = seed,
    };
    return wp_drive_create(&source->drive, &drive);
}

void wp_strike_source_finish(struct wp_strike_source *source)
{
    if (source->drive) {
        wp_drive_destroy(source->drive);
    }
    if (source->wind) {
        wp_wind_destroy(source->wind);
    }
    source->drive = NULL;
    source->wind = NULL;
}

static bool next_of_list(struct wp_strike_source *source, double until_s, struct wp_strike *strike)
{
    if (source->next >= source->list->n_items || source->list->items[source->next].t_s >= until_s) {
        return false;
    }
    *strike = source->list->items[source->next++];
    return true;
}

bool wp_strike_source_add(struct wp_strike_source *source, const struct wp_strike *strike)
{
    if (source->n_by_hand == WP_BY_HAND_MAX) {
        return false;
    }
    source->by_hand[source->n_by_hand++] = *strike;
    return true;
}

/* Those by hand first, last in first out: they all fall on the same moment. */
static bool next_of_all(struct wp_strike_source *source, double limit_s, struct wp_strike *strike)
{
    if (source->n_by_hand > 0) {
        *strike = source->by_hand[--source->n_by_hand];
        return true;
    }
    return source->list ? next_of_list(source, limit_s, strike)
                        : wp_drive_next(source->drive, limit_s, strike);
}

bool wp_strike_source_next(struct wp_strike_source *source, double until_s,
                           struct wp_strike *strike)
{
    const double limit_s = fmin(until_s, source->end_s);
    const bool is_found = next_of_all(source, limit_s, strike);
    if (is_found) {
        wp_variety_add(&source->variety, strike);
    }
    return is_found;
}
