/* SPDX-License-Identifier: MIT */
/* Says what sound levels at the listener mean to people. */

#include <math.h>

#include "windpeal/level.h"

/*
 * Speech of normal vocal effort 1 m from the talker: the spectrum of ANSI S3.5-1997 (62.35 dB as a
 * whole) comes to 59 dB(A); ISO 9921:2003 has 60 dB(A) for normal and 66 dB(A) for raised speech
 * (from memory). The two steps of 15 dB below are our own choice.
 */
static const double NORMAL_TALK_DB = 60.0;
static const double RAISED_VOICE_DB = 66.0;
static const double COVERED_BY_TALK_DB = 45.0;
static const double QUIET_BEDROOM_DB = 30.0;

/* ITU-T H.870 (2018), adults (from memory), and NIOSH 98-126 (1998). */
static const double LEISURE_DB = 80.0;
static const double WORK_DB = 85.0;

/*
 * WHO, Night Noise Guidelines for Europe (2009): 40 dB outside over the nights of a year. WHO,
 * Guidelines for Community Noise (1999): 45 dB LAFmax in the bedroom, whose window, slightly open,
 * keeps 15 dB outside.
 */
static const double NIGHT_MEAN_DB = 40.0;
static const double NIGHT_STRIKE_DB = 45.0 + 15.0;

static enum wp_audibility find_audibility(double strike_db)
{
    const double steps_db[] = {QUIET_BEDROOM_DB, COVERED_BY_TALK_DB, NORMAL_TALK_DB,
                               RAISED_VOICE_DB};
    enum wp_audibility audibility = WP_HARDLY_HEARD;
    if (isnan(strike_db)) {
        return WP_SILENT;
    }
    for (size_t i = 0; i < sizeof steps_db / sizeof steps_db[0]; i++) {
        audibility += strike_db >= steps_db[i] ? 1 : 0;
    }
    return audibility;
}

static enum wp_hearing_care find_care(double mean_db)
{
    if (mean_db >= WORK_DB) {
        return WP_CARE_WORK;
    }
    return mean_db >= LEISURE_DB ? WP_CARE_LEISURE : WP_CARE_NONE;
}

void wp_level_judge(struct wp_verdict *verdict, const struct wp_levels *levels, double distance_m)
{
    const double excess_db =
        fmax(levels->laeq_db - NIGHT_MEAN_DB, levels->lafmax_db - NIGHT_STRIKE_DB);
    verdict->audibility = find_audibility(levels->lafmax_db);
    verdict->care = find_care(levels->laeq_db);
    verdict->care_m = distance_m * pow(10.0, (levels->laeq_db - LEISURE_DB) / 20.0);
    verdict->night_m = distance_m * pow(10.0, excess_db / 20.0);
}
