/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TUBE_STOCK_H
#define WINDPEAL_TUBE_STOCK_H

#include "tube/material.h"
#include "windpeal/tolerance.h"

/* Tolerances that the trade's standards leave to bought tubes and rods. */

/**
 * The classes that stock of a metal comes in, at one size, the usual one first.
 *
 * @param is_solid  a rod; wall_m is then not looked at
 * @param stocks    out: room for WP_STOCKS_MAX
 * @return how many; at least 1
 */
size_t wp_stock_list(enum wp_stock_kind kind, bool is_solid, double outer_diameter_m, double wall_m,
                     struct wp_stock *stocks);

#endif
