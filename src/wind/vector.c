/* SPDX-License-Identifier: MIT */
/* The wind as a fluctuating vector. */
#include "wind/vector.h"

#include <math.h>

double wp_vector_along_share(double q)
{
    /* At U = 0 the mean length is sigma sqrt(2 / pi) E(1 - 0.8^2), 1.1319 sigma, with the complete
     * elliptic integral E(m); q cannot be more than its inverse and the share is 0 there. */
    const double q_max2 = 0.78050;
    const double q2 = q * q;
    const double second = WP_ACROSS_SHARE * WP_ACROSS_SHARE;
    const double fourth = (1.0 - second * q_max2) / (q_max2 * q_max2);
    return sqrt(fmax(0.0, 1.0 - second * q2 - fourth * q2 * q2));
}
