/* SPDX-License-Identifier: MIT */
/* Strikers: their materials by name, and a set's striker looked up. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "windpeal/contact.h"

#include "striker/loss.h"

/*
 * Young's modulus, density, Poisson's ratio, the restitution, and last the stiffening. All
 * from memory of the sources named; the contact time goes with the modulus to the power -0.4, so
 * that 20 % in the modulus is 8 % in the time.
 *
 * metals, plastics: handbook values at room temperature; nylon 6/6 conditioned to ordinary air.
 * wood: across the grain, where a turned striker meets the tube. Geometric mean of radial and
 *     tangential modulus by the ratios of the Wood Handbook (Forest Products Laboratory,
 *     FPL-GTR-282, tables 5-1 and 5-3): sugar maple for hardwood, Douglas fir for softwood.
 * rubber, polyurethane: twice the static modulus that A. N. Gent gives for a Shore A hardness S
 *     ("On the relation between indentation hardness and Young's modulus", IRI Trans. 34, 1958):
 *     0.0981 (56 + 7.62336 S) / (0.137505 (254 - 2.54 S)) MPa; hard rubber 80, soft rubber 50.
 *     The factor 2 for the stiffening at a millisecond is an estimate, good to a factor of 1.5.
 * cork: L. J. Gibson, M. F. Ashby, "Cellular Solids", Cambridge 1997, chapter 12.
 * leather, felt: estimates; both stiffen with force, so a blow of 0.3 m/s is meant.
 * restitution: estimates within 0.1 at 1 m/s against a heavy block, where only the contact itself
 *     loses; near the figures that W. Goldsmith, "Impact", London 1960, quotes for balls of wood,
 *     cork and steel. What the tube keeps as vibration is computed, not part of them.
 * stiffening: exponent past Hertz's 1.5. Felt 1.0: hammers of a grand piano have 2.3 to 3.0
 *     (A. Chaigne, A. Askenfelt, J. Acoust. Soc. Am. 95 (1994) 1112, table I). Rubber, soft
 *     polyurethane, leather and cork 0.5: estimates. Firm solids obey Hertz.
 */
struct entry {
    const char *name;
    struct wp_material material;
    double stiffening;
};

static const struct entry table[] = {
    {"hardwood", {1.3e9, 700.0, 0.40, NAN, NAN, NAN, NAN, NAN, 0.60}, 0.0},
    {"softwood", {0.75e9, 480.0, 0.40, NAN, NAN, NAN, NAN, NAN, 0.55}, 0.0},
    {"nylon", {1.7e9, 1140.0, 0.40, NAN, NAN, NAN, NAN, NAN, 0.75}, 0.0},
    {"acetal", {2.9e9, 1410.0, 0.37, NAN, NAN, NAN, NAN, NAN, 0.80}, 0.0},
    {"acrylic", {3.1e9, 1180.0, 0.37, NAN, NAN, NAN, NAN, NAN, 0.80}, 0.0},
    {"hard rubber", {18.7e6, 1200.0, 0.49, NAN, NAN, NAN, NAN, NAN, 0.60}, 0.5},
    {"soft rubber", {4.9e6, 1100.0, 0.49, NAN, NAN, NAN, NAN, NAN, 0.70}, 0.5},
    {"polyurethane 85A", {26.4e6, 1130.0, 0.48, NAN, NAN, NAN, NAN, NAN, 0.50}, 0.5},
    {"polyurethane 95A", {87.7e6, 1140.0, 0.48, NAN, NAN, NAN, NAN, NAN, 0.55}, 0.0},
    {"leather", {40.0e6, 900.0, 0.30, NAN, NAN, NAN, NAN, NAN, 0.45}, 0.5},
    {"felt", {3.0e6, 350.0, 0.10, NAN, NAN, NAN, NAN, NAN, 0.35}, 1.0},
    {"cork", {16.0e6, 170.0, 0.05, NAN, NAN, NAN, NAN, NAN, 0.50}, 0.5},
    {"aluminium", {68.9e9, 2700.0, 0.33, NAN, NAN, NAN, NAN, NAN, 0.85}, 0.0},
    {"brass", {105.0e9, 8500.0, 0.34, NAN, NAN, NAN, NAN, NAN, 0.80}, 0.0},
    {"steel", {200.0e9, 7850.0, 0.29, NAN, NAN, NAN, NAN, NAN, 0.90}, 0.0},
};

enum { N_ENTRIES = sizeof table / sizeof table[0] };

/* Restitution of a striker given by values that leaves it out: between wood and nylon. */
static const double default_restitution = 0.65;

/* Below, all but a hundredth of the speed is lost, and the law would need an endless loss. */
static const double least_restitution = 0.01;

static char lower(char c)
{
    return (char)(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
}

static const char *skip_blanks(const char *text)
{
    while (*text == ' ' || *text == '\t') {
        text++;
    }
    return text;
}

/* Case and the number of blanks do not matter. */
static bool is_same_name(const char *a, const char *b)
{
    a = skip_blanks(a);
    b = skip_blanks(b);
    while (*a && lower(*a) == lower(*b)) {
        const bool is_blank = *a == ' ';
        a = is_blank ? skip_blanks(a) : a + 1;
        b = is_blank ? skip_blanks(b) : b + 1;
    }
    return !*skip_blanks(a) && !*skip_blanks(b);
}

static const struct entry *find_entry(const char *name)
{
    for (size_t i = 0; i < N_ENTRIES; i++) {
        if (is_same_name(table[i].name, name)) {
            return &table[i];
        }
    }
    return NULL;
}

const struct wp_material *wp_striker_material_find(const char *name)
{
    const struct entry *found = find_entry(name);
    return found ? &found->material : NULL;
}

const char *wp_striker_material_name(size_t index)
{
    return index < N_ENTRIES ? table[index].name : NULL;
}

static enum wp_status refuse_name(const struct wp_set *set, struct wp_diags *diags)
{
    const struct wp_set_material *material = &set->striker.material;
    const char *names[N_ENTRIES];
    char hint[sizeof diags->items[0].hint] = "known: ";
    for (size_t i = 0; i < N_ENTRIES; i++) {
        names[i] = table[i].name;
        const size_t used = strlen(hint);
        snprintf(hint + used, sizeof hint - used, "%s%s", i ? ", " : "", names[i]);
    }
    const char *nearest = wp_nearest_word(material->name, names, N_ENTRIES);
    if (nearest) {
        snprintf(hint, sizeof hint, "did you mean '%s'?", nearest);
    }
    return wp_diags_add(diags, WP_E_UNKNOWN_NAME, set->file, material->mark, hint,
                        "unknown striker material '%s'; expected a name of the list or a mapping",
                        material->name);
}

/* A missing (NAN) or impossible value of a striker given by values. */
static enum wp_status check_value(const struct wp_set *set, struct wp_diags *diags, const char *key,
                                  double value, double most)
{
    const struct wp_mark mark = set->striker.material.mark;
    if (isnan(value)) {
        return wp_diags_add(diags, WP_E_MISSING, set->file, mark,
                            "a striker needs young_modulus and poisson_ratio",
                            "the striker's material has no %s; expected a value", key);
    }
    if (!(value >= 0.0 && value <= most)) {
        return wp_diags_add(diags, WP_E_RANGE, set->file, mark, NULL,
                            "%s of the striker is %g; expected 0 to %g", key, value, most);
    }
    return WP_OK;
}

static enum wp_status check_custom(const struct wp_set *set, struct wp_material *material,
                                   struct wp_diags *diags)
{
    if (isnan(material->restitution)) {
        material->restitution = default_restitution;
    }
    const enum wp_status found[] = {
        check_value(set, diags, "young_modulus", material->young_modulus_pa, 1.5e12),
        check_value(set, diags, "poisson_ratio", material->poisson_ratio, 0.5),
        check_value(set, diags, "restitution", material->restitution, 1.0),
    };
    for (size_t i = 0; i < sizeof found / sizeof found[0]; i++) {
        if (found[i]) {
            return found[i];
        }
    }
    if (material->young_modulus_pa < 1e4) {
        return wp_diags_add(diags, WP_E_RANGE, set->file, set->striker.material.mark,
                            "felt has about 3 MPa, steel 200 GPa",
                            "young_modulus of the striker is %g Pa; expected 10 kPa or more",
                            material->young_modulus_pa);
    }
    return WP_OK;
}

enum wp_status wp_striker_init(struct wp_striker *striker, const struct wp_set *set,
                               struct wp_diags *diags)
{
    struct wp_striker made = {
        .material = set->striker.material.values,
        .diameter_m = set->striker.diameter_m,
        .mass_kg = set->striker.mass_kg,
        .is_ideal = set->striker.is_ideal_contact,
    };
    if (set->striker.material.is_custom) {
        const enum wp_status status = check_custom(set, &made.material, diags);
        if (status) {
            return status;
        }
    } else {
        const struct entry *found = find_entry(set->striker.material.name);
        if (!found) {
            return refuse_name(set, diags);
        }
        made.material = found->material;
        made.stiffening = found->stiffening;
    }
    made.loss_s_m =
        wp_loss_for(fmax(made.material.restitution, least_restitution)) / WP_RESTITUTION_SPEED_M_S;
    *striker = made;
    return WP_OK;
}

double wp_striker_restitution(const struct wp_striker *striker, double speed_m_s)
{
    return wp_loss_restitution(striker->loss_s_m * speed_m_s);
}
