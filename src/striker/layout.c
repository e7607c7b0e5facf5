/* SPDX-License-Identifier: MIT */
/* Places the tubes around the striker and refuses what cannot hang or cannot be struck. */
#include "windpeal/layout.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>

#include "base/exact.h"

static const double pi = 0x1.921fb54442d18p+1;

/* What every check looks at. */
struct site {
    const struct wp_set *set;
    const struct wp_chime *chime;
    const struct wp_layout *layout;
    struct wp_diags *diags;
};

static double tube_radius(const struct site *site, size_t tube)
{
    return 0.5 * site->chime->tubes[tube].spec.outer_diameter_m;
}

static double striker_radius(const struct site *site)
{
    return 0.5 * site->set->striker.diameter_m;
}

static double mm(double length_m)
{
    return 1000.0 * length_m;
}

/* sqrt instead of hypot: it is exactly rounded everywhere. */
static double distance(double x_m, double y_m)
{
    return sqrt(x_m * x_m + y_m * y_m);
}

static void place_in_ring(struct wp_layout *layout, double radius_m)
{
    for (size_t i = 0; i < layout->n_tubes; i++) {
        const double turn = (double)i / (double)layout->n_tubes;
        layout->bearing_deg[i] = 360.0 * turn;
        layout->x_m[i] = radius_m * wp_exact_sin(2.0 * pi * turn);
        layout->y_m[i] = radius_m * wp_exact_cos(2.0 * pi * turn);
    }
}

static void place_at(struct wp_layout *layout, size_t tube, double x_m, double y_m)
{
    layout->x_m[tube] = x_m;
    layout->y_m[tube] = y_m;
    /* A bearing runs clockwise from north: x and y change places. */
    const double bearing = wp_exact_atan2(x_m, y_m) * (180.0 / pi);
    layout->bearing_deg[tube] = bearing < 0.0 ? bearing + 360.0 : bearing;
}

/* Tubes first to first + n - 1 around the middle, eastwards, or westwards with a negative step. */
static void place_row(struct wp_layout *layout, size_t first, size_t n, double step_m, double y_m)
{
    for (size_t i = 0; i < n; i++) {
        place_at(layout, first + i, step_m * ((double)i - 0.5 * ((double)n - 1.0)), y_m);
    }
}

static void place_tubes(struct wp_layout *layout, const struct wp_set_layout *given)
{
    const size_t n_north = (layout->n_tubes + 1) / 2;
    const double half_gap_m = 0.5 * given->rows_gap_m;
    switch (given->kind) {
    case WP_LAYOUT_RING:
        place_in_ring(layout, given->ring_radius_m);
        break;
    case WP_LAYOUT_ROWS:
        place_row(layout, 0, n_north, given->rows_spacing_m, half_gap_m);
        place_row(layout, n_north, layout->n_tubes - n_north, -given->rows_spacing_m, -half_gap_m);
        break;
    case WP_LAYOUT_LINE:
        place_row(layout, 0, layout->n_tubes, given->line_spacing_m, given->line_offset_m);
        break;
    case WP_LAYOUT_POSITIONS:
        for (size_t i = 0; i < layout->n_tubes; i++) {
            place_at(layout, i, given->places[i].x_m, given->places[i].y_m);
        }
        break;
    }
}

static double longest(const struct wp_chime *chime)
{
    double length_m = 0.0;
    for (size_t i = 0; i < chime->n_tubes; i++) {
        length_m = fmax(length_m, chime->tubes[i].spec.length_m);
    }
    return length_m;
}

/* Heights count from the middle of the longest tube, whose ends the others line up with. */
static void set_heights(struct wp_layout *layout, const struct wp_set *set,
                        const struct wp_chime *chime)
{
    const double longest_m = longest(chime);
    double highest_bottom_m = -0.5 * longest_m;
    for (size_t i = 0; i < layout->n_tubes; i++) {
        const double play_m = 0.5 * (longest_m - chime->tubes[i].spec.length_m);
        switch (set->layout.align) {
        case WP_ALIGN_BOTTOMS:
            layout->middle_m[i] = -play_m;
            break;
        case WP_ALIGN_MIDDLES:
            layout->middle_m[i] = 0.0;
            break;
        case WP_ALIGN_TOPS:
            layout->middle_m[i] = play_m;
            break;
        }
        const double bottom_m = layout->middle_m[i] - 0.5 * chime->tubes[i].spec.length_m;
        highest_bottom_m = fmax(highest_bottom_m, bottom_m);
    }
    const double contact_m = highest_bottom_m + set->striker.strike_height_m;
    for (size_t i = 0; i < layout->n_tubes; i++) {
        const double bottom_m = layout->middle_m[i] - 0.5 * chime->tubes[i].spec.length_m;
        layout->strike_height_m[i] = contact_m - bottom_m;
    }
}

static void set_clearances(struct wp_layout *layout, const struct site *site)
{
    for (size_t i = 0; i < layout->n_tubes; i++) {
        layout->clearance_m[i] =
            distance(layout->x_m[i], layout->y_m[i]) - tube_radius(site, i) - striker_radius(site);
    }
}

static const char *const overlap_hints[] = {
    [WP_LAYOUT_RING] = "widen the ring or take thinner tubes",
    [WP_LAYOUT_ROWS] = "widen the rows' spacing or gap, or take thinner tubes",
    [WP_LAYOUT_LINE] = "widen the spacing or take thinner tubes",
    [WP_LAYOUT_POSITIONS] = "move one of the two positions",
};

static enum wp_status check_overlap(const struct site *site, size_t a, size_t b)
{
    const struct wp_layout *layout = site->layout;
    const double apart_m =
        distance(layout->x_m[a] - layout->x_m[b], layout->y_m[a] - layout->y_m[b]);
    const double needed_m = tube_radius(site, a) + tube_radius(site, b);
    if (apart_m > needed_m) {
        return WP_OK;
    }
    return wp_diags_add(site->diags, WP_E_CONFLICT, site->set->file, site->set->layout.mark,
                        overlap_hints[site->set->layout.kind],
                        "tubes %zu and %zu overlap: their axes are %.1f mm apart; expected more "
                        "than %.1f mm",
                        a + 1, b + 1, mm(apart_m), mm(needed_m));
}

/* Except by positions one finding is enough: neighbours stand alike. */
static enum wp_status check_overlaps(const struct site *site)
{
    enum wp_status first = WP_OK;
    for (size_t a = 0; a < site->layout->n_tubes; a++) {
        for (size_t b = a + 1; b < site->layout->n_tubes; b++) {
            const enum wp_status status = check_overlap(site, a, b);
            first = first ? first : status;
            if (status && site->set->layout.kind != WP_LAYOUT_POSITIONS) {
                return status;
            }
        }
    }
    return first;
}

/* "tube 3", "tubes 1, 2 and 4" or "all tubes": those whose gap is at least least_m and at most
 * most_m. */
static size_t name_tubes(const struct site *site, double least_m, double most_m, char *text,
                         size_t text_size)
{
    size_t named[WP_TUBES_MAX];
    size_t n = 0;
    for (size_t i = 0; i < site->layout->n_tubes; i++) {
        const double gap_m = site->layout->clearance_m[i];
        if (gap_m >= least_m && gap_m <= most_m) {
            named[n++] = i + 1;
        }
    }
    if (n > 1 && n == site->layout->n_tubes) {
        snprintf(text, text_size, "all tubes");
        return n;
    }
    size_t used = (size_t)snprintf(text, text_size, n == 1 ? "tube" : "tubes");
    for (size_t i = 0; i < n && used < text_size; i++) {
        const char *joint = i == 0 ? " " : i + 1 == n ? " and " : ", ";
        used += (size_t)snprintf(text + used, text_size - used, "%s%zu", joint, named[i]);
    }
    return n;
}

/* The tube with the smallest gap. */
static size_t nearest_tube(const struct site *site)
{
    size_t nearest = 0;
    for (size_t i = 1; i < site->layout->n_tubes; i++) {
        nearest = site->layout->clearance_m[i] < site->layout->clearance_m[nearest] ? i : nearest;
    }
    return nearest;
}

static enum wp_status check_gaps(const struct site *site)
{
    char tubes[160];
    const struct wp_layout *layout = site->layout;
    const size_t n = name_tubes(site, -INFINITY, 0.0, tubes, sizeof tubes);
    const size_t nearest = nearest_tube(site);
    if (n == 0) {
        return WP_OK;
    }
    return wp_diags_add(
        site->diags, WP_E_CONFLICT, site->set->file, site->set->layout.mark,
        n == 1 ? "move the tube outwards or take a thinner striker"
               : "move the tubes outwards or take a thinner striker",
        "the striker at rest touches %s: the %s axis is %.1f mm away; expected more than %.1f mm",
        tubes, n == 1 ? "tube's" : "nearest one's",
        mm(distance(layout->x_m[nearest], layout->y_m[nearest])),
        mm(tube_radius(site, nearest) + striker_radius(site)));
}

/* A pendulum held level is as far out as it gets. */
static void warn_of_distance(const struct site *site)
{
    char tubes[160];
    const double suspension_m = site->set->striker.suspension_m;
    const size_t n = name_tubes(site, suspension_m, INFINITY, tubes, sizeof tubes);
    double least_m = INFINITY;
    for (size_t i = 0; i < site->layout->n_tubes; i++) {
        const double gap_m = site->layout->clearance_m[i];
        least_m = gap_m >= suspension_m ? fmin(least_m, gap_m) : least_m;
    }
    if (n > 0) {
        wp_diags_add(site->diags, WP_OK, site->set->file, site->set->layout.mark,
                     n == 1 ? "move the tube inwards or lengthen the striker's suspension"
                            : "move the tubes inwards or lengthen the striker's suspension",
                     "the striker can never reach %s at rest: %s %.1f mm, its suspension %.1f mm",
                     tubes, n == 1 ? "the gap is" : "the smallest of their gaps is", mm(least_m),
                     mm(suspension_m));
    }
}

static enum wp_status check_height(const struct site *site, size_t tube)
{
    const double height_m = site->layout->strike_height_m[tube];
    const double length_m = site->chime->tubes[tube].spec.length_m;
    const char *file = site->set->file;
    const struct wp_mark given = site->set->striker.mark_strike_height;
    const struct wp_mark mark = given.line > 0 ? given : site->set->layout.mark;
    if (height_m > length_m) {
        return wp_diags_add(site->diags, WP_E_RANGE, file, mark,
                            "lower strike_height or align the tubes otherwise",
                            "the striker passes above tube %zu: it strikes %.1f mm above the "
                            "tube's bottom end; expected at most its length of %.1f mm",
                            tube + 1, mm(height_m), mm(length_m));
    }
    if (!(height_m >= 0.0)) {
        return wp_diags_add(site->diags, WP_E_RANGE, file, mark, "raise strike_height",
                            "the striker passes below tube %zu: it strikes %.1f mm below the "
                            "tube's bottom end; expected 0 to %.1f mm above it",
                            tube + 1, -mm(height_m), mm(length_m));
    }
    return WP_OK;
}

/* True when the striker on its straight way to one tube runs into another. */
static bool is_shadowed(const struct site *site, size_t tube, size_t other)
{
    const struct wp_layout *layout = site->layout;
    const double far_m = distance(layout->x_m[tube], layout->y_m[tube]);
    const double east = layout->x_m[tube] / far_m;
    const double north = layout->y_m[tube] / far_m;
    const double along_m = layout->x_m[other] * east + layout->y_m[other] * north;
    const double nearest_m = fmin(fmax(along_m, 0.0), layout->clearance_m[tube]);
    const double miss_m =
        distance(layout->x_m[other] - nearest_m * east, layout->y_m[other] - nearest_m * north);
    return miss_m < tube_radius(site, other) + striker_radius(site);
}

static void warn_of_shadows(const struct site *site, size_t tube)
{
    for (size_t other = 0; other < site->layout->n_tubes; other++) {
        if (other != tube && is_shadowed(site, tube, other)) {
            wp_diags_add(site->diags, WP_OK, site->set->file, site->set->layout.mark,
                         "move one of the two, or accept that the sound is only a likeness",
                         "tube %zu hangs behind tube %zu, which the striker meets first", tube + 1,
                         other + 1);
            return;
        }
    }
}

enum wp_status wp_layout_init(struct wp_layout *layout, const struct wp_set *set,
                              const struct wp_chime *chime, struct wp_diags *diags)
{
    assert(set->n_tubes == chime->n_tubes);
    struct wp_layout made = {.n_tubes = set->n_tubes};
    const struct site site = {set, chime, &made, diags};
    place_tubes(&made, &set->layout);
    set_heights(&made, set, chime);
    set_clearances(&made, &site);
    enum wp_status first = check_overlaps(&site);
    const enum wp_status gap = check_gaps(&site);
    first = first ? first : gap;
    for (size_t i = 0; i < made.n_tubes; i++) {
        const enum wp_status height = check_height(&site, i);
        first = first ? first : height;
    }
    if (first) {
        return first;
    }
    warn_of_distance(&site);
    for (size_t i = 0; i < made.n_tubes; i++) {
        warn_of_shadows(&site, i);
    }
    *layout = made;
    return WP_OK;
}
