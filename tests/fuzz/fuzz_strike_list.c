/* SPDX-License-Identifier: MIT */
/* Any bytes as a strike list: refused with a finding, or a sound list in order of time. */
#include "fuzz_target.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "windpeal/strike.h"

/* Two steel tubes and a wooden striker. */
struct bench {
    struct wp_set set;
    struct wp_chime chime;
    struct wp_layout layout;
    struct wp_striker striker;
    struct wp_strike_context context;
};

static struct bench *make_bench(void)
{
    struct bench *bench = calloc(1, sizeof *bench);
    if (!bench) {
        abort();
    }
    bench->set.n_tubes = bench->chime.n_tubes = bench->layout.n_tubes = 2;
    for (size_t i = 0; i < 2; i++) {
        struct wp_tube *tube = &bench->chime.tubes[i];
        tube->spec.material = *wp_striker_material_find("steel");
        tube->spec.outer_diameter_m = 0.02;
        tube->spec.wall_m = 0.001;
        tube->spec.length_m = 0.5;
        tube->mass_kg = tube->bare_mass_kg = 0.234;
        bench->layout.bearing_deg[i] = 180.0 * (double)i;
        bench->layout.strike_height_m[i] = 0.03;
    }
    bench->striker = (struct wp_striker){
        .material = *wp_striker_material_find("hardwood"), .diameter_m = 0.05, .mass_kg = 0.04};
    bench->context =
        (struct wp_strike_context){&bench->set, &bench->chime, &bench->layout, &bench->striker};
    return bench;
}

/* Every strike must be one that a tube can take, in order of time; rests and leaves take turns. */
static void check(const struct wp_strike_list *list)
{
    bool is_resting[2] = {false, false};
    for (size_t i = 0; i < list->n_items; i++) {
        const struct wp_strike *s = &list->items[i];
        const int is_sound = s->t_s >= 0.0 && s->tube < 2 && fabs(s->speed_m_s) <= 20.0 &&
                             s->bearing_deg >= 0.0 && s->bearing_deg < 360.0 &&
                             s->height_m >= 0.0 && s->height_m < 0.51 && !(s->impulse_n_s < 0.0);
        if (!is_sound || (i > 0 && s->t_s < list->items[i - 1].t_s)) {
            abort();
        }
        if (!wp_strike_is_blow(s)) {
            const bool is_rest = s->speed_m_s == 0.0;
            if (is_rest == is_resting[s->tube] || s->impulse_n_s != 0.0) {
                abort();
            }
            is_resting[s->tube] = is_rest;
        }
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct bench *bench = make_bench();
    struct wp_strike_list list;
    struct wp_diags diags;
    wp_diags_init(&diags);
    const enum wp_status status =
        wp_strike_list_parse(&list, "fuzz", (const char *)data, size, &bench->context, &diags);
    if ((status != WP_OK) != (diags.n_errors > 0) || (status && list.n_items > 0)) {
        abort();
    }
    check(&list);
    wp_strike_list_finish(&list);
    free(bench);
    return 0;
}
