/* SPDX-License-Identifier: MIT */
/* A stranger's program: builds against the installed library and reads a length with it. */

#include <math.h>
#include <stdio.h>

#include <windpeal/quantity.h>
#include <windpeal/status.h>

int main(void)
{
    double length_m = 0.0;
    const enum wp_status status = wp_quantity_parse("47 1/2 in", WP_LENGTH, &length_m, NULL, 0);
    if (status) {
        fprintf(stderr, "%s\n", wp_status_text(status));
        return 1;
    }
    /* An inch is 25.4 mm exactly (international yard and pound agreement, 1959). */
    printf("47 1/2 in = %.4f m\n", length_m);
    return fabs(length_m - 1.2065) < 1e-12 ? 0 : 1;
}
