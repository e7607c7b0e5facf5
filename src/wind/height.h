/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_HEIGHT_H
#define WINDPEAL_WIND_HEIGHT_H

/* How the mean wind changes with height over ground of a given roughness. */

/* A place of wind: height above ground and roughness length, in metres, 0 < roughness < height. */
struct wp_exposure {
    double height_m;
    double roughness_m;
};

/*
 * Ratio of the mean wind at one place to that at another. Over the same ground the logarithmic
 * law; over different ground both are tied together at the blending height of 60 m: J. Wieringa,
 * "Roughness-dependent geographical interpolation of surface wind speed averages", Quart. J. R.
 * Met. Soc. 112 (1986) 867-889; WMO-No. 8, Guide to Instruments and Methods of Observation, part
 * I, chapter 5.
 */
double wp_height_factor(struct wp_exposure from, struct wp_exposure to);

/* Standard deviation over mean of the along component, 1 / ln(z / z0), at most 0.5. */
double wp_height_intensity(struct wp_exposure exposure);

#endif
