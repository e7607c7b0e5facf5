/* SPDX-License-Identifier: MIT */
/* What a maker should know about solved tubes before cutting them. */
#include "tube/warning.h"

#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>

#include "tube/tuning.h"
#include "windpeal/quantity.h"

enum { LENGTH_SIZE = 32 };

/* The finest fraction that a tape shows. */
enum { INCH_DENOMINATOR = 64 };

static const double inch_m = 0.0254;

static void format_length(double length_m, const struct wp_chime_config *config,
                          char text[LENGTH_SIZE])
{
    if (config->is_in_inches) {
        wp_length_format_inch(length_m, INCH_DENOMINATOR, text, LENGTH_SIZE);
    } else {
        wp_length_format_mm(length_m, text, LENGTH_SIZE);
    }
}

/* By decimals: what a rule cuts off a length may be less than a fraction shows. */
static void format_exactly(double length_m, const struct wp_chime_config *config,
                           char text[LENGTH_SIZE])
{
    if (config->is_in_inches) {
        snprintf(text, LENGTH_SIZE, "%.3f in", length_m / inch_m);
    } else {
        snprintf(text, LENGTH_SIZE, "%.2f mm", 1e3 * length_m);
    }
}

static void add(struct wp_chime *chime, const char *code, size_t tube, const char *format, ...)
    WP_PRINTF(4, 5);

static void add(struct wp_chime *chime, const char *code, size_t tube, const char *format, ...)
{
    if (chime->n_warnings >= WP_CHIME_WARNINGS_MAX) {
        chime->n_warnings_left_out++;
        return;
    }
    struct wp_chime_warning *warning = &chime->warnings[chime->n_warnings++];
    warning->code = code;
    warning->tube = tube;
    va_list values;
    va_start(values, format);
    vsnprintf(warning->text, sizeof warning->text, format, values);
    va_end(values);
}

/* Below 8 diameters the section itself deforms in the upper partials. */
static void warn_stubby(struct wp_chime *chime, size_t i)
{
    const struct wp_tube_spec *spec = &chime->tubes[i].spec;
    const double slenderness = spec->length_m / spec->outer_diameter_m;
    if (slenderness < 8.0) {
        add(chime, "stubby", i,
            "only %.1f diameters long: the section deforms, so that the upper partials of the real "
            "tube lie lower than computed; a narrower tube is safer below 8 diameters",
            slenderness);
    }
}

static void warn_thin_wall(struct wp_chime *chime, size_t i)
{
    const struct wp_tube_spec *spec = &chime->tubes[i].spec;
    if (spec->wall_m < spec->outer_diameter_m / 40.0) {
        add(chime, "thin-wall", i,
            "the wall is only 1/%.0f of the diameter: the tube dents easily and its section gives "
            "way, so that the upper partials lie lower than computed; at least 1/40 is safer",
            spec->outer_diameter_m / spec->wall_m);
    }
}

static void warn_ovalling(struct wp_chime *chime, size_t i)
{
    const struct wp_tube *tube = &chime->tubes[i];
    if (tube->ovalling_from_hz < tube->partials[3].freq_hz) {
        add(chime, "ovalling", i,
            "from about %.0f Hz, below partial 4 (%.0f Hz), the wall also rings by going oval; "
            "these extra tones are in the sound and cloud its pitch; a thicker wall or a narrower "
            "tube "
            "lifts them",
            tube->ovalling_from_hz, tube->partials[3].freq_hz);
    }
}

static void warn_end_mass(struct wp_chime *chime, size_t i)
{
    const struct wp_tube *tube = &chime->tubes[i];
    struct wp_tube_spec bare = tube->spec;
    double first_hz;
    bare.end_mass_kg = 0.0;
    bare.plug_length_m = 0.0;
    if (tube->spec.end_mass_kg > 0.0 && !wp_tube_frequencies(&bare, &first_hz, 1)) {
        add(chime, "end-mass", i,
            "the end mass of %.1f g lowers partial 1 by %.0f cents: weigh what you mount, since "
            "each gram counts%s",
            1e3 * tube->spec.end_mass_kg, 1200.0 * log2(first_hz / tube->partials[0].freq_hz),
            tube->spec.plug_length_m > 0.0
                ? "; how much a plug stiffens the tube around it is left out"
                : ", and the computation takes it as a point without size");
    }
}

/* Compares with the same tube hung at the still point of partial 1. */
static void warn_support(struct wp_chime *chime, size_t i, const struct wp_chime_config *config)
{
    const struct wp_tube *tube = &chime->tubes[i];
    if (tube->spec.is_supported_at_node) {
        return;
    }
    struct wp_tube_spec better = tube->spec;
    struct wp_tube at_node;
    better.is_supported_at_node = true;
    if (wp_tube_solve(&at_node, &better, 0.0)) {
        return;
    }
    const double shortened = tube->partials[0].t60_s / at_node.partials[0].t60_s;
    if (shortened < 0.7) { /* less is hardly heard */
        char held[LENGTH_SIZE];
        char still[LENGTH_SIZE];
        format_length(tube->support_m[0], config, held);
        format_length(at_node.support_m[0], config, still);
        add(chime, "support", i,
            "held %s from the end, partial 1 rings for %.1f s; held at its still point, %s from "
            "the end, for %.1f s",
            held, tube->partials[0].t60_s, still, at_node.partials[0].t60_s);
    }
}

/*
 * A hole takes away about three times its volume of strain energy (dilute holes in a plate, E_eff =
 * E (1 - 3 porosity), any text on micromechanics): for 3 mm in 25.4 x 1.65 mm some 1 to 4 cents in
 * partials 1 to 4, vibrating along the drilling; across it next to nothing.
 */
static void warn_hole(struct wp_chime *chime, const struct wp_set *set,
                      const struct wp_chime_config *config)
{
    if (!isnan(set->hole_m)) {
        char hole[LENGTH_SIZE];
        format_length(set->hole_m, config, hole);
        add(chime, "hole", SIZE_MAX,
            "a hole of %s through both walls lowers vibration along the drilling by some 1 to "
            "4 cents and leaves vibration across it, so that every partial splits into two that "
            "beat slowly; the sound and the lengths computed here leave it out",
            hole);
    }
}

static void warn_bore(struct wp_chime *chime, size_t i)
{
    const struct wp_tube_spec *spec = &chime->tubes[i].spec;
    if (spec->bore_offset_01 > 0.0 && spec->wall_m >= 0.5 * spec->outer_diameter_m) {
        add(chime, "no-bore", i, "a rod has no bore: its bore_offset of %.1f %% is left out",
            100.0 * spec->bore_offset_01);
    }
}

static void warn_off_rule(struct wp_chime *chime, size_t i, const struct wp_set *set,
                          const struct wp_chime_config *config)
{
    const double length_m = set->tubes[i].length_m;
    const double nearest_m = wp_length_rounded(length_m, config->rule_m);
    if (!isnan(length_m) && fabs(nearest_m - length_m) > 1e-6) {
        char given[LENGTH_SIZE];
        char nearest[LENGTH_SIZE];
        format_exactly(length_m, config, given);
        format_exactly(nearest_m, config, nearest);
        add(chime, "off-rule", i,
            "the given length of %s is not a multiple of the rule and stays as given; the nearest "
            "is %s",
            given, nearest);
    }
}

static void warn_temperature(struct wp_chime *chime, size_t i, const struct wp_set *set)
{
    const struct wp_set_material *material = &set->tubes[i].material;
    const double warmer_k = set->temperature_c - 20.0;
    if (material->is_custom && isnan(material->values.stiffness_per_k) && fabs(warmer_k) > 0.5) {
        add(chime, "temperature", i,
            "the material gives no stiffness_per_k, so its stiffness at %.0f C is taken to be that "
            "at 20 C; metals change by 0.2 to 0.5 cents per degree",
            set->temperature_c);
    }
}

static void warn_partials(struct wp_chime *chime, size_t i, double max_hz)
{
    const struct wp_tube *tube = &chime->tubes[i];
    const double highest_hz = tube->partials[tube->n_bending - 1].freq_hz;
    if (tube->n_bending == WP_BENDING_MAX && highest_hz < max_hz) {
        add(chime, "partials", i, "only the lowest %d partials are computed, up to %.0f Hz",
            WP_BENDING_MAX, highest_hz);
    }
}

static void warn_mixed_pitch(struct wp_chime *chime)
{
    size_t n_from_fourth = 0;
    for (size_t i = 0; i < chime->n_tubes; i++) {
        n_from_fourth += chime->tubes[i].is_heard_from_fourth;
    }
    if (n_from_fourth > 0 && n_from_fourth < chime->n_tubes) {
        add(chime, "pitch-mixed", SIZE_MAX,
            "%zu of %zu tubes are so low that the ear takes their pitch from partial 4, the others "
            "are heard at partial 1: the set may not sound as the scale that was asked for",
            n_from_fourth, chime->n_tubes);
    }
}

void wp_chime_warn(struct wp_chime *chime, const struct wp_set *set,
                   const struct wp_chime_config *config)
{
    warn_mixed_pitch(chime);
    warn_hole(chime, set, config);
    for (size_t i = 0; i < chime->n_tubes; i++) {
        warn_stubby(chime, i);
        warn_thin_wall(chime, i);
        warn_ovalling(chime, i);
        warn_end_mass(chime, i);
        warn_bore(chime, i);
        warn_support(chime, i, config);
        warn_off_rule(chime, i, set, config);
        warn_temperature(chime, i, set);
        warn_partials(chime, i, config->max_hz);
    }
}
