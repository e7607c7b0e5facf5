/* SPDX-License-Identifier: MIT */
/* Every preset is a set that a maker could cut and hang. */
#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "windpeal/chime.h"
#include "windpeal/contact.h"
#include "windpeal/layout.h"
#include "windpeal/set.h"

enum { PRESETS_MIN = 5 };

/* Calls check with each preset's path and set; returns how many there are. */
static size_t for_each_preset(void (*check)(const char *path, const struct wp_set *set))
{
    const char *root = getenv("WP_SOURCE_ROOT");
    char folder[1024];
    assert_non_null(root);
    (void)snprintf(folder, sizeof folder, "%s/presets", root);
    DIR *entries = opendir(folder);
    assert_non_null(entries);
    size_t n_presets = 0;
    const struct dirent *entry;
    while ((entry = readdir(entries))) {
        char path[2048];
        struct wp_set set;
        struct wp_diags diags;
        if (!strstr(entry->d_name, ".yaml")) {
            continue;
        }
        wp_diags_init(&diags);
        (void)snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        const enum wp_status status = wp_set_load(&set, path, &diags);
        if (status || diags.n_items > 0) {
            fail_msg("%s:%d: %s", path, diags.items[0].mark.line, diags.items[0].message);
        }
        check(path, &set);
        n_presets++;
    }
    closedir(entries);
    return n_presets;
}

static void check_licence(const char *path, const struct wp_set *set)
{
    (void)set;
    char line[64] = "";
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    assert_non_null(fgets(line, sizeof line, file));
    (void)fclose(file);
    assert_string_equal(line, "# SPDX-License-Identifier: CC0-1.0\n");
}

static void every_preset_is_free_to_use(void **state)
{
    (void)state;
    assert_true(for_each_preset(check_licence) >= PRESETS_MIN);
}

/* Common practice, no source: stock comes in bars of 2 m and more, and a tube below 250 mm is hard
 * to hang by its nodes. */
static void check_making(const char *path, const struct wp_set *set)
{
    struct wp_chime_config config;
    struct wp_chime *chime = NULL;
    struct wp_diags diags;
    wp_diags_init(&diags);
    wp_chime_config_default(&config);
    if (wp_chime_create(&chime, set, &config, &diags)) {
        fail_msg("%s: %s", path, diags.items[0].message);
    }
    struct wp_layout layout;
    struct wp_striker striker;
    if (wp_layout_init(&layout, set, chime, &diags) || wp_striker_init(&striker, set, &diags) ||
        diags.n_items > 0) {
        fail_msg("%s: %s", path, diags.items[0].message);
    }
    for (size_t i = 0; i < chime->n_tubes; i++) {
        const double length_m = chime->tubes[i].spec.length_m;
        if (!(length_m > 0.25 && length_m < 2.0)) {
            fail_msg("%s: tube %zu is %.3f m long", path, i + 1, length_m);
        }
    }
    wp_chime_destroy(chime);
}

static void every_preset_can_be_cut_and_hung(void **state)
{
    (void)state;
    assert_true(for_each_preset(check_making) >= PRESETS_MIN);
}

static struct wp_place place_of(const struct wp_set *set, size_t tube)
{
    const double angle = 2.0 * M_PI * (double)tube / (double)set->n_tubes;
    const double radius_m = set->layout.ring_radius_m;
    return set->layout.kind == WP_LAYOUT_RING
               ? (struct wp_place){radius_m * sin(angle), radius_m * cos(angle)}
               : set->layout.places[tube];
}

/* Common practice, no source: less than a finger's breadth of gap stifles the swing, and more than
 * 30 mm is seldom crossed. */
static void check_gaps(const char *path, const struct wp_set *set)
{
    for (size_t i = 0; i < set->n_tubes; i++) {
        const struct wp_place a = place_of(set, i);
        const double radius_m = 0.5 * set->tubes[i].outer_diameter_m;
        const double gap_m = hypot(a.x_m, a.y_m) - radius_m - 0.5 * set->striker.diameter_m;
        if (!(gap_m >= 0.012 && gap_m <= 0.030)) {
            fail_msg("%s: tube %zu hangs %.4f m from the striker", path, i + 1, gap_m);
        }
        for (size_t j = 0; j < i; j++) {
            const struct wp_place b = place_of(set, j);
            const double apart_m = hypot(a.x_m - b.x_m, a.y_m - b.y_m) - radius_m -
                                   0.5 * set->tubes[j].outer_diameter_m;
            if (!(apart_m > 0.005)) {
                fail_msg("%s: tubes %zu and %zu touch", path, j + 1, i + 1);
            }
        }
    }
}

static void striker_of_every_preset_can_swing(void **state)
{
    (void)state;
    assert_true(for_each_preset(check_gaps) >= PRESETS_MIN);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_preset_is_free_to_use),
        cmocka_unit_test(every_preset_can_be_cut_and_hung),
        cmocka_unit_test(striker_of_every_preset_can_swing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
