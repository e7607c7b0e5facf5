/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_TOLERANCE_REPORT_H
#define WINDPEAL_APP_TOLERANCE_REPORT_H

#include <stdbool.h>

#include <jansson.h>

#include "app/set_source.h"

/* What `windpeal tubes --tolerance` tells. */

/* Prints how far each pitch moves, and what bought stock makes of it, on stdout: for tenths of a
 * millimetre, or thousandths of an inch. */
void app_tolerance_print(const struct app_set *loaded, bool is_in_inches);

/* The same as a JSON array, one entry a tube; NULL without memory. */
json_t *app_tolerance_describe(const struct app_set *loaded);

/* Prints what is known of the stiffness of each of the set's materials on stdout. */
void app_stiffness_print(const struct app_set *loaded);

#endif
