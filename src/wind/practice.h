/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_PRACTICE_H
#define WINDPEAL_WIND_PRACTICE_H

/* What stations do and what wind is taken for, alike for files and feeds. */

/* WMO-No. 8, part I, chapter 5: a mean wind is one over 10 minutes. */
static const double WP_MEAN_S = 600.0;

/* Longest time for which one gust is taken to be reported. */
static const double WP_GUST_REPORT_MAX_S = 3600.0;

/* Eddies never pass slower than this: light wind is not frozen. */
static const double WP_PASSING_MIN_M_S = 0.3;

/* No eddy that matters passes in this time. */
static const double WP_INSTANT_S = 0.01;

/* A time this part of a step past a step counts as on it: epoch seconds are no more exact. */
static const double WP_STEP_SLACK = 1e-4;

#endif
