/* SPDX-License-Identifier: MIT */
/* The figures of one blow: rounded, completed, printed. */
#include "striker/blow.h"

#include <math.h>

/* A whole number of 10^-places, as a strike list prints it. */
struct figure {
    double whole;
    int places;
};

/* 10^0 to 10^22 are exact doubles. */
static double power_of_ten(int n)
{
    double power = 1.0;
    for (int i = 0; i < n; i++) {
        power *= 10.0;
    }
    return power;
}

static struct figure fixed(double value, int places)
{
    return (struct figure){floor(value * power_of_ten(places) + 0.5), places};
}

/* Six significant digits for values from 1e-10 up to 1e6, fewer decimals outside of it, none of 0.
 */
static struct figure significant(double value)
{
    int places = 0;
    while (value > 0.0 && places < 15 && value * power_of_ten(places) < 99999.5) {
        places++;
    }
    return fixed(value, places);
}

static double figure_value(struct figure figure)
{
    return figure.whole / power_of_ten(figure.places);
}

double wp_figure_time(double t_s)
{
    return figure_value(fixed(t_s, 6));
}

double wp_figure_speed(double speed_m_s)
{
    return figure_value(fixed(speed_m_s, 6));
}

double wp_figure_bearing(double bearing_deg)
{
    const double turned = bearing_deg - 360.0 * floor(bearing_deg / 360.0);
    const double rounded = figure_value(fixed(turned, 2));
    return rounded < 360.0 ? rounded : 0.0;
}

double wp_figure_height(double height_m)
{
    return figure_value(fixed(height_m, 5));
}

double wp_figure_impulse(double impulse_n_s)
{
    return figure_value(significant(impulse_n_s));
}

void wp_blow_place(struct wp_strike *strike, const struct wp_layout *layout)
{
    if (isnan(strike->bearing_deg)) {
        strike->bearing_deg = wp_figure_bearing(layout->bearing_deg[strike->tube]);
    }
    if (isnan(strike->height_m)) {
        strike->height_m = wp_figure_height(layout->strike_height_m[strike->tube]);
    }
}

void wp_strike_complete(struct wp_strike *strike, const struct wp_strike_context *context)
{
    wp_blow_place(strike, context->layout);
    if (!wp_strike_is_blow(strike)) {
        strike->impulse_n_s = 0.0;
    } else if (isnan(strike->impulse_n_s)) {
        struct wp_contact contact;
        wp_contact_solve(&contact, context->striker, &context->chime->tubes[strike->tube],
                         strike->height_m, strike->speed_m_s);
        strike->impulse_n_s = wp_figure_impulse(contact.impulse_n_s);
    }
}

/* By whole numbers, so that no locale puts a comma where the point belongs. */
static int print_figure(FILE *file, struct figure figure, char end)
{
    const double power = power_of_ten(figure.places);
    const double whole = fabs(figure.whole);
    const char *sign = figure.whole < 0.0 ? "-" : "";
    const double units = floor(whole / power);
    const double rest = whole - units * power;
    if (figure.places == 0) {
        return fprintf(file, "%s%.0f%c", sign, units, end);
    }
    return fprintf(file, "%s%.0f.%0*.0f%c", sign, units, figure.places, rest, end);
}

int wp_strike_print_heading(FILE *file)
{
    return fprintf(file, "t_s,tube,speed_m_s,bearing_deg,height_m,impulse_n_s\n");
}

int wp_strike_print(FILE *file, const struct wp_strike *strike)
{
    const int parts[] = {
        print_figure(file, fixed(strike->t_s, 6), ','),
        fprintf(file, "%zu,", strike->tube + 1),
        print_figure(file, fixed(strike->speed_m_s, 6), ','),
        print_figure(file, fixed(strike->bearing_deg, 2), ','),
        print_figure(file, fixed(strike->height_m, 5), ','),
        print_figure(file, significant(strike->impulse_n_s), '\n'),
    };
    int sum = 0;
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (parts[i] < 0) {
            return parts[i];
        }
        sum += parts[i];
    }
    return sum;
}
