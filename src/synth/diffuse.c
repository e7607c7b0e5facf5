/* SPDX-License-Identifier: MIT */
/* Statistical acoustics of a room. */

#include <math.h>

#include "windpeal/level.h"

/* ISO 3741: reference sound power. */
static const double REFERENCE_W = 1e-12;

double wp_room_absorption_m2(double volume_m3, double decay_s, double sound_speed_m_s)
{
    return 24.0 * log(10.0) * volume_m3 / (sound_speed_m_s * decay_s);
}

double wp_diffuse_level_db(double power_w, double absorption_m2)
{
    return 10.0 * log10(power_w / REFERENCE_W * 4.0 / absorption_m2);
}
