/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_WIND_LIVE_H
#define WINDPEAL_WIND_LIVE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "wind/eddies.h"
#include "wind/interval.h"
#include "windpeal/attributes.h"

/*
 * The wind of a feed: what the latest record says holds, over turbulence as in the wind of a file,
 * and goes over to the next record's within a quarter of the interval, at most 30 s. Turbulence
 * loses what is slower than a record: that change is the records' own. Depends on nothing but the
 * records' times and values, the configuration and the seed.
 */

/* How a feed stands. */
enum wp_live_news {
    WP_LIVE_WAITING, /* nothing told yet */
    WP_LIVE_FRESH,
    WP_LIVE_SILENT, /* given up */
    WP_LIVE_FADED,  /* and fallen to a calm */
};

struct wp_live_config {
    struct wp_interval_config reading; /* its weather: records known beforehand, or NULL */
    uint64_t seed;
    double interval_s; /* 0: learnt */
    double fade_s;     /* from giving up to a calm; INFINITY: held */
};

/* The wind of a step. */
struct wp_live_moment {
    struct wp_vector vector;
    double from_deg;
};

/* What the wind is made of at a moment. */
enum wp_live_part {
    WP_LIVE_MEAN_M_S,    /* where the wind is wanted */
    WP_LIVE_SIGMA_M_S,   /* of all turbulence along the wind */
    WP_LIVE_WANDER_DEG,  /* standard deviation of the slow turning */
    WP_LIVE_FROM_DEG,    /* not wrapped */
    WP_LIVE_RECORD_S,    /* time that a record's mean holds */
    WP_LIVE_WITHIN,      /* share of sigma that lies within such a time */
    WP_LIVE_READING_M_S, /* what the station says */
    WP_LIVE_PARTS,
};

enum {
    WP_LIVE_QUEUE = 16,    /* records that may wait for their time */
    WP_LIVE_DISTANCES = 8, /* latest ones, whose median is the interval */
    WP_LIVE_MEANS = 1024,  /* latest ones, whose scatter is sigma */
};

/* A moment's mean. */
struct wp_live_mean {
    double t_s;
    double mean_m_s;
};

struct wp_live {
    const struct wp_weather *weather; /* known beforehand, or NULL */
    size_t n_known;                   /* of them that have taken hold or were passed over */
    struct wp_record waiting[WP_LIVE_QUEUE];
    size_t first_waiting;
    size_t n_waiting;
    double added_s; /* time of the record added last */
    double start_s;
    double step_s;
    struct wp_exposure station;
    double factor;      /* wanted height over station */
    double intensity;   /* sigma / mean in ten minutes at the station; see is_intensity_given */
    double averaging_s; /* 0: the interval */
    double gust_over_s; /* 0: averaging_s, or the interval */
    double gust_s;
    double interval_s; /* 0: learnt */
    double fade_s;
    bool is_intensity_given;
    int64_t now; /* step to deliver next */
    enum wp_live_news news;
    struct wp_record latest;
    double temperature_c; /* told last */
    double pressure_pa;
    size_t n_records; /* that have taken hold, with a mean */
    double distances_s[WP_LIVE_DISTANCES];
    size_t n_distances;
    struct wp_live_mean means[WP_LIVE_MEANS];
    /* The parts go from one moment's to another's in a straight line from step ramp_first on. */
    double from[WP_LIVE_PARTS];
    double to[WP_LIVE_PARTS];
    double at[WP_LIVE_PARTS];
    int64_t ramp_first;
    double ramp_steps;
    bool is_on_the_way;
    struct wp_eddies eddies;
    double slow[WP_COMPONENTS]; /* of the turbulence */
    double slow_take;           /* share of a step that it takes up */
};

/* In a calm, before the first record. Everything in config must be in range. */
void wp_live_init(struct wp_live *live, const struct wp_live_config *config);

/* Adds a record, as wp_wind_report; false: too early, or too many wait. */
bool wp_live_add(struct wp_live *live, const struct wp_record *record) WP_REALTIME;

/* The next step. */
void wp_live_step(struct wp_live *live, struct wp_live_moment *moment) WP_REALTIME;

#endif
