/* SPDX-License-Identifier: MIT */
/* From a pitch to a length that can be cut. */
#include "tube/tuning.h"

#include <math.h>

#include "tube/pitch.h"
#include "tube/root.h"
#include "tube/section.h"

enum { FIRST = 0, FOURTH = 3, N_NEEDED = 4 };

/* Partial `index` of a tube, at any length, against a wanted frequency. */
struct target {
    struct wp_tube_spec spec;
    size_t index;
    double freq_hz;
};

static double partial_hz(const struct wp_tube_spec *spec, double length_m, size_t index)
{
    struct wp_tube_spec cut = *spec;
    double freqs_hz[N_NEEDED];
    cut.length_m = length_m;
    if (wp_tube_frequencies(&cut, freqs_hz, index + 1)) {
        return NAN;
    }
    return freqs_hz[index];
}

/* Longest first: the root search runs on the logarithm of the length, where it is nearly straight.
 */
static double cents_off(double log_length, const void *context)
{
    const struct target *target = context;
    return log(partial_hz(&target->spec, exp(log_length), target->index) / target->freq_hz);
}

/* An end mass of a short tube may outweigh it; the shortest length is where it weighs as much. */
static double shortest_m(const struct wp_tube_spec *spec)
{
    const double bore = fmax(spec->outer_diameter_m - 2.0 * spec->wall_m, 0.0);
    const double area =
        M_PI / 4.0 * (spec->outer_diameter_m * spec->outer_diameter_m - bore * bore);
    const double as_heavy = spec->end_mass_kg / (spec->material.density_kg_m3 * area);
    const double least_m =
        fmax(WP_LENGTH_MIN_DIAMETERS * spec->outer_diameter_m, 2.0 * spec->plug_length_m);
    return fmax(least_m, as_heavy * (1.0 + 1e-9));
}

static enum wp_status length_for_partial(const struct wp_tube_spec *spec, size_t index,
                                         double freq_hz, double *length_m)
{
    const struct target target = {.spec = *spec, .index = index, .freq_hz = freq_hz};
    const double low = log(shortest_m(spec));
    const double high = log(WP_LENGTH_MAX_M);
    const double at_low = cents_off(low, &target);
    const double at_high = cents_off(high, &target);
    if (!(low < high) || !(at_low >= 0.0 && at_high <= 0.0)) {
        return WP_E_RANGE;
    }
    /* To 10 nm: the last bits differ between compilers and must not reach a strike list. */
    *length_m = round(exp(wp_root_find(cents_off, &target, low, high)) * 1e8) * 1e-8;
    return WP_OK;
}

enum wp_status wp_tube_length_for(const struct wp_tube_spec *spec, enum wp_tuned_to tuned_to,
                                  double target_hz, double *length_m)
{
    if (!(target_hz > 0.0)) {
        return WP_E_RANGE;
    }
    /*
     * A pitch can be heard from a long tube's fourth partial or from a short tube's first. Who
     * tunes by heard pitch means the long tube, as far as it is one.
     */
    double longer_m = 0.0;
    if (tuned_to == WP_TUNED_HEARD_PITCH &&
        !length_for_partial(spec, FOURTH, 2.0 * target_hz, &longer_m) &&
        partial_hz(spec, longer_m, FIRST) < WP_HEARD_CROSSOVER_HZ) {
        *length_m = longer_m;
        return WP_OK;
    }
    const enum wp_status status = length_for_partial(spec, FIRST, target_hz, &longer_m);
    if (status) {
        return status;
    }
    if (tuned_to == WP_TUNED_HEARD_PITCH && target_hz < WP_HEARD_CROSSOVER_HZ) {
        return WP_E_RANGE; /* so low a first partial is not what is heard */
    }
    *length_m = longer_m;
    return WP_OK;
}

enum wp_status wp_tuned_pitch(const struct wp_tube_spec *spec, enum wp_tuned_to tuned_to,
                              double *freq_hz)
{
    double freqs_hz[N_NEEDED];
    const enum wp_status status = wp_tube_frequencies(spec, freqs_hz, N_NEEDED);
    if (!status) {
        *freq_hz = tuned_to == WP_TUNED_FIRST_PARTIAL
                       ? freqs_hz[FIRST]
                       : wp_heard_pitch(freqs_hz[FIRST], freqs_hz[FOURTH]).hz;
    }
    return status;
}

enum wp_status wp_tuning_reach(const struct wp_tube_spec *spec, enum wp_tuned_to tuned_to,
                               double *lowest_hz, double *highest_hz)
{
    struct wp_tube_spec cut = *spec;
    cut.length_m = shortest_m(spec);
    const enum wp_status status = wp_tuned_pitch(&cut, tuned_to, highest_hz);
    if (status) {
        return status;
    }
    cut.length_m = WP_LENGTH_MAX_M;
    return wp_tuned_pitch(&cut, tuned_to, lowest_hz);
}

double wp_length_rounded(double length_m, double rule_m)
{
    return rule_m > 0.0 ? round(length_m / rule_m) * rule_m : length_m;
}
