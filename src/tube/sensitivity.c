/* SPDX-License-Identifier: MIT */
/* How far pitches move with sizes and stiffness, and what bought stock makes of that. */
#include "windpeal/tolerance.h"

#include <math.h>

#include "tube/material.h"
#include "tube/split.h"
#include "tube/stock.h"

enum { FIRST = 0, FOURTH = 3 };

/* A tube, the partial that it is tuned by, and which of its numbers is moved. */
struct slope {
    struct wp_tube_spec spec;
    size_t partial; /* index */
};

static double cents_at(const struct slope *slope, const struct wp_tube_spec *spec)
{
    double freqs_hz[FOURTH + 1];
    if (wp_tube_frequencies(spec, freqs_hz, slope->partial + 1)) {
        return NAN;
    }
    return 1200.0 * log2(freqs_hz[slope->partial]);
}

/*
 * Cents per unit of a number in the spec: a central difference of step to either side. At the edge
 * of what a tube can be, one side is missing and the other one has to do.
 */
static double slope_of(const struct slope *slope, struct wp_tube_spec *moved, double *number,
                       double step)
{
    const double middle = *number;
    *number = middle + step;
    double above = cents_at(slope, moved);
    double width = 2.0 * step;
    *number = middle - step;
    double below = cents_at(slope, moved);
    *number = middle;
    if (isnan(above) || isnan(below)) {
        const double here = cents_at(slope, moved);
        above = isnan(above) ? here : above;
        below = isnan(below) ? here : below;
        width = step;
    }
    return (above - below) / width;
}

/* Small beside anything that curves, large beside the rounding of a root (1e-14): a slope is right
 * to about 1e-7 of itself. */
static const double STEP_01 = 1e-4;

/* A rod's wall goes with its diameter. */
static double diameter_slope(const struct slope *slope, bool is_solid)
{
    struct wp_tube_spec moved = slope->spec;
    if (!is_solid) {
        return slope_of(slope, &moved, &moved.outer_diameter_m, STEP_01 * moved.outer_diameter_m);
    }
    const double step_m = STEP_01 * moved.outer_diameter_m;
    moved.outer_diameter_m += step_m;
    moved.wall_m += 0.5 * step_m;
    const double above = cents_at(slope, &moved);
    moved.outer_diameter_m -= 2.0 * step_m;
    moved.wall_m -= step_m;
    return (above - cents_at(slope, &moved)) / (2.0 * step_m);
}

static void solve_sensitivity(struct wp_sensitivity *sensitivity, const struct slope *slope,
                              bool is_solid)
{
    struct wp_tube_spec moved = slope->spec;
    const double per_wall =
        is_solid ? (double)NAN
                 : slope_of(slope, &moved, &moved.wall_m, STEP_01 * slope->spec.wall_m);
    const double per_length =
        slope_of(slope, &moved, &moved.length_m, STEP_01 * slope->spec.length_m);
    const double per_pascal = slope_of(slope, &moved, &moved.material.young_modulus_pa,
                                       STEP_01 * slope->spec.material.young_modulus_pa);
    const double per_kelvin = slope_of(slope, &moved, &moved.temperature_c, 0.5);
    *sensitivity = (struct wp_sensitivity){
        .wall_cents = 1e-4 * per_wall,
        .diameter_cents = 1e-4 * diameter_slope(slope, is_solid),
        .length_cents = 1e-3 * per_length,
        .stiffness_cents = 0.01 * slope->spec.material.young_modulus_pa * per_pascal,
        .kelvin_cents = per_kelvin,
    };
}

static void solve_effect(struct wp_stock_effect *effect, const struct wp_tolerance *tolerance,
                         const struct wp_tube_spec *spec)
{
    const struct wp_sensitivity *slope = &tolerance->sensitivity;
    struct wp_tube_spec flawed = *spec;
    flawed.ovality_01 = effect->stock.ovality_01;
    flawed.bore_offset_01 = effect->stock.bore_offset_01;
    effect->diameter_cents = fabs(slope->diameter_cents) * effect->stock.diameter_m / 1e-4;
    effect->wall_cents =
        isnan(slope->wall_cents) ? 0.0 : fabs(slope->wall_cents) * effect->stock.wall_m / 1e-4;
    effect->stiffness_cents = slope->stiffness_cents * 100.0 * tolerance->stiffness_01;
    effect->together_cents =
        hypot(hypot(effect->diameter_cents, effect->wall_cents), effect->stiffness_cents);
    effect->split_cents = wp_split_cents(&flawed);
}

/* What is known of a material by its name; a mapping has been measured by who wrote it. */
static double stiffness_uncertainty(const struct wp_set_material *material)
{
    const struct wp_material_uncertainty *known =
        material->is_custom ? NULL : wp_material_uncertainty(material->name);
    return known ? known->stiffness_01 : 0.0;
}

void wp_tolerance_solve(struct wp_tolerance *tolerance, const struct wp_set *set,
                        const struct wp_chime *chime, size_t tube)
{
    const struct wp_set_tube *given = &set->tubes[tube];
    const struct wp_tube *solved = &chime->tubes[tube];
    const bool is_from_fourth =
        set->tuned_to == WP_TUNED_HEARD_PITCH && solved->is_heard_from_fourth;
    const struct slope slope = {.spec = solved->spec, .partial = is_from_fourth ? FOURTH : FIRST};
    struct wp_stock stocks[WP_STOCKS_MAX];
    *tolerance = (struct wp_tolerance){
        .partial = (int)slope.partial + 1,
        .stiffness_01 = stiffness_uncertainty(&given->material),
        .n_stocks = wp_stock_list(wp_stock_kind_of(&given->material), given->is_solid,
                                  given->outer_diameter_m, given->wall_m, stocks),
    };
    solve_sensitivity(&tolerance->sensitivity, &slope, given->is_solid);
    for (size_t i = 0; i < tolerance->n_stocks; i++) {
        tolerance->stocks[i].stock = stocks[i];
        solve_effect(&tolerance->stocks[i], tolerance, &solved->spec);
    }
}
