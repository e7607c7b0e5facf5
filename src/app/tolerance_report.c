/* SPDX-License-Identifier: MIT */
/* Prints how far pitches move with what the shop can and cannot hold. */
#include "app/tolerance_report.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "app/help.h"
#include "app/json_text.h"
#include "windpeal/tolerance.h"

/* Cents for a small share of the stiffness, whose root the frequency follows: 600 / ln 2. */
static const double STIFFNESS_CENTS = 865.617024533378;

/* A number of cents in so many columns, or a dash. */
static void print_cents(double cents, int width)
{
    if (isnan(cents)) {
        printf("  %*s", width, "-");
    } else {
        printf("  %+*.2f", width, cents);
    }
}

/* How sizes are told in one system of units. */
struct scale {
    const char *wall;
    const char *diameter;
    const char *length;
    double size_share;   /* of the slopes for 0.1 mm */
    double length_share; /* of the slope for 1 mm */
    double per_m;        /* of the standards' limits */
    const char *unit;
    int places;
};
static const struct scale metric = {
    "0.1 mm wall", "0.1 mm diameter", "1 mm length", 1.0, 1.0, 1000.0, "mm", 2};
/* A thousandth is the shop's word for sizes, 1/64 the finest that it cuts to: 25.4 mm an inch. */
static const struct scale inches = {"0.001 in wall", "0.001 in diam.", "1/64 in long", 0.254,
                                    25.4 / 64.0,     1.0 / 0.0254,     "in",           3};

static void print_slopes(const struct app_set *loaded, const struct wp_tolerance *tolerances,
                         const struct scale *scale)
{
    puts("\nHow far the pitch moves, in cents, for");
    printf("%4s  %-8s  %7s  %13s  %15s  %12s  %13s  %6s\n", "tube", "note", "partial", scale->wall,
           scale->diameter, scale->length, "1 % stiffness", "1 K");
    for (size_t i = 0; i < loaded->set.n_tubes; i++) {
        const struct wp_sensitivity *slope = &tolerances[i].sensitivity;
        const char *note = loaded->set.tubes[i].note;
        printf("%4zu  %-*s  %7d", i + 1, app_field_width(note, 8), note[0] ? note : "-",
               tolerances[i].partial);
        print_cents(scale->size_share * slope->wall_cents, 13);
        print_cents(scale->size_share * slope->diameter_cents, 15);
        print_cents(scale->length_share * slope->length_cents, 12);
        print_cents(slope->stiffness_cents, 13);
        print_cents(slope->kelvin_cents, 6);
        putchar('\n');
    }
}

/* The same class at the same size: told once. */
static bool is_same_effect(const struct wp_stock *a, const struct wp_stock *b)
{
    return strcmp(a->standard, b->standard) == 0 && a->diameter_m == b->diameter_m &&
           a->wall_m == b->wall_m;
}

static bool was_told(const struct wp_tolerance *tolerances, size_t tube, size_t stock)
{
    for (size_t i = 0; i < tube; i++) {
        for (size_t j = 0; j < tolerances[i].n_stocks; j++) {
            if (is_same_effect(&tolerances[i].stocks[j].stock,
                               &tolerances[tube].stocks[stock].stock)) {
                return true;
            }
        }
    }
    return false;
}

/* Largest of one figure over the tubes that a class at one size is told for. */
static double largest(const struct wp_tolerance *tolerances, size_t n_tubes,
                      const struct wp_stock *stock, size_t offset)
{
    double most = 0.0;
    for (size_t i = 0; i < n_tubes; i++) {
        for (size_t j = 0; j < tolerances[i].n_stocks; j++) {
            const struct wp_stock_effect *effect = &tolerances[i].stocks[j];
            double cents;
            memcpy(&cents, (const char *)effect + offset, sizeof cents);
            most = is_same_effect(&effect->stock, stock) ? fmax(most, cents) : most;
        }
    }
    return most;
}

static void print_stock(const struct wp_tolerance *tolerances, size_t n_tubes,
                        const struct wp_stock *stock, const struct scale *scale)
{
    static const size_t offsets[] = {offsetof(struct wp_stock_effect, diameter_cents),
                                     offsetof(struct wp_stock_effect, wall_cents),
                                     offsetof(struct wp_stock_effect, stiffness_cents),
                                     offsetof(struct wp_stock_effect, together_cents),
                                     offsetof(struct wp_stock_effect, split_cents)};
    static const int widths[] = {8, 5, 9, 8, 5};
    char name[64];
    snprintf(name, sizeof name, "%s%s", stock->standard, stock->is_from_memory ? " *" : "");
    printf("%-33s  %5.*f %s", name, scale->places, scale->per_m * stock->diameter_m, scale->unit);
    if (stock->wall_m > 0.0) {
        printf("  %5.*f %s", scale->places, scale->per_m * stock->wall_m, scale->unit);
    } else {
        printf("  %8s", "-");
    }
    for (size_t i = 0; i < sizeof offsets / sizeof offsets[0]; i++) {
        printf("  %*.0f", widths[i], largest(tolerances, n_tubes, stock, offsets[i]));
    }
    putchar('\n');
}

static void print_stocks(const struct wp_tolerance *tolerances, size_t n_tubes,
                         const struct scale *scale)
{
    bool is_any_from_memory = false;
    puts("\nWhat bought stock makes of that, at most, in +- cents of the worst tube");
    printf("%-33s  %8s  %8s  %8s  %5s  %9s  %8s  %5s\n", "tolerances by", "diameter", "wall",
           "diameter", "wall", "stiffness", "together", "split");
    for (size_t i = 0; i < n_tubes; i++) {
        for (size_t j = 0; j < tolerances[i].n_stocks; j++) {
            const struct wp_stock *stock = &tolerances[i].stocks[j].stock;
            if (!was_told(tolerances, i, j)) {
                print_stock(tolerances, n_tubes, stock, scale);
                is_any_from_memory = is_any_from_memory || stock->is_from_memory;
            }
        }
    }
    if (is_any_from_memory) {
        puts("* Figures of this standard from memory: read it before you hold a merchant to them.");
    }
}

/* What one measured tube can mend, and what it cannot. */
static void print_advice(const struct wp_tolerance *tolerances, size_t n_tubes)
{
    bool does_stiffness_decide = true;
    for (size_t i = 0; i < n_tubes; i++) {
        const struct wp_stock_effect *usual = &tolerances[i].stocks[0];
        does_stiffness_decide =
            does_stiffness_decide &&
            usual->stiffness_cents >= hypot(usual->diameter_cents, usual->wall_cents);
    }
    app_print_wrapped(stdout,
                      does_stiffness_decide
                          ? "Stiffness decides: it moves all tubes of a batch together, more than "
                            "all sizes do, so cut one tube long, measure its pitch and correct the "
                            "other lengths; no caliper shows it."
                          : "Sizes and stiffness both decide: stiffness moves all tubes of a batch "
                            "together, which one measured tube mends; sizes move each tube by "
                            "itself, so measure diameter and wall, or the pitch, of every tube.",
                      0);
}

/* Tolerances of all tubes of a set. */
static void solve_all(struct wp_tolerance tolerances[WP_TUBES_MAX], const struct app_set *loaded)
{
    for (size_t i = 0; i < loaded->set.n_tubes; i++) {
        wp_tolerance_solve(&tolerances[i], &loaded->set, loaded->chime, i);
    }
}

void app_tolerance_print(const struct app_set *loaded, bool is_in_inches)
{
    const struct scale *scale = is_in_inches ? &inches : &metric;
    struct wp_tolerance tolerances[WP_TUBES_MAX];
    solve_all(tolerances, loaded);
    print_slopes(loaded, tolerances, scale);
    print_stocks(tolerances, loaded->set.n_tubes, scale);
    print_advice(tolerances, loaded->set.n_tubes);
}

void app_stiffness_print(const struct app_set *loaded)
{
    bool is_any_unknown = false;
    for (size_t i = 0; i < loaded->set.n_tubes; i++) {
        const struct wp_set_material *material = &loaded->set.tubes[i].material;
        const struct wp_material_uncertainty *known =
            material->is_custom ? NULL : wp_material_uncertainty(material->name);
        bool is_told = false;
        for (size_t j = 0; j < i; j++) {
            is_told = is_told || strcmp(loaded->set.tubes[j].material.name, material->name) == 0;
        }
        if (known && !is_told) {
            char text[256];
            snprintf(text, sizeof text, "Stiffness of %s: %s, so +-%.0f %%, +-%.0f cents.",
                     material->name, known->source, 100.0 * known->stiffness_01,
                     STIFFNESS_CENTS * known->stiffness_01);
            app_print_wrapped(stdout, text, 0);
        }
        is_any_unknown = is_any_unknown || !known;
    }
    if (is_any_unknown) {
        app_print_wrapped(stdout,
                          "How far a material of your own keeps to its constants is not known: "
                          "+-1 % of stiffness is +-4.3 cents.",
                          0);
    }
}

static json_t *describe_stock(const struct wp_stock_effect *effect)
{
    const struct wp_stock *stock = &effect->stock;
    return json_pack("{s:s, s:s, s:b, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "name",
                     stock->name, "standard", stock->standard, "from_memory", stock->is_from_memory,
                     "diameter_m", app_json_number(stock->diameter_m), "wall_m",
                     app_json_number(stock->wall_m), "ovality", app_json_number(stock->ovality_01),
                     "bore_offset", app_json_number(stock->bore_offset_01), "diameter_cents",
                     app_json_number(effect->diameter_cents), "wall_cents",
                     app_json_number(effect->wall_cents), "stiffness_cents",
                     app_json_number(effect->stiffness_cents), "together_cents",
                     app_json_number(effect->together_cents), "split_cents",
                     app_json_number(effect->split_cents));
}

static json_t *describe_material(const struct wp_set_material *material)
{
    const struct wp_material_uncertainty *known =
        material->is_custom ? NULL : wp_material_uncertainty(material->name);
    return known ? json_pack("{s:o, s:o, s:o, s:o, s:s}", "name", app_json_string(material->name),
                             "stiffness", app_json_number(known->stiffness_01), "density",
                             app_json_number(known->density_01), "loss_factor_times",
                             app_json_number(known->loss_times), "source", known->source)
                 : json_null();
}

static json_t *describe_tube(const struct app_set *loaded, size_t index)
{
    struct wp_tolerance tolerance;
    json_t *stocks = json_array();
    wp_tolerance_solve(&tolerance, &loaded->set, loaded->chime, index);
    for (size_t i = 0; i < tolerance.n_stocks; i++) {
        stocks = app_json_append(stocks, describe_stock(&tolerance.stocks[i]));
    }
    const struct wp_sensitivity *slope = &tolerance.sensitivity;
    return json_pack("{s:I, s:i, s:{s:o, s:o, s:o, s:o, s:o}, s:o, s:o}", "number",
                     (json_int_t)index + 1, "partial", tolerance.partial, "cents_per",
                     "wall_tenth_mm", app_json_number(slope->wall_cents), "diameter_tenth_mm",
                     app_json_number(slope->diameter_cents), "length_mm",
                     app_json_number(slope->length_cents), "stiffness_percent",
                     app_json_number(slope->stiffness_cents), "kelvin",
                     app_json_number(slope->kelvin_cents), "material_uncertainty",
                     describe_material(&loaded->set.tubes[index].material), "stock", stocks);
}

json_t *app_tolerance_describe(const struct app_set *loaded)
{
    json_t *tubes = json_array();
    for (size_t i = 0; i < loaded->set.n_tubes; i++) {
        tubes = app_json_append(tubes, describe_tube(loaded, i));
    }
    return tubes;
}
