/* SPDX-License-Identifier: MIT */
/* Ways of sound round a tube: by the ground, and into a room. */

#include "synth/surround.h"

#include <math.h>

#include "synth/air_loss.h"
#include "synth/ground.h"
#include "tube/air.h"
#include "windpeal/level.h"

static const double RADIAN = M_PI / 180.0;

static struct wp_transfer times(struct wp_transfer a, struct wp_transfer b)
{
    return (struct wp_transfer){a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re};
}

static struct wp_transfer scaled(struct wp_transfer a, double scale)
{
    return (struct wp_transfer){scale * a.re, scale * a.im};
}

/* Takes off what the air takes along a way. */
static void lose_in_air(struct wp_excitation *excitation, const struct wp_set *set, size_t way)
{
    for (size_t m = 0; m < excitation->n_partials; m++) {
        const double db_m = wp_air_loss_db_m(excitation->partials[m].freq_hz, set->temperature_c,
                                             set->room.humidity_01);
        const double kept = pow(10.0, -0.05 * db_m * excitation->paths[way].length_m);
        excitation->transfer[way][m] = scaled(excitation->transfer[way][m], kept);
    }
}

static void add_ground(struct wp_excitation *excitation, const struct wp_set *set,
                       const struct wp_layout *layout, size_t tube_index, size_t ear)
{
    const size_t way = excitation->n_ways++;
    const double side = excitation->n_ears == 1 ? 0.0 : ear == 0 ? 1.0 : -1.0;
    struct wp_path *path = &excitation->paths[way];
    struct wp_air air;
    wp_air_init(&air, set->temperature_c);
    excitation->output[way] = ear;
    wp_path_init_reflected(path, set, layout, tube_index, side * WP_EAR_ASIDE_M);
    wp_excitation_hear(excitation, way);
    for (size_t m = 0; m < excitation->n_partials; m++) {
        const struct wp_bounce bounce = {excitation->partials[m].freq_hz, air.sound_speed_m_s,
                                         path->length_m, path->cosine};
        const struct wp_transfer reflection = wp_ground_reflection(set->room.ground, &bounce);
        excitation->transfer[way][m] = times(excitation->transfer[way][m], reflection);
    }
    lose_in_air(excitation, set, way);
}

/* What an ear hears straight of a polarisation of its own, up to what is common to both ears. */
static struct wp_transfer direct_at(const struct wp_excitation *excitation, size_t ear, size_t m,
                                    bool is_ideal)
{
    const double at = (excitation->paths[ear].bearing_deg - excitation->tube->axis_deg) * RADIAN;
    const int order = excitation->tube->partials[excitation->source[m]].order;
    const double share = excitation->pole[m] == WP_POLE_BOTH    ? 1.0
                         : excitation->pole[m] == WP_POLE_ALONG ? cos(order * at)
                                                                : sin(order * at);
    const struct wp_transfer *transfer = &excitation->transfer[ear][m];
    if (is_ideal) { /* which lets the straight ways start without a phase */
        return (struct wp_transfer){share * hypot(transfer->re, transfer->im), 0.0};
    }
    return scaled(*transfer, share);
}

/* Phase of the straight way to the first ear, which an ideal contact leaves out of all ways. */
static struct wp_transfer phase_left_out(const struct wp_excitation *excitation, size_t m)
{
    const struct wp_transfer *first = &excitation->transfer[0][m];
    const double size = hypot(first->re, first->im);
    return size > 0.0 ? scaled(*first, 1.0 / size) : (struct wp_transfer){1.0, 0.0};
}

static void add_feed(struct wp_excitation *excitation, const struct wp_set *set,
                     const struct wp_hall *hall)
{
    const bool is_ideal = set->striker.is_ideal_contact;
    const size_t way = excitation->n_ways++;
    struct wp_air air;
    wp_air_init(&air, set->temperature_c);
    excitation->output[way] = excitation->n_ears;
    excitation->paths[way] = (struct wp_path){.length_m = 1.0};
    for (size_t m = 0; m < excitation->n_partials; m++) {
        const struct wp_partial *partial = &excitation->tube->partials[excitation->source[m]];
        const double power_w = wp_tube_power(excitation->tube, partial);
        const double pa = sqrt(air.density_kg_m3 * air.sound_speed_m_s * power_w / (2.0 * M_PI));
        struct wp_transfer direct[WP_BANK_EARS_MAX];
        for (size_t ear = 0; ear < excitation->n_ears; ear++) {
            direct[ear] = direct_at(excitation, ear, m, is_ideal);
        }
        struct wp_transfer feed = wp_hall_feed(hall, &excitation->partials[m], direct);
        if (is_ideal) {
            feed = times(feed, phase_left_out(excitation, m));
        }
        excitation->transfer[way][m] = scaled(feed, pa / WP_FULL_SCALE_PA);
    }
}

void wp_surround(struct wp_excitation *excitation, const struct wp_set *set,
                 const struct wp_layout *layout, size_t tube_index, const struct wp_hall *hall)
{
    if (set->room.kind == WP_ROOM_FREE || excitation->hearer == WP_HEARER_LOUDSPEAKER) {
        return;
    }
    for (size_t ear = 0; ear < excitation->n_ears; ear++) {
        lose_in_air(excitation, set, ear);
    }
    if (set->room.kind == WP_ROOM_OUTDOORS) {
        for (size_t ear = 0; ear < excitation->n_ears; ear++) {
            add_ground(excitation, set, layout, tube_index, ear);
        }
    } else {
        add_feed(excitation, set, hall);
    }
}
