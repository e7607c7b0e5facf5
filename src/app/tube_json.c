/* SPDX-License-Identifier: MIT */
/* Prints the tubes of a set as JSON. */
#include <math.h>
#include <stdint.h>

#include "app/blow_hint.h"
#include "app/interval_report.h"
#include "app/json_text.h"
#include "app/tolerance_report.h"
#include "app/tube_report.h"
#include "windpeal/level.h"

static json_t *describe_losses(const struct wp_losses *losses)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o}", "material", app_json_number(losses->material),
                     "thermoelastic", app_json_number(losses->thermoelastic), "viscous",
                     app_json_number(losses->viscous), "radiation",
                     app_json_number(losses->radiation), "support",
                     app_json_number(losses->support));
}

static json_t *describe_partial(const struct wp_partial *partial, double level_db, double power_w)
{
    return json_pack("{s:s, s:i, s:i, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "family",
                     partial->family == WP_OVALLING ? "ovalling" : "bending", "order",
                     partial->order, "n", partial->n, "hz", app_json_number(partial->freq_hz),
                     "split_cents", app_json_number(partial->split_cents), "t60_s",
                     app_json_number(partial->t60_s), "loss", describe_losses(&partial->losses),
                     "level_db", app_json_number(level_db), "power_w", app_json_number(power_w),
                     "diffuse_db",
                     app_json_number(wp_diffuse_level_db(power_w, WP_ROOM_ABSORPTION_M2)));
}

static json_t *describe_partials(const struct app_set *loaded, const double *level_db, size_t index)
{
    const struct wp_tube *tube = &loaded->chime->tubes[index];
    double power_w[WP_PARTIALS_MAX];
    json_t *partials = json_array();
    wp_strike_powers(&loaded->context, index, APP_TOLD_SPEED_M_S, power_w);
    for (size_t i = 0; i < tube->n_partials; i++) {
        partials = app_json_append(partials,
                                   describe_partial(&tube->partials[i], level_db[i], power_w[i]));
    }
    return partials;
}

static json_t *describe_blow(const struct app_set *loaded, size_t index)
{
    struct wp_contact contact;
    app_blow_solve(loaded, index, &contact);
    return json_pack("{s:o, s:o, s:o, s:o}", "speed_m_s", app_json_number(APP_TOLD_SPEED_M_S),
                     "impulse_n_s", app_json_number(contact.impulse_n_s), "duration_s",
                     app_json_number(contact.duration_s), "cutoff_hz",
                     app_json_number(wp_contact_cutoff_hz(&contact)));
}

static const char *heard_from(enum wp_heard_from from)
{
    static const char *const words[] = {
        [WP_HEARD_FIRST] = "first partial",
        [WP_HEARD_HALF_FOURTH] = "half of partial 4",
        [WP_HEARD_FITTED] = "partials 4, 5, 6 as 2:3:4",
    };
    return words[from];
}

static json_t *describe_heard(const struct wp_tube *tube)
{
    json_t *array = json_array();
    for (size_t i = 0; i < tube->n_heard; i++) {
        const struct wp_heard_candidate *heard = &tube->heard[i];
        array =
            app_json_append(array, json_pack("{s:o, s:s, s:o}", "hz", app_json_number(heard->hz),
                                             "from", heard_from(heard->from), "uncertainty_cents",
                                             app_json_number(heard->uncertainty_cents)));
    }
    return array;
}

static json_t *describe_tube(const struct app_tube_report *report, size_t index)
{
    const struct app_set *loaded = report->loaded;
    const struct wp_chime *chime = loaded->chime;
    const struct wp_tube *tube = &chime->tubes[index];
    const char *note = loaded->set.tubes[index].note;
    return json_pack(
        "{s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:s, s:o, s:o, s:o, s:o, "
        "s:o, s:o}",
        "number", (json_int_t)index + 1, "note", note[0] ? app_json_string(note) : json_null(),
        "length_m", app_json_number(chime->exact_length_m[index]), "cut_length_m",
        app_json_number(tube->spec.length_m), "rounding_cents",
        app_json_number(chime->rounding_cents[index]), "outer_diameter_m",
        app_json_number(tube->spec.outer_diameter_m), "wall_m", app_json_number(tube->spec.wall_m),
        "mass_kg", app_json_number(tube->mass_kg), "support_m",
        app_json_numbers(tube->support_m, 2), "clearance_m",
        app_json_number(loaded->layout.clearance_m[index]), "first_hz",
        app_json_number(tube->partials[0].freq_hz), "heard_hz", app_json_number(tube->heard_hz),
        "heard_from", heard_from(tube->heard[0].from), "heard_uncertainty_cents",
        app_json_number(tube->heard[0].uncertainty_cents), "heard_second_hz",
        app_json_number(tube->n_heard > 1 ? tube->heard[1].hz : (double)NAN), "heard_candidates",
        describe_heard(tube), "ovalling_from_hz", app_json_number(tube->ovalling_from_hz),
        "contact", describe_blow(loaded, index), "partials",
        describe_partials(loaded, report->levels->db[index], index));
}

static json_t *describe_warning(const char *code, size_t tube, const char *text)
{
    return json_pack("{s:s, s:o, s:o}", "code", code, "tube",
                     tube == SIZE_MAX ? json_null() : json_integer((json_int_t)tube + 1), "text",
                     app_json_string(text));
}

static json_t *describe_warnings(const struct app_set *loaded)
{
    const struct wp_chime *chime = loaded->chime;
    json_t *warnings = json_array();
    for (size_t i = 0; i < chime->n_warnings; i++) {
        const struct wp_chime_warning *warning = &chime->warnings[i];
        warnings = app_json_append(warnings,
                                   describe_warning(warning->code, warning->tube, warning->text));
    }
    for (size_t i = 0; i < chime->n_tubes; i++) {
        char text[400];
        if (app_blow_is_soft(loaded, i, text, sizeof text)) {
            warnings = app_json_append(warnings, describe_warning("soft-striker", i, text));
        }
    }
    return warnings;
}

/* Adds a member to an object and returns it; frees both and returns NULL when either is NULL. */
static json_t *with_member(json_t *object, const char *key, json_t *value)
{
    if (object && value && json_object_set(object, key, value) == 0) {
        json_decref(value);
        return object;
    }
    json_decref(value);
    json_decref(object);
    return NULL;
}

enum wp_status app_tube_report_print_json(const struct app_tube_report *report)
{
    const struct app_set *loaded = report->loaded;
    const struct wp_chime *chime = loaded->chime;
    json_t *tubes = json_array();
    for (size_t i = 0; i < chime->n_tubes; i++) {
        tubes = app_json_append(tubes, describe_tube(report, i));
    }
    json_t *root = json_pack(
        "{s:o, s:o, s:o, s:o, s:o, s:I}", "set", app_json_string(loaded->set.name), "tubes", tubes,
        "hanging_kg", app_json_number(chime->hanging_kg + loaded->striker.mass_kg), "stock_m",
        app_json_number(chime->stock_m), "warnings", describe_warnings(loaded), "warnings_left_out",
        (json_int_t)chime->n_warnings_left_out);
    json_t *intervals;
    json_t *roughness;
    app_intervals_describe(loaded, report->levels, &intervals, &roughness);
    root = with_member(with_member(root, "intervals", intervals), "roughness", roughness);
    if (report->has_tolerances) {
        root = with_member(root, "tolerance", app_tolerance_describe(loaded));
    }
    if (report->sample) {
        root = with_member(root, "sample", app_sample_describe(report->sample, loaded));
    }
    return app_json_print(root);
}
