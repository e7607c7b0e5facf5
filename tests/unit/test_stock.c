/* SPDX-License-Identifier: MIT */
/* Every material and size has tolerances. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tube/stock.h"
#include "windpeal/tube.h"

/* From the thinnest to the widest that a set file takes. */
static void every_size_of_every_material_has_a_class(void **state)
{
    (void)state;
    for (int kind = WP_STOCK_ALUMINIUM; kind <= WP_STOCK_OTHER; kind++) {
        for (double diameter_m = 0.003; diameter_m <= 0.3001; diameter_m *= 1.07) {
            for (double share = 0.02; share < 0.5; share *= 1.5) {
                struct wp_stock stocks[WP_STOCKS_MAX];
                const double wall_m = fmax(share * diameter_m, 0.0002);
                const size_t n =
                    wp_stock_list((enum wp_stock_kind)kind, false, diameter_m, wall_m, stocks);
                assert_true(n >= 1 && n <= WP_STOCKS_MAX);
                for (size_t i = 0; i < n; i++) {
                    assert_true(stocks[i].diameter_m > 0.0 && stocks[i].diameter_m < 0.002);
                    assert_true(stocks[i].wall_m > 0.0 && isfinite(stocks[i].wall_m));
                    assert_non_null(stocks[i].standard);
                }
            }
        }
    }
}

static void rods_have_no_wall_to_vary(void **state)
{
    (void)state;
    for (int kind = WP_STOCK_ALUMINIUM; kind <= WP_STOCK_OTHER; kind++) {
        struct wp_stock stocks[WP_STOCKS_MAX];
        assert_true(wp_stock_list((enum wp_stock_kind)kind, true, 0.012, 0.006, stocks) >= 1);
        assert_true(stocks[0].wall_m == 0.0 && stocks[0].bore_offset_01 == 0.0);
        assert_true(stocks[0].diameter_m > 0.0);
    }
}

static void wider_stock_may_be_further_off(void **state)
{
    (void)state;
    for (int kind = WP_STOCK_ALUMINIUM; kind <= WP_STOCK_OTHER; kind++) {
        double before_m = 0.0;
        for (double diameter_m = 0.003; diameter_m <= 0.3; diameter_m *= 1.03) {
            struct wp_stock stocks[WP_STOCKS_MAX];
            wp_stock_list((enum wp_stock_kind)kind, false, diameter_m, 0.001, stocks);
            assert_true(stocks[0].diameter_m >= before_m);
            before_m = stocks[0].diameter_m;
        }
    }
}

static void materials_find_the_stock_they_are_sold_as(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        enum wp_stock_kind kind;
    } pairs[] = {
        {"6061", WP_STOCK_ALUMINIUM},     {"steel", WP_STOCK_STEEL},
        {"inox", WP_STOCK_STAINLESS},     {"copper, hard", WP_STOCK_COPPER},
        {"brass", WP_STOCK_COPPER_ALLOY}, {"tin bronze", WP_STOCK_COPPER_ALLOY},
        {"Ti-6Al-4V", WP_STOCK_TITANIUM}, {"glass", WP_STOCK_OTHER},
        {"bell metal", WP_STOCK_OTHER},
    };
    struct wp_set_material material = {.is_custom = false};
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        (void)snprintf(material.name, sizeof material.name, "%s", pairs[i].name);
        assert_int_equal(wp_stock_kind_of(&material), pairs[i].kind);
    }
    material.is_custom = true;
    (void)snprintf(material.name, sizeof material.name, "brass");
    assert_int_equal(wp_stock_kind_of(&material), WP_STOCK_OTHER);
}

static void every_material_states_its_uncertainty(void **state)
{
    (void)state;
    for (size_t i = 0; wp_material_name(i); i++) {
        const struct wp_material_uncertainty *known = wp_material_uncertainty(wp_material_name(i));
        assert_non_null(known);
        assert_true(known->stiffness_01 >= 0.01 && known->stiffness_01 <= 0.10);
        assert_true(known->density_01 > 0.0 && known->density_01 <= 0.03);
        assert_true(known->loss_times >= 1.5 && known->loss_times <= 10.0);
        assert_true(strlen(known->source) > 8);
    }
    assert_null(wp_material_uncertainty("cheese"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_size_of_every_material_has_a_class),
        cmocka_unit_test(rods_have_no_wall_to_vary),
        cmocka_unit_test(wider_stock_may_be_further_off),
        cmocka_unit_test(materials_find_the_stock_they_are_sold_as),
        cmocka_unit_test(every_material_states_its_uncertainty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
