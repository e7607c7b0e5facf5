/* SPDX-License-Identifier: MIT */
/* Touches of a hanging striker become strikes. */
#include "striker/heard.h"

#include <math.h>

#include "base/exact.h"
#include "striker/blow.h"

static const double radian = 0x1.1df46a2529d39p-6; /* pi / 180 */

/* Touches of one tube closer than this are one blow to the ear. */
static const double merged_s = 0.001;

void wp_heard_init(struct wp_heard *heard)
{
    *heard = (struct wp_heard){.is_pending = false};
    for (size_t i = 0; i < WP_TUBES_MAX; i++) {
        heard->last_s[i] = -1.0;
    }
}

void wp_heard_add(struct wp_heard *heard, const struct wp_meeting *meeting, double t_s)
{
    const bool is_merged = t_s - heard->last_s[meeting->tube] < merged_s;
    if (!meeting->is_heard || is_merged) {
        return;
    }
    const double bearing_deg = wp_exact_atan2(meeting->towards[0], meeting->towards[1]) / radian;
    heard->last_s[meeting->tube] = t_s;
    heard->is_pending = true;
    heard->pending = (struct wp_strike){
        .t_s = wp_figure_time(t_s),
        .tube = meeting->tube,
        .speed_m_s = wp_figure_speed(meeting->speed_m_s),
        .bearing_deg = wp_figure_bearing(bearing_deg),
        .height_m = wp_figure_height(meeting->height_m),
        .impulse_n_s = NAN,
    };
}

void wp_heard_look(struct wp_heard *heard, const struct wp_hanging *hanging, double t_s)
{
    if (!heard->is_pending) {
        heard->is_pending = wp_leaning_next(&heard->leaning, hanging, t_s, &heard->pending);
    }
}

bool wp_heard_take(struct wp_heard *heard, double until_s, struct wp_strike *strike)
{
    if (!heard->is_pending || !(heard->pending.t_s < until_s)) {
        return false;
    }
    *strike = heard->pending;
    heard->is_pending = false;
    return true;
}
