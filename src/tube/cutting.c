/* SPDX-License-Identifier: MIT */
/* All tubes of a set, cut to length and solved. */
#include "windpeal/chime.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tube/material.h"
#include "tube/section.h"
#include "tube/tuning.h"
#include "tube/warning.h"
#include "windpeal/quantity.h"

/*
 * Nobody knows how the soft direction of a real tube comes to lie when it is hung. Steps of the
 * golden angle give every tube of a set another one, evenly spread, the same in every run.
 */
static const double GOLDEN_ANGLE_DEG = 137.50776405003785;

/* C-1, the lowest note that has a name, over A4: 69 semitones below. */
static const double LOWEST_NOTE = 0.018581361171917516;

/* A set on its way to a chime. */
struct job {
    const struct wp_set *set;
    const struct wp_chime_config *config;
    struct wp_diags *diags;
};

void wp_chime_config_default(struct wp_chime_config *config)
{
    *config = (struct wp_chime_config){.rule_m = 0.0, .without_air_mass = false, .max_hz = 16000.0};
}

/* "known: aluminium 6061-T6, ..." or the one that is nearly meant. */
static void hint_material(char *hint, size_t hint_size, const char *name)
{
    const char *words[WP_MATERIAL_WORDS_MAX];
    const size_t n_words = wp_material_words(words);
    const char *nearest = wp_nearest_word(name, words, n_words);
    size_t used = 0;
    if (nearest) {
        used = (size_t)snprintf(hint, hint_size, "did you mean '%s'? ", nearest);
    }
    for (size_t i = 0; wp_material_name(i) && used < hint_size; i++) {
        used += (size_t)snprintf(hint + used, hint_size - used, "%s%s",
                                 i ? ", " : "known: ", wp_material_name(i));
    }
}

static bool is_same_place(const struct wp_set_material *a, const struct wp_set_material *b)
{
    return a->mark.line == b->mark.line && a->mark.column == b->mark.column &&
           strcmp(a->name, b->name) == 0;
}

/* A material that the whole set shares is one mistake, not one a tube. */
static bool was_reported(const struct wp_set *set, size_t index)
{
    for (size_t i = 0; i < index; i++) {
        if (is_same_place(&set->tubes[i].material, &set->tubes[index].material)) {
            return true;
        }
    }
    return false;
}

static enum wp_status check_material(const struct wp_set *set, size_t index, struct wp_diags *diags)
{
    const struct wp_set_material *material = &set->tubes[index].material;
    if (material->is_custom || material->name[0] == '\0' || wp_material_find(material->name)) {
        return WP_OK;
    }
    if (was_reported(set, index)) {
        return WP_E_UNKNOWN_NAME;
    }
    char hint[sizeof diags->items[0].hint];
    hint_material(hint, sizeof hint, material->name);
    return wp_diags_add(diags, WP_E_UNKNOWN_NAME, set->file, material->mark, hint,
                        "unknown material '%s'; expected a name from the table or a mapping with "
                        "young_modulus and density",
                        material->name);
}

enum wp_status wp_chime_check(const struct wp_set *set, struct wp_diags *diags)
{
    enum wp_status first = WP_OK;
    for (size_t i = 0; i < set->n_tubes; i++) {
        const enum wp_status status = check_material(set, i, diags);
        first = first ? first : status;
    }
    return first;
}

/* The spec of a tube before it has a length; names are known. */
static void spec_init(struct wp_tube_spec *spec, const struct job *job, size_t index)
{
    const struct wp_set *set = job->set;
    const struct wp_set_tube *tube = &set->tubes[index];
    const struct wp_material *named = wp_material_find(tube->material.name);
    *spec = (struct wp_tube_spec){
        .material = tube->material.is_custom || !named ? tube->material.values : *named,
        .outer_diameter_m = tube->outer_diameter_m,
        .wall_m = tube->is_solid ? 0.5 * tube->outer_diameter_m : tube->wall_m,
        .length_m = tube->length_m,
        .end_mass_kg = tube->end_mass_kg,
        .plug_length_m = tube->plug_length_m,
        .ovality_01 = tube->ovality_01,
        .bore_offset_01 = tube->bore_offset_01,
        .temperature_c = set->temperature_c,
        .is_supported_at_node = set->is_supported_at_node,
        .support_m = set->support_m,
        .cord_kg_m = set->cord_kg_m,
        .is_held_rigid = set->layout.is_held_rigid,
        .mount_resistance_kg_s = set->layout.mount_resistance_kg_s,
        .without_air_mass = job->config->without_air_mass,
    };
    spec->material.young_modulus_pa *= tube->stiffness_ratio;
    wp_material_complete(&spec->material);
}

/* What the tubes share is one mistake, not one a tube. A mark without a line is no place. */
static bool was_told(const struct job *job, struct wp_mark mark)
{
    for (size_t i = 0; job->diags && mark.line > 0 && i < job->diags->n_items; i++) {
        const struct wp_diag *told = &job->diags->items[i];
        if (told->status && told->mark.line == mark.line && told->mark.column == mark.column) {
            return true;
        }
    }
    return false;
}

static enum wp_status report_fault(const struct job *job, size_t index, struct wp_mark mark,
                                   const char *fault)
{
    if (was_told(job, mark)) {
        return WP_E_RANGE;
    }
    return wp_diags_add(job->diags, WP_E_RANGE, job->set->file, mark, NULL,
                        "tube %zu cannot be: %s", index + 1, fault);
}

/* What a spec cannot be, told where its end mass or plug stands, or else at mark. */
static enum wp_status check_spec(const struct job *job, size_t index,
                                 const struct wp_tube_spec *spec, struct wp_mark mark)
{
    const struct wp_set_tube *tube = &job->set->tubes[index];
    enum wp_part part;
    const char *fault = wp_spec_fault_at(spec, &part);
    const struct wp_mark marks[] = {[WP_PART_TUBE] = mark,
                                    [WP_PART_END_MASS] = tube->mark_end_mass,
                                    [WP_PART_PLUG] = tube->mark_plug};
    return fault ? report_fault(job, index, marks[part], fault) : WP_OK;
}

/* A section that is impossible at any length. */
static enum wp_status check_section(const struct job *job, size_t index,
                                    const struct wp_tube_spec *spec)
{
    const struct wp_set_tube *tube = &job->set->tubes[index];
    struct wp_tube_spec longest = *spec;
    longest.length_m = WP_LENGTH_MAX_M;
    const char *fault = wp_material_fault(&spec->material);
    if (fault) {
        return report_fault(job, index, tube->material.mark, fault);
    }
    return check_spec(job, index, &longest, tube->mark_wall);
}

/* Whether the same tube without its end mass reaches so high. */
static bool does_end_mass_hinder(const struct job *job, const struct wp_tube_spec *spec,
                                 double note_hz)
{
    struct wp_tube_spec bare = *spec;
    double lowest_hz, highest_hz;
    bare.end_mass_kg = 0.0;
    bare.plug_length_m = 0.0;
    return spec->end_mass_kg > 0.0 &&
           !wp_tuning_reach(&bare, job->set->tuned_to, &lowest_hz, &highest_hz) &&
           note_hz <= highest_hz;
}

static enum wp_status report_reach(const struct job *job, size_t index,
                                   const struct wp_tube_spec *spec)
{
    const struct wp_set *set = job->set;
    const struct wp_set_tube *tube = &set->tubes[index];
    double lowest_hz, highest_hz;
    char lowest[24], highest[24];
    if (wp_tuning_reach(spec, set->tuned_to, &lowest_hz, &highest_hz)) {
        return report_fault(job, index, tube->mark, "no length of it is a tube");
    }
    lowest_hz = fmax(lowest_hz, set->reference_hz * LOWEST_NOTE);
    const enum wp_spelling spelling = wp_set_spelling(set, index);
    wp_note_format(lowest_hz, set->reference_hz, spelling, lowest, sizeof lowest);
    wp_note_format(highest_hz, set->reference_hz, spelling, highest, sizeof highest);
    if (tube->note_hz > highest_hz && does_end_mass_hinder(job, spec, tube->note_hz)) {
        return wp_diags_add(job->diags, WP_E_RANGE, set->file, tube->mark,
                            "a tube must weigh as much and be twice as long as what it holds",
                            "note %s is out of reach of tube %zu with an end mass of %.1f g; "
                            "expected a lighter or shorter one",
                            tube->note, index + 1, 1e3 * spec->end_mass_kg);
    }
    const char *hint = tube->note_hz > highest_hz
                           ? "a narrower tube reaches higher: it must be 3 diameters long"
                           : "choose a higher octave: a tube may be 12 m long at most";
    return wp_diags_add(job->diags, WP_E_RANGE, set->file, tube->mark, hint,
                        "note %s is out of reach of tube %zu (%.1f mm outer diameter); expected "
                        "%s to %s",
                        tube->note, index + 1, 1e3 * spec->outer_diameter_m, lowest, highest);
}

/* Finds the length of a tube that is given by its note, exact and as cut. */
static enum wp_status cut(struct wp_chime *chime, const struct job *job, size_t index,
                          struct wp_tube_spec *spec)
{
    const struct wp_set *set = job->set;
    const struct wp_set_tube *tube = &set->tubes[index];
    double *exact_m = &chime->exact_length_m[index];
    *exact_m = tube->length_m;
    if (!isnan(tube->length_m)) {
        return WP_OK;
    }
    if (wp_tube_length_for(spec, set->tuned_to, tube->note_hz, exact_m)) {
        return report_reach(job, index, spec);
    }
    double exact_hz = NAN, cut_hz = NAN;
    spec->length_m = *exact_m;
    wp_tuned_pitch(spec, set->tuned_to, &exact_hz);
    spec->length_m = wp_length_rounded(*exact_m, job->config->rule_m);
    wp_tuned_pitch(spec, set->tuned_to, &cut_hz);
    if (job->config->rule_m > 0.0) {
        chime->rounding_cents[index] = 1200.0 * log2(cut_hz / exact_hz);
    }
    return WP_OK;
}

static enum wp_status solve(struct wp_chime *chime, const struct job *job, size_t index)
{
    const struct wp_set *set = job->set;
    struct wp_tube *tube = &chime->tubes[index];
    struct wp_tube_spec spec;
    spec_init(&spec, job, index);
    enum wp_status status = check_section(job, index, &spec);
    if (!status) {
        status = cut(chime, job, index, &spec);
    }
    if (!status) {
        status = check_spec(job, index, &spec, set->tubes[index].mark);
    }
    if (status) {
        return status;
    }
    const char *fault = wp_support_fault(&spec);
    if (fault) {
        return report_fault(job, index, set->mark_support, fault);
    }
    status = wp_tube_solve(tube, &spec, job->config->max_hz);
    const double given_deg = set->tubes[index].soft_direction_deg;
    tube->axis_deg =
        fmod(isnan(given_deg) ? GOLDEN_ANGLE_DEG * (double)(index + 1) : given_deg + 360.0, 360.0);
    chime->hanging_kg += tube->mass_kg;
    chime->stock_m += spec.length_m;
    return status;
}

static enum wp_status solve_all(struct wp_chime *chime, const struct job *job)
{
    enum wp_status first = wp_chime_check(job->set, job->diags);
    if (first) {
        return first;
    }
    chime->n_tubes = job->set->n_tubes;
    for (size_t i = 0; i < chime->n_tubes; i++) {
        const enum wp_status status = solve(chime, job, i);
        first = first ? first : status;
    }
    return first;
}

enum wp_status wp_chime_create(struct wp_chime **out, const struct wp_set *set,
                               const struct wp_chime_config *config, struct wp_diags *diags)
{
    *out = NULL;
    struct wp_chime *chime = calloc(1, sizeof *chime);
    if (!chime) {
        return WP_E_NO_MEMORY;
    }
    const struct job job = {.set = set, .config = config, .diags = diags};
    const enum wp_status status = solve_all(chime, &job);
    if (status) {
        wp_chime_destroy(chime);
        return status;
    }
    wp_chime_warn(chime, set, config);
    *out = chime;
    return WP_OK;
}

void wp_chime_destroy(struct wp_chime *chime)
{
    free(chime);
}
