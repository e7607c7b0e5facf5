/* SPDX-License-Identifier: MIT */
/* What the controller of a drive knows of the wind. */
#include "striker/controller.h"

#include <math.h>

#include "base/exact.h"

static const double radian = 0x1.1df46a2529d39p-6; /* pi / 180 */

static double bearing_deg(double east, double north)
{
    const double deg = wp_exact_atan2(east, north) / radian;
    return deg < 0.0 ? deg + 360.0 : deg;
}

/* The station's reading at the start of a window; a turn since the last one makes it unsteady. */
static struct wp_reading read_station(const struct wp_controller *controller, double t_s)
{
    struct wp_reading now = {0.0, NAN, 0.0};
    double speed_m_s;
    wp_wind_reading(controller->wind, t_s, &speed_m_s, &now.from_deg);
    if (speed_m_s > 0.0) {
        now.speed_m_s = speed_m_s;
    }
    if (!isnan(now.from_deg)) {
        /* The mean of two unit vectors an angle apart has the length |cos(angle / 2)|. */
        const double turn_deg = now.from_deg - controller->reading.from_deg;
        now.steadiness_01 = isnan(turn_deg) ? 1.0 : fabs(wp_exact_cos(0.5 * radian * turn_deg));
    }
    return now;
}

/* Mean speed and mean direction (as unit vectors) of the generated wind before end_s. */
static struct wp_reading average(struct wp_controller *controller, double end_s)
{
    double n = 0.0;
    double speed = 0.0;
    double east = 0.0;
    double north = 0.0;
    for (; controller->sample.t_s < end_s; wp_wind_step(controller->wind, &controller->sample)) {
        const double angle = radian * controller->sample.from_deg;
        n += 1.0;
        speed += controller->sample.speed_m_s;
        east += wp_exact_sin(angle);
        north += wp_exact_cos(angle);
    }
    if (n == 0.0) { /* steps longer than update_s: what was known still holds */
        return controller->reading;
    }
    const double length = sqrt(east * east + north * north) / n;
    return (struct wp_reading){
        .speed_m_s = speed / n / wp_wind_height_factor(controller->wind),
        .from_deg = length > 0.0 ? bearing_deg(east, north) : (double)NAN,
        .steadiness_01 = fmin(length, 1.0),
    };
}

void wp_controller_init(struct wp_controller *controller, struct wp_wind *wind, double update_s)
{
    *controller = (struct wp_controller){
        .wind = wind,
        .update_s = update_s,
        .is_generated = wp_wind_interval_s(wind) > update_s,
        .reading.from_deg = NAN,
    };
    if (!controller->is_generated) {
        controller->reading = read_station(controller, 0.0);
        return;
    }
    /* No window lies behind the start: the wind of the first moment is what there is. */
    wp_wind_step(wind, &controller->sample);
    controller->reading = (struct wp_reading){
        .speed_m_s = controller->sample.speed_m_s / wp_wind_height_factor(wind),
        .from_deg = controller->sample.from_deg,
        .steadiness_01 = 1.0,
    };
}

const struct wp_reading *wp_controller_at(struct wp_controller *controller, double t_s)
{
    const int64_t window = (int64_t)floor(t_s / controller->update_s);
    while (controller->window < window) {
        controller->window++;
        const double start_s = (double)controller->window * controller->update_s;
        controller->reading = controller->is_generated ? average(controller, start_s)
                                                       : read_station(controller, start_s);
    }
    return &controller->reading;
}
