/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_VECTOR_H
#define WINDPEAL_WIND_VECTOR_H

#include <math.h>

#include "wind/kaimal.h"
#include "windpeal/attributes.h"

/* A moment of wind: a steady part, and turbulence along and across it. */

struct wp_vector {
    double along;
    double across;
    double speed; /* its length */
};

/* Most that sigma may be of the mean speed: with more, a fluctuating vector's mean length could
 * not be as small as the mean. */
static const double WP_SIGMA_MAX = 0.8;

/*
 * Mean of the along component over the mean speed, for a ratio q of sigma to the mean speed and a
 * Gaussian vector with sigmas q and 0.8 q: the length of a fluctuating vector is longer than its
 * mean, by about sigma_across^2 / 2U. Within 1 % of the numerical mean for q up to 0.8.
 */
static inline double wp_vector_along_share(double q)
{
    /* At U = 0 the mean length is sigma sqrt(2 / pi) E(1 - 0.8^2), 1.1319 sigma, with the complete
     * elliptic integral E(m); q cannot be more than its inverse and the share is 0 there. */
    const double q_max2 = 0.78050;
    const double q2 = q * q;
    const double second = WP_ACROSS_SHARE * WP_ACROSS_SHARE;
    const double fourth = (1.0 - second * q_max2) / (q_max2 * q_max2);
    const double square = 1.0 - second * q2 - fourth * q2 * q2;
    return sqrt(square > 0.0 ? square : 0.0);
}

/* The vector whose along component is steady_m_s on average; fluctuation is in sigmas along. */
static inline struct wp_vector wp_vector_of(double steady_m_s, double sigma_m_s,
                                            const double fluctuation[WP_COMPONENTS])
{
    struct wp_vector vector;
    vector.along = steady_m_s + sigma_m_s * fluctuation[WP_ALONG];
    vector.across = WP_ACROSS_SHARE * sigma_m_s * fluctuation[WP_ACROSS];
    vector.speed = sqrt(vector.along * vector.along + vector.across * vector.across);
    return vector;
}

#endif
