/* SPDX-License-Identifier: MIT */
/* The coil drive of a set file. */
#include "set/coils.h"

static const struct wp_limits calm_limits = {WP_SPEED, 0.0, 30.0, "0 m/s to 30 m/s"};
static const struct wp_limits full_limits = {WP_SPEED, 0.1, 60.0, "0.1 m/s to 60 m/s"};
static const struct wp_limits update_limits = {WP_DURATION, 1.0, 3600.0, "1 s to 1 h"};
static const struct wp_limits bearing_limits = {WP_ANGLE, -360.0, 360.0, "-360 to 360 degrees"};
static const struct wp_limits over_limits = {WP_DURATION, 10.0, 3600.0, "10 s to 1 h"};
static const struct wp_limits delay_limits = {WP_DURATION, 0.1, 3600.0, "0.1 s to 1 h"};
static const struct wp_limits duty_limits = {WP_SHARE, 0.01, 1.0, "1 % to 100 %"};
static const struct wp_limits jitter_limits = {WP_SHARE, 0.0, 0.9, "0 % to 90 %"};
static const struct wp_limits pulse_limits = {WP_DURATION, 0.001, 0.5, "1 ms to 500 ms"};
static const struct wp_limits supply_limits = {WP_VOLTAGE, 0.5, 60.0, "0.5 V to 60 V"};
static const struct wp_limits ohm_limits = {WP_OHM, 0.05, 1e4, "0.05 ohm to 10 kohm"};
static const struct wp_limits henry_limits = {WP_INDUCTANCE, 1e-6, 10.0, "1 uH to 10 H"};
static const struct wp_limits force_limits = {WP_FORCE, 1e-3, 1e3, "1 mN to 1000 N"};
static const struct wp_limits current_limits = {WP_CURRENT, 1e-3, 50.0, "1 mA to 50 A"};
static const struct wp_limits reach_limits = {WP_LENGTH, 0.001, 0.2, "1 mm to 200 mm"};
static const struct wp_limits gap_limits = {WP_LENGTH, 0.0005, 0.2, "0.5 mm to 200 mm"};
static const struct wp_limits offset_limits = {WP_LENGTH, 0.0, 0.1, "0 mm to 100 mm"};
static const struct wp_limits friction_limits = {WP_LENGTH, 0.0, 0.02, "0 mm to 20 mm"};
static const struct wp_limits rating_limits = {WP_TEMPERATURE, 30.0, 200.0, "30 C to 200 C"};
static const struct wp_limits capacity_limits = {WP_HEAT_CAPACITY, 0.1, 1e4,
                                                 "0.1 J/K to 10000 J/K"};
static const struct wp_limits cooling_limits = {WP_HEAT_RESISTANCE, 0.1, 1e3,
                                                "0.1 K/W to 1000 K/W"};

static void read_against(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    static const char *const words[] = {"coil", "steel"};
    struct wp_set_coils *coils = value;
    coils->is_on_steel = wp_read_word(reader, node, words, 2, NULL) == 1;
}

static const struct wp_field fields[] = {
    {"mean_over", WP_FIELD_QUANTITY, &over_limits, offsetof(struct wp_set_coils, mean_over_s),
     NULL},
    {"slowest", WP_FIELD_QUANTITY, &delay_limits, offsetof(struct wp_set_coils, slowest_s), NULL},
    {"fastest", WP_FIELD_QUANTITY, &delay_limits, offsetof(struct wp_set_coils, fastest_s), NULL},
    {"calm_below", WP_FIELD_QUANTITY, &calm_limits, offsetof(struct wp_set_coils, calm_below_m_s),
     NULL},
    {"full_at", WP_FIELD_QUANTITY, &full_limits, offsetof(struct wp_set_coils, full_at_m_s), NULL},
    {"update", WP_FIELD_QUANTITY, &update_limits, offsetof(struct wp_set_coils, update_s), NULL},
    {"least_duty", WP_FIELD_QUANTITY, &duty_limits, offsetof(struct wp_set_coils, least_duty_01),
     NULL},
    {"jitter", WP_FIELD_QUANTITY, &jitter_limits, offsetof(struct wp_set_coils, jitter_01), NULL},
    {"pulse", WP_FIELD_QUANTITY, &pulse_limits, offsetof(struct wp_set_coils, pulse_s), NULL},
    {"supply", WP_FIELD_QUANTITY, &supply_limits, offsetof(struct wp_set_coils, supply_v), NULL},
    {"resistance", WP_FIELD_QUANTITY, &ohm_limits, offsetof(struct wp_set_coils, ohm_20c), NULL},
    {"inductance", WP_FIELD_QUANTITY, &henry_limits, offsetof(struct wp_set_coils, inductance_h),
     NULL},
    {"force", WP_FIELD_QUANTITY, &force_limits, offsetof(struct wp_set_coils, force_n), NULL},
    {"current", WP_FIELD_QUANTITY, &current_limits, offsetof(struct wp_set_coils, current_a), NULL},
    {"reach", WP_FIELD_QUANTITY, &reach_limits, offsetof(struct wp_set_coils, reach_m), NULL},
    {"gap", WP_FIELD_QUANTITY, &gap_limits, offsetof(struct wp_set_coils, gap_m), NULL},
    {"rest_offset", WP_FIELD_QUANTITY, &offset_limits, offsetof(struct wp_set_coils, rest_offset_m),
     NULL},
    {"rest_bearing", WP_FIELD_QUANTITY, &bearing_limits,
     offsetof(struct wp_set_coils, rest_bearing_deg), NULL},
    {"pivot_friction", WP_FIELD_QUANTITY, &friction_limits,
     offsetof(struct wp_set_coils, pivot_friction_m), NULL},
    {"rating", WP_FIELD_QUANTITY, &rating_limits, offsetof(struct wp_set_coils, rating_c), NULL},
    {"heat_capacity", WP_FIELD_QUANTITY, &capacity_limits,
     offsetof(struct wp_set_coils, heat_capacity_j_k), NULL},
    {"heat_resistance", WP_FIELD_QUANTITY, &cooling_limits,
     offsetof(struct wp_set_coils, heat_resistance_k_w), NULL},
    {"against", WP_FIELD_SPECIAL, NULL, 0, read_against},
};
static const struct wp_section section = {"coils", fields, sizeof fields / sizeof fields[0]};

/* What every value may be by itself, but not with its neighbour. */
static const char *find_conflict(const struct wp_set_coils *coils)
{
    if (coils->full_at_m_s <= coils->calm_below_m_s) {
        return "full_at is not above calm_below; expected a stronger wind for the fastest kicks "
               "than for the first";
    }
    if (coils->fastest_s > coils->slowest_s) {
        return "fastest is longer than slowest; expected the shorter delay in the stronger wind";
    }
    if (coils->pulse_s >= coils->fastest_s) {
        return "pulse is not shorter than fastest; expected a pause between kicks";
    }
    if (coils->mean_over_s < coils->update_s) {
        return "mean_over is shorter than update; expected a mean over several readings";
    }
    return NULL;
}

void wp_read_coils(const struct wp_reader *reader, const struct wp_node *node, void *value)
{
    struct wp_set_drive *drive = value;
    drive->kind = WP_DRIVE_COILS;
    wp_section_read(reader, &section, node, &drive->coils);
    const char *conflict = find_conflict(&drive->coils);
    if (conflict) {
        (void)wp_reader_refuse(reader, node, WP_E_RANGE, NULL, "%s", conflict);
    }
}
