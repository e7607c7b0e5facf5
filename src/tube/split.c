/* SPDX-License-Identifier: MIT */
/* What an imperfect section does: two directions of vibration with slightly different pitch. */
#include "tube/split.h"

#include <math.h>

/* Second moment of an ellipse about the axis that its half-axis `along` is measured from. */
static double ellipse_moment(double along, double across)
{
    return M_PI / 4.0 * along * along * along * across;
}

/* Cents between vibration along the long and along the short diameter. */
static double ovality_cents(double radius, double wall, double ovality_01)
{
    const double long_half = radius * (1.0 + 0.5 * ovality_01);
    const double short_half = radius * (1.0 - 0.5 * ovality_01);
    const double bore_long = fmax(long_half - wall, 0.0);
    const double bore_short = fmax(short_half - wall, 0.0);
    const double stiff =
        ellipse_moment(long_half, short_half) - ellipse_moment(bore_long, bore_short);
    const double soft =
        ellipse_moment(short_half, long_half) - ellipse_moment(bore_short, bore_long);
    return 600.0 * log2(stiff / soft);
}

/* Cents between vibration across and along the offset of the bore. */
static double bore_cents(double radius, double wall, double bore_offset_01)
{
    const double bore = fmax(radius - wall, 0.0);
    const double offset = bore_offset_01 * wall;
    const double outer_area = M_PI * radius * radius;
    const double bore_area = M_PI * bore * bore;
    const double area = outer_area - bore_area;
    const double moment = ellipse_moment(radius, radius) - ellipse_moment(bore, bore);
    const double lost = bore_area * outer_area * offset * offset / (area * moment);
    return -600.0 * log2(1.0 - lost);
}

double wp_split_cents(const struct wp_tube_spec *spec)
{
    const double radius = 0.5 * spec->outer_diameter_m;
    return ovality_cents(radius, spec->wall_m, spec->ovality_01) +
           bore_cents(radius, spec->wall_m, spec->bore_offset_01);
}
