/* SPDX-License-Identifier: MIT */
/* Tells the intervals of a set, how rough they are, and smoother ones near them. */
#include "app/interval_report.h"

#include <math.h>
#include <stdio.h>

#include "app/blow_hint.h"
#include "app/help.h"
#include "app/json_text.h"
#include "windpeal/hearing.h"
#include "windpeal/quantity.h"

enum { INCH_DENOMINATOR = 64 };

/* What a listener hears of a tube just after a blow toward him: its bending partials, which move
 * when it is retuned. The ovalling ones hardly depend on its length, and die first. */
static void describe_voice(const struct wp_tube *tube, const double *level_db,
                           struct wp_voice *voice)
{
    voice->n_tones = tube->n_bending;
    for (size_t i = 0; i < tube->n_bending; i++) {
        voice->tones[i] = (struct wp_tone){
            .freq_hz = tube->partials[i].freq_hz,
            .amplitude = isfinite(level_db[i]) ? pow(10.0, level_db[i] / 20.0) : 0.0,
            .t60_s = tube->partials[i].t60_s,
        };
    }
}

static void solve(const struct app_set *loaded, const struct app_tube_levels *levels,
                  struct wp_interval_table *table)
{
    struct wp_voice voices[WP_TUBES_MAX];
    for (size_t i = 0; i < loaded->chime->n_tubes; i++) {
        describe_voice(&loaded->chime->tubes[i], levels->db[i], &voices[i]);
    }
    wp_interval_table_init(table, loaded->chime, loaded->set.tuned_to, voices);
}

static const char *note_of(const struct app_set *loaded, size_t index)
{
    const char *note = loaded->set.tubes[index].note;
    return note[0] ? note : "-";
}

static void print_smoother(const struct wp_smoother *smoother, bool is_in_inches)
{
    char length[32] = "-";
    if (isfinite(smoother->length_m) && is_in_inches) {
        wp_length_format_inch(smoother->length_m, INCH_DENOMINATOR, length, sizeof length);
    } else if (isfinite(smoother->length_m)) {
        wp_length_format_mm(smoother->length_m, length, sizeof length);
    }
    printf("  %8.1f  %+6.1f  %9.3f  %12s\n", smoother->cents, smoother->move_cents,
           smoother->roughness, length);
}

static void print_interval(const struct app_set *loaded, const struct wp_interval *interval,
                           bool is_in_inches)
{
    char tubes[32];
    char notes[64];
    snprintf(tubes, sizeof tubes, "%zu and %zu", interval->lower + 1, interval->upper + 1);
    snprintf(notes, sizeof notes, "%s %s", note_of(loaded, interval->lower),
             note_of(loaded, interval->upper));
    printf("%-9s  %-*s  %7.1f  %9.3f  %8.3f", tubes, app_field_width(notes, 15), notes,
           interval->cents, interval->roughness, interval->later);
    if (interval->n_smoother == 0) {
        printf("  %8s\n", "none");
    }
    for (size_t i = 0; i < interval->n_smoother; i++) {
        if (i > 0) {
            printf("%56s", "");
        }
        print_smoother(&interval->smoother[i], is_in_inches);
    }
}

void app_intervals_print(const struct app_set *loaded, const struct app_tube_levels *levels,
                         bool is_in_inches)
{
    struct wp_interval_table table;
    solve(loaded, levels, &table);
    printf("\nIntervals by %s, and roughness of tubes struck together at %.1f m/s\n\n",
           loaded->set.tuned_to == WP_TUNED_HEARD_PITCH ? "heard pitch" : "first partial",
           APP_TOLD_SPEED_M_S);
    printf("%-9s  %-15s  %7s  %9s  %8s  %8s  %6s  %9s  %12s\n", "tubes", "notes", "cents",
           "roughness", "in 0.5 s", "smoother", "move", "roughness", "upper tube");
    for (size_t i = 0; i < table.n_intervals; i++) {
        print_interval(loaded, &table.intervals[i], is_in_inches);
    }
    printf("%-9s  %-15s  %7s  %9.3f  %8.3f\n", "all", "", "", table.roughness, table.later);
    putchar('\n');
    app_print_wrapped(
        stdout,
        "Roughness is Hutchinson and Knopoff's, from the partials and levels at the listener. For "
        "comparison: harmonic tones C4 E4 G4 make 0.120, C4 D#4 F#4 0.201. 'Smoother' are the "
        "intervals within 60 cents at which the two tubes are least rough, with the upper tube's "
        "length for them; a moved tube changes its other intervals, so solve the set again. The "
        "figure for all grows with the number of tubes.",
        0);
}

static json_t *describe_smoother(const struct wp_interval *interval)
{
    json_t *array = json_array();
    for (size_t i = 0; i < interval->n_smoother; i++) {
        const struct wp_smoother *smoother = &interval->smoother[i];
        array = app_json_append(array, json_pack("{s:o, s:o, s:o, s:o}", "cents",
                                                 app_json_number(smoother->cents), "move_cents",
                                                 app_json_number(smoother->move_cents), "roughness",
                                                 app_json_number(smoother->roughness), "length_m",
                                                 app_json_number(smoother->length_m)));
    }
    return array;
}

static json_t *describe_interval(const struct wp_interval *interval)
{
    const struct wp_smoother none = {NAN, NAN, NAN, NAN};
    const struct wp_smoother *best = interval->n_smoother > 0 ? &interval->smoother[0] : &none;
    return json_pack(
        "{s:I, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "from",
        (json_int_t)interval->lower + 1, "to", (json_int_t)interval->upper + 1, "cents",
        app_json_number(interval->cents), "roughness", app_json_number(interval->roughness),
        "roughness_later", app_json_number(interval->later), "dissonance",
        app_json_number(interval->dissonance), "smoother_cents", app_json_number(best->cents),
        "smoother_move_cents", app_json_number(best->move_cents), "smoother_roughness",
        app_json_number(best->roughness), "smoother", describe_smoother(interval));
}

void app_intervals_describe(const struct app_set *loaded, const struct app_tube_levels *levels,
                            json_t **intervals, json_t **roughness)
{
    struct wp_interval_table table;
    solve(loaded, levels, &table);
    *intervals = json_array();
    for (size_t i = 0; i < table.n_intervals; i++) {
        *intervals = app_json_append(*intervals, describe_interval(&table.intervals[i]));
    }
    *roughness = json_pack(
        "{s:o, s:o, s:o, s:o, s:o}", "together", app_json_number(table.roughness), "together_later",
        app_json_number(table.later), "later_s", app_json_number(WP_ROUGH_LATER_S), "dissonance",
        app_json_number(table.dissonance), "speed_m_s", app_json_number(APP_TOLD_SPEED_M_S));
}
