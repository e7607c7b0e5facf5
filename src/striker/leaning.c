/* SPDX-License-Identifier: MIT */
/* Tells when a hanging striker comes to rest on a tube and when it leaves. */
#include "striker/leaning.h"

#include <math.h>

#include "base/exact.h"
#include "striker/blow.h"

static const double radian = 0x1.1df46a2529d39p-6; /* pi / 180 */

/* The least figure of a list: a leave must not look like a rest. */
static const double slowest_m_s = 1e-6;

static void describe(struct wp_strike *strike, const struct wp_hanging *hanging, size_t index,
                     double t_s)
{
    const struct wp_gap gap = wp_hanging_gap(hanging, index);
    const double parting_m_s = fmax(gap.opening_m_s, slowest_m_s);
    const double bearing_deg = wp_exact_atan2(gap.towards[0], gap.towards[1]) / radian;
    *strike = (struct wp_strike){
        .t_s = wp_figure_time(t_s),
        .tube = index,
        .speed_m_s = hanging->is_resting[index] ? 0.0 : -wp_figure_speed(parting_m_s),
        .bearing_deg = wp_figure_bearing(bearing_deg),
        .height_m = wp_figure_height(wp_hanging_height(hanging, index)),
        .impulse_n_s = 0.0,
    };
}

bool wp_leaning_next(struct wp_leaning *leaning, const struct wp_hanging *hanging, double t_s,
                     struct wp_strike *strike)
{
    if (leaning->n_told == 0 && hanging->n_resting == 0) {
        return false;
    }
    for (size_t i = 0; i < hanging->tubes.n_tubes; i++) {
        if (hanging->is_resting[i] != leaning->is_told[i]) {
            leaning->is_told[i] = hanging->is_resting[i];
            leaning->n_told += leaning->is_told[i] ? 1 : (size_t)-1;
            describe(strike, hanging, i, t_s);
            return true;
        }
    }
    return false;
}
