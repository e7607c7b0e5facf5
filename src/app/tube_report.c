/* SPDX-License-Identifier: MIT */
/* Prints the tubes of a set as a table for the workbench. */
#include "app/tube_report.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "app/blow_hint.h"
#include "app/help.h"
#include "app/interval_report.h"
#include "app/tolerance_report.h"
#include "windpeal/quantity.h"

/* Standard acceleration of free fall, CGPM 1901. */
static const double gravity_m_s2 = 9.80665;

/* International yard and pound agreement, 1959. */
static const double inch_m = 0.0254;

enum { INCH_DENOMINATOR = 64, N_TOLD_T60 = 4 };

static void format_length(const struct app_tube_report *report, double length_m, char *text,
                          size_t text_size)
{
    if (report->is_in_inches) {
        wp_length_format_inch(length_m, INCH_DENOMINATOR, text, text_size);
    } else {
        wp_length_format_mm(length_m, text, text_size);
    }
}

static void print_length(const struct app_tube_report *report, double length_m, int width)
{
    char text[32];
    format_length(report, length_m, text, sizeof text);
    printf("  %*s", width, text);
}

/* Diameters and walls are bought by decimals, not cut by fractions. */
static void format_section(const struct app_tube_report *report, double size_m, char *text,
                           size_t text_size)
{
    if (report->is_in_inches) {
        snprintf(text, text_size, "%.3f in", size_m / inch_m);
    } else {
        snprintf(text, text_size, "%.2f mm", 1000.0 * size_m);
    }
}

/* What all tubes have in common is said once, above the table. */
static void print_stock_line(const struct app_tube_report *report)
{
    const struct wp_set *set = &report->loaded->set;
    const struct wp_set_tube *first = &set->tubes[0];
    bool is_uniform = true;
    for (size_t i = 1; i < set->n_tubes; i++) {
        const struct wp_set_tube *tube = &set->tubes[i];
        is_uniform = is_uniform && strcmp(tube->material.name, first->material.name) == 0 &&
                     tube->outer_diameter_m == first->outer_diameter_m &&
                     tube->wall_m == first->wall_m;
    }
    printf("%s: %zu %s", set->name, set->n_tubes, set->n_tubes == 1 ? "tube" : "tubes");
    if (!is_uniform) {
        puts(" of more than one kind");
        return;
    }
    char outside[32];
    char wall[32];
    format_section(report, first->outer_diameter_m, outside, sizeof outside);
    format_section(report, first->wall_m, wall, sizeof wall);
    printf(" of %s, %s outside", first->material.name, outside);
    if (first->is_solid) {
        puts(", solid");
    } else {
        printf(", wall %s\n", wall);
    }
}

static void print_heading(const struct app_tube_report *report)
{
    const int width = report->is_in_inches ? 12 : 10;
    printf("\n%4s  %-8s  %*s", "tube", "note", width, "length");
    if (report->is_rounded) {
        printf("  %*s  %6s", width, "cut", "cents");
    }
    printf("  %*s  %*s  %*s  %17s  %8s  %s\n", width, "hang at", width, "and at", width,
           "clearance", "heard", "mass", "T60 of partials 1 to 4");
}

static void print_t60(const struct wp_tube *tube)
{
    for (size_t i = 0; i < N_TOLD_T60 && i < tube->n_partials; i++) {
        printf(" %5.1f", tube->partials[i].t60_s);
    }
    puts(" s");
}

static void print_tube(const struct app_tube_report *report, size_t index)
{
    const int width = report->is_in_inches ? 12 : 10;
    const struct wp_set *set = &report->loaded->set;
    const struct wp_chime *chime = report->loaded->chime;
    const struct wp_tube *tube = &chime->tubes[index];
    char heard[32];
    const char *note = set->tubes[index].note;
    wp_note_format(tube->heard_hz, set->reference_hz, wp_set_spelling(set, index), heard,
                   sizeof heard);
    printf("%4zu  %-*s", index + 1, app_field_width(note, 8), note[0] ? note : "-");
    print_length(report, chime->exact_length_m[index], width);
    if (report->is_rounded) {
        print_length(report, tube->spec.length_m, width);
        printf("  %+6.1f", chime->rounding_cents[index]);
    }
    print_length(report, tube->support_m[0], width);
    print_length(report, tube->support_m[1], width);
    print_length(report, report->loaded->layout.clearance_m[index], width);
    printf("  %7.1f Hz %-7s%c  %6.0f g ", tube->heard_hz, heard,
           tube->is_heard_from_fourth ? '*' : ' ', 1000.0 * tube->mass_kg);
    print_t60(tube);
}

/* "3" in bending, "oval 2,0" in ovalling: waves round the tube, circles at rest along it. */
static void format_partial(const struct wp_partial *partial, char *name, size_t size)
{
    if (partial->family == WP_OVALLING) {
        snprintf(name, size, "oval %d,%d", partial->order, partial->n);
    } else {
        snprintf(name, size, "%d", partial->n);
    }
}

static void print_partials(const struct app_tube_report *report, size_t index)
{
    const struct wp_tube *tube = &report->loaded->chime->tubes[index];
    const double *level_db = report->levels->db[index];
    const char *note = report->loaded->set.tubes[index].note;
    printf("\nTube %zu%s%s\n", index + 1, note[0] ? ", " : "", note);
    printf("%12s  %10s  %11s  %8s  %12s\n", "partial", "Hz", "split cents", "T60 s",
           "level dB SPL");
    for (size_t i = 0; i < tube->n_partials; i++) {
        const struct wp_partial *partial = &tube->partials[i];
        char name[32];
        format_partial(partial, name, sizeof name);
        printf("%12s  %10.2f  %11.1f  %8.*f", name, partial->freq_hz, partial->split_cents,
               partial->t60_s < 10.0 ? 2 : 1, partial->t60_s);
        if (isfinite(level_db[i])) {
            printf("  %12.1f\n", level_db[i]);
        } else {
            printf("  %12s\n", "none");
        }
    }
}

static void print_all_partials(const struct app_tube_report *report)
{
    const struct app_set *loaded = report->loaded;
    for (size_t i = 0; i < loaded->chime->n_tubes; i++) {
        print_partials(report, i);
    }
    printf("\nLevels are those at the listener, %.1f m away, just after the striker hits at "
           "%.1f m/s.\n",
           loaded->set.listener_distance_m, APP_TOLD_SPEED_M_S);
    app_print_wrapped(stdout,
                      "Plain numbers are partials in which the tube bends; in 'oval 2,0' its wall "
                      "rings by going out of round, with 2 waves round the tube and 0 circles at "
                      "rest along it. Split is the distance of the two pitches into which a tube "
                      "that is not quite round parts a partial: they beat.",
                      0);
}

static void print_loads(const struct app_tube_report *report)
{
    const struct app_set *loaded = report->loaded;
    const double load_kg = loaded->chime->hanging_kg + loaded->striker.mass_kg;
    printf("\nHanging load: %.2f kg (%.1f N), the striker of %.0f g included; add cords, hooks and "
           "frame.\n",
           load_kg, gravity_m_s2 * load_kg, 1000.0 * loaded->striker.mass_kg);
    printf("Stock: %.3f m", loaded->chime->stock_m);
    if (report->is_in_inches) {
        char text[32];
        format_length(report, loaded->chime->stock_m, text, sizeof text);
        printf(" (%s)", text);
    }
    puts(" of finished lengths; add the width of every saw cut.");
}

static void print_striker(const struct app_set *loaded)
{
    struct wp_contact contact;
    app_blow_solve(loaded, 0, &contact);
    printf("Striker: %s, %.0f g", loaded->set.striker.material.name,
           1000.0 * loaded->striker.mass_kg);
    if (contact.duration_s > 0.0) {
        printf("; hitting tube 1 at %.1f m/s it touches for %.2f ms, which favours tones below "
               "%.0f Hz",
               APP_TOLD_SPEED_M_S, 1000.0 * contact.duration_s, wp_contact_cutoff_hz(&contact));
    }
    puts(".");
}

static void print_soft_blows(const struct app_set *loaded)
{
    char text[400];
    for (size_t i = 0; i < loaded->chime->n_tubes; i++) {
        if (app_blow_is_soft(loaded, i, text, sizeof text)) {
            char note[440];
            snprintf(note, sizeof note, "Note on tube %zu: %s", i + 1, text);
            app_print_wrapped(stdout, note, 0);
        }
    }
}

static void print_warnings(const struct wp_chime *chime)
{
    for (size_t i = 0; i < chime->n_warnings; i++) {
        const struct wp_chime_warning *warning = &chime->warnings[i];
        char text[400];
        if (warning->tube == SIZE_MAX) {
            snprintf(text, sizeof text, "Note: %s", warning->text);
        } else {
            snprintf(text, sizeof text, "Note on tube %zu: %s", warning->tube + 1, warning->text);
        }
        app_print_wrapped(stdout, text, 0);
    }
    if (chime->n_warnings_left_out > 0) {
        printf("Note: %zu more such notes are left out.\n", chime->n_warnings_left_out);
    }
}

static void print_cautions(void)
{
    app_print_wrapped(stdout,
                      "No table knows your batch: cut one tube long and measure its pitch first, "
                      "then correct the other lengths.",
                      0);
    app_print_wrapped(
        stdout,
        "Tubes hang over people: rate every cord, knot and hook for several times its load, shocks "
        "and wear included, and look at them every season. Wear eye and hearing protection while "
        "cutting, deburr both ends. Local codes and licensed practice go before this table.",
        0);
}

/* How far to trust the pitches of long tubes; short ones need no word. */
static void print_heard(const struct wp_chime *chime)
{
    bool is_any_from_fourth = false;
    bool is_any_open = false;
    for (size_t i = 0; i < chime->n_tubes; i++) {
        const struct wp_tube *tube = &chime->tubes[i];
        is_any_from_fourth = is_any_from_fourth || tube->is_heard_from_fourth;
        is_any_open = is_any_open || tube->n_heard == WP_HEARD_MAX;
    }
    if (is_any_from_fourth) {
        puts("* The ear takes half of partial 4, within some 20 cents, for the pitch of a tube as "
             "long\n  as this (partial 1 below 173 Hz).");
    }
    if (is_any_open) {
        puts("With partial 1 between 100 and 300 Hz some ears take it for the pitch, some half of "
             "partial\n4; --json lists every pitch that may be heard.");
    }
}

void app_tube_report_print(const struct app_tube_report *report)
{
    const struct wp_chime *chime = report->loaded->chime;
    print_stock_line(report);
    print_heading(report);
    for (size_t i = 0; i < chime->n_tubes; i++) {
        print_tube(report, i);
    }
    puts("\nSupport points count from the top end; clearance is the gap between striker and tube "
         "at\n"
         "rest; T60 is the time to fall by 60 dB.");
    print_heard(chime);
    if (report->has_partials) {
        print_all_partials(report);
    }
    if (report->has_intervals) {
        app_intervals_print(report->loaded, report->levels, report->is_in_inches);
    }
    if (report->has_tolerances) {
        app_tolerance_print(report->loaded, report->is_in_inches);
    }
    print_loads(report);
    print_striker(report->loaded);
    putchar('\n');
    print_warnings(chime);
    print_soft_blows(report->loaded);
    app_stiffness_print(report->loaded);
    print_cautions();
}
