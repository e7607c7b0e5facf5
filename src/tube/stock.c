/* SPDX-License-Identifier: MIT */
/* Tolerances that the trade's standards leave to bought tubes and rods. */
#include "tube/stock.h"

#include <math.h>

/* Inches and millimetres in the tables stay as the standards print them. */
static const double INCH_M = 0.0254;
static const double MM_M = 0.001;

/* Mean outer diameter, up to a size. */
struct diameter_row {
    double up_to;
    double plus_minus;
};

/* Mean wall, up to a diameter and a wall; the larger of a length and a share of the wall. */
struct wall_row {
    double diameter_up_to;
    double wall_up_to;
    double plus_minus;
    double share;
};

struct stock_class {
    const char *name;
    const char *standard;
    bool is_from_memory;
    bool is_solid;
    unsigned int kinds; /* bits 1 << enum wp_stock_kind */
    double unit_m;      /* of the rows */
    const struct diameter_row *diameters;
    const struct wall_row *walls; /* the last row of both takes every size */
};

/*
 * Extruded tube of alloys other than 5083, 5086, 5454: ANSI H35.2, standard tolerances, as ASTM
 * B221 and B241 take them over; read in two merchants' copies. Inches.
 */
static const struct diameter_row extruded_diameters[] = {
    {0.9995, 0.010}, {1.9995, 0.012}, {3.9995, 0.015},   {5.9995, 0.025},
    {7.9995, 0.035}, {9.9995, 0.045}, {INFINITY, 0.055},
};
static const struct wall_row extruded_walls[] = {
    {1.2495, 0.0465, 0.006, 0.0},     {1.2495, 0.0615, 0.007, 0.0},
    {1.2495, 0.0775, 0.008, 0.0},     {1.2495, 0.2495, 0.009, 0.0},
    {1.2495, INFINITY, 0.011, 0.0},   {2.9995, 0.0775, 0.008, 0.0},
    {2.9995, 0.2495, 0.009, 0.0},     {2.9995, 0.3745, 0.011, 0.0},
    {2.9995, 0.4995, 0.015, 0.0},     {2.9995, INFINITY, 0.020, 0.0},
    {4.9995, 0.0615, 0.008, 0.0},     {4.9995, 0.0775, 0.009, 0.0},
    {4.9995, 0.1245, 0.010, 0.0},     {4.9995, 0.2495, 0.013, 0.0},
    {4.9995, 0.3745, 0.016, 0.0},     {4.9995, 0.4995, 0.021, 0.0},
    {4.9995, INFINITY, 0.028, 0.0},   {INFINITY, 0.0615, 0.010, 0.0},
    {INFINITY, 0.0775, 0.012, 0.0},   {INFINITY, 0.1245, 0.015, 0.0},
    {INFINITY, 0.2495, 0.020, 0.0},   {INFINITY, 0.3745, 0.025, 0.0},
    {INFINITY, INFINITY, 0.035, 0.0},
};

/* Drawn tube: ANSI H35.2 as ASTM B210 takes it over; from memory. Inches. */
static const struct diameter_row drawn_diameters[] = {
    {0.5005, 0.003}, {1.0005, 0.004}, {2.0005, 0.005}, {3.0005, 0.006},   {5.0005, 0.008},
    {6.0005, 0.010}, {8.0005, 0.015}, {10.0, 0.020},   {INFINITY, 0.025},
};
static const struct wall_row drawn_walls[] = {
    {INFINITY, 0.0355, 0.002, 0.0}, {INFINITY, 0.0495, 0.003, 0.0},
    {INFINITY, 0.1205, 0.004, 0.0}, {INFINITY, 0.2035, 0.005, 0.0},
    {INFINITY, 0.3005, 0.008, 0.0}, {INFINITY, INFINITY, 0.012, 0.0},
};

/* EN 754-7 (seamless) and EN 754-8 (porthole), drawn aluminium; scopes read, figures from memory
 * and rounded up. Millimetres. */
static const struct diameter_row en754_diameters[] = {
    {30.0, 0.08}, {50.0, 0.10}, {80.0, 0.15}, {120.0, 0.25}, {INFINITY, 0.50},
};

/* A tenth of the wall, whatever the size. */
static const struct wall_row tenth_of_wall[] = {{INFINITY, INFINITY, 0.0, 0.10}};

/* EN 1057, hard copper tube, mean diameter; figures from memory. Millimetres. */
static const struct diameter_row en1057_diameters[] = {
    {18.0, 0.04}, {28.0, 0.05}, {54.0, 0.06}, {108.0, 0.07}, {159.0, 0.20}, {INFINITY, 0.60},
};
static const struct wall_row en1057_walls[] = {
    {17.99, 0.99, 0.0, 0.10},
    {INFINITY, 0.99, 0.0, 0.11},
    {INFINITY, INFINITY, 0.0, 0.13},
};

/* EN 10305-1, cold drawn precision steel tube: diameters from memory; walls (10 %, at least 0.1 mm,
 * eccentricity included) read in a mill's handbook. Millimetres. */
static const struct diameter_row en10305_diameters[] = {
    {30.0, 0.08}, {40.0, 0.15}, {50.0, 0.20},  {60.0, 0.25},    {70.0, 0.30},
    {80.0, 0.35}, {90.0, 0.40}, {100.0, 0.45}, {INFINITY, 1.0},
};
static const struct wall_row en10305_walls[] = {{INFINITY, INFINITY, 0.1, 0.10}};

/* ASTM A269 with A1016, welded or seamless stainless tube; from memory. Millimetres. */
static const struct diameter_row a269_diameters[] = {
    {38.09, 0.13},
    {88.89, 0.25},
    {139.69, 0.38},
    {INFINITY, 0.76},
};
static const struct wall_row a269_walls[] = {
    {12.69, INFINITY, 0.0, 0.15},
    {INFINITY, INFINITY, 0.0, 0.10},
};

/* EN 12449, seamless tube of copper alloys; from memory. Millimetres. */
static const struct diameter_row en12449_diameters[] = {
    {10.0, 0.06},  {20.0, 0.08},  {30.0, 0.12},     {50.0, 0.15},
    {100.0, 0.20}, {200.0, 0.50}, {INFINITY, 0.75},
};
static const struct wall_row en12449_walls[] = {
    {40.0, INFINITY, 0.0, 0.10},
    {INFINITY, INFINITY, 0.0, 0.12},
};

/* ASTM B338, titanium tube; from memory. Inches. */
static const struct diameter_row b338_diameters[] = {
    {0.9995, 0.004}, {1.5005, 0.005}, {2.0005, 0.006}, {2.5005, 0.007}, {INFINITY, 0.010},
};

/* ISO 2768-1, class m, for what no standard of stock covers: turned, cast and finished, or drawn
 * glass by agreement; from memory. Millimetres. */
static const struct diameter_row iso2768_diameters[] = {
    {6.0, 0.1},
    {30.0, 0.2},
    {120.0, 0.3},
    {INFINITY, 0.5},
};
static const struct wall_row iso2768_walls[] = {
    {INFINITY, 6.0, 0.1, 0.0},
    {INFINITY, 30.0, 0.2, 0.0},
    {INFINITY, INFINITY, 0.3, 0.0},
};

/* EN 755-3, extruded aluminium rod; from memory. Millimetres. */
static const struct diameter_row en755_diameters[] = {
    {18.0, 0.22}, {25.0, 0.25}, {40.0, 0.30},     {50.0, 0.35},
    {65.0, 0.40}, {80.0, 0.45}, {INFINITY, 1.00},
};

/* ISO 286-2, h11, what drawn or ground rod is sold by: the grade IT11 (from memory), to either side
 * here although h lies below the size. Millimetres. */
static const struct diameter_row h11_diameters[] = {
    {6.0, 0.075}, {10.0, 0.090}, {18.0, 0.110},  {30.0, 0.130},     {50.0, 0.160},
    {80.0, 0.19}, {120.0, 0.22}, {180.0, 0.250}, {INFINITY, 0.320},
};

enum {
    OF_ALUMINIUM = 1u << WP_STOCK_ALUMINIUM,
    OF_STEEL = 1u << WP_STOCK_STEEL,
    OF_STAINLESS = 1u << WP_STOCK_STAINLESS,
    OF_COPPER = 1u << WP_STOCK_COPPER,
    OF_COPPER_ALLOY = 1u << WP_STOCK_COPPER_ALLOY,
    OF_TITANIUM = 1u << WP_STOCK_TITANIUM,
    OF_OTHER = 1u << WP_STOCK_OTHER,
    OF_ALL_BUT_ALUMINIUM =
        OF_STEEL | OF_STAINLESS | OF_COPPER | OF_COPPER_ALLOY | OF_TITANIUM | OF_OTHER,
};

/* In the order in which a list gives them. */
static const struct stock_class classes[] = {
    {"extruded tube", "ASTM B221 and B241 (ANSI H35.2)", false, false, OF_ALUMINIUM, INCH_M,
     extruded_diameters, extruded_walls},
    {"drawn tube", "ASTM B210 (ANSI H35.2)", true, false, OF_ALUMINIUM, INCH_M, drawn_diameters,
     drawn_walls},
    {"drawn tube", "EN 754-7 and EN 754-8", true, false, OF_ALUMINIUM, MM_M, en754_diameters,
     tenth_of_wall},
    {"cold drawn tube", "EN 10305-1", true, false, OF_STEEL, MM_M, en10305_diameters,
     en10305_walls},
    {"stainless tube", "ASTM A269", true, false, OF_STAINLESS, MM_M, a269_diameters, a269_walls},
    {"hard copper tube", "EN 1057", true, false, OF_COPPER, MM_M, en1057_diameters, en1057_walls},
    {"seamless tube", "EN 12449", true, false, OF_COPPER_ALLOY, MM_M, en12449_diameters,
     en12449_walls},
    {"titanium tube", "ASTM B338", true, false, OF_TITANIUM, INCH_M, b338_diameters, tenth_of_wall},
    {"tube without a standard of its own", "ISO 2768-1 m", true, false, OF_OTHER, MM_M,
     iso2768_diameters, iso2768_walls},
    {"extruded rod", "EN 755-3", true, true, OF_ALUMINIUM, MM_M, en755_diameters, NULL},
    {"drawn rod", "ISO 286-2 h11", true, true, OF_ALL_BUT_ALUMINIUM, MM_M, h11_diameters, NULL},
};
enum { N_CLASSES = sizeof classes / sizeof classes[0] };

static double diameter_limit_m(const struct stock_class *class, double outer_diameter_m)
{
    const struct diameter_row *row = class->diameters;
    while (outer_diameter_m > row->up_to * class->unit_m) {
        row++;
    }
    return row->plus_minus * class->unit_m;
}

static double wall_limit_m(const struct stock_class *class, double outer_diameter_m, double wall_m)
{
    const struct wall_row *row = class->walls;
    while (outer_diameter_m > row->diameter_up_to * class->unit_m ||
           wall_m > row->wall_up_to * class->unit_m) {
        row++;
    }
    return fmax(row->plus_minus * class->unit_m, row->share * wall_m);
}

/* Where the wall may be a tenth thicker on one side, the bore is off by a tenth of the wall: read
 * for extruded aluminium (ANSI H35.2, "at any point") and EN 10305-1, taken for all. */
static const double BORE_OFFSET_01 = 0.10;

size_t wp_stock_list(enum wp_stock_kind kind, bool is_solid, double outer_diameter_m, double wall_m,
                     struct wp_stock *stocks)
{
    size_t n_stocks = 0;
    for (size_t i = 0; i < N_CLASSES && n_stocks < WP_STOCKS_MAX; i++) {
        const struct stock_class *class = &classes[i];
        if (class->is_solid != is_solid || !((class->kinds >> kind) & 1u)) {
            continue;
        }
        const double diameter_m = diameter_limit_m(class, outer_diameter_m);
        stocks[n_stocks++] = (struct wp_stock){
            .name = class->name,
            .standard = class->standard,
            .is_from_memory = class->is_from_memory,
            .diameter_m = diameter_m,
            .wall_m = is_solid ? 0.0 : wall_limit_m(class, outer_diameter_m, wall_m),
            .ovality_01 = diameter_m / outer_diameter_m,
            .bore_offset_01 = is_solid ? 0.0 : BORE_OFFSET_01,
        };
    }
    return n_stocks;
}
