/* SPDX-License-Identifier: MIT */
/* The wind of a feed, record by record. */
#include "wind/live.h"

#include <math.h>
#include <string.h>

#include "base/exact.h"
#include "wind/gust.h"
#include "wind/practice.h"
#include "wind/spread.h"
#include "wind/turn.h"
#include "wind/vector.h"

/* The way from one record's wind to the next one's: a share of the interval, and at most. */
static const double RAMP_SHARE = 0.25;
static const double RAMP_MAX_S = 30.0;

/* The interval until the feed has shown it. */
static const double INTERVAL_AT_FIRST_S = 60.0;
static const size_t DISTANCES_LEAST = 3;

/* A feed is given up after so many intervals, and not before so long. */
static const double SILENT_INTERVALS = 3.0;
static const double SILENT_LEAST_S = 10.0;
static const double SILENT_AT_FIRST_S = 1800.0;

/* Speeds between which the spectrum's moments are taken. */
static const double SLOWEST_M_S = 0.25;
static const double FASTEST_M_S = 64.0;

/*
 * A running average, exponential with this share of a record's time, is taken off the turbulence.
 * With it the variance that is left is that within a record to 2 %, for records from L / 10 U on
 * (by quadrature over Kaimal's spectrum).
 */
static const double SLOW_SHARE = 0.35;

/* Of sigma in it this much lies in the records' means again, for records of x = U T / L: 0.16 / (1
 * + x^0.8 / 2), fitted to the same integrals to 0.003. A gust is told within one record. */
static const double AGAIN = 0.16;

static double median_of(const double *values, size_t n)
{
    double sorted[WP_LIVE_DISTANCES];
    for (size_t i = 0; i < n; i++) {
        size_t j = i;
        for (; j > 0 && sorted[j - 1] > values[i]; j--) {
            sorted[j] = sorted[j - 1];
        }
        sorted[j] = values[i];
    }
    return sorted[(n - 1) / 2];
}

static bool is_interval_known(const struct wp_live *live)
{
    return live->interval_s > 0.0 || live->n_distances >= DISTANCES_LEAST;
}

static double interval_of(const struct wp_live *live)
{
    if (live->interval_s > 0.0) {
        return live->interval_s;
    }
    const size_t n = live->n_distances < WP_LIVE_DISTANCES ? live->n_distances : WP_LIVE_DISTANCES;
    return n >= DISTANCES_LEAST ? median_of(live->distances_s, n) : INTERVAL_AT_FIRST_S;
}

/* Moments of the spectrum that the station sees, as wp_gust_moments. */
static struct wp_gust_moments moments_of(const struct wp_live *live, double over_s, double each_s)
{
    const double mean_m_s = fmin(fmax(live->latest.mean_m_s, SLOWEST_M_S), FASTEST_M_S);
    struct wp_gust_moments moments;
    wp_gust_moments(&moments, over_s, each_s,
                    wp_kaimal_length(WP_ALONG, live->station.height_m) / mean_m_s);
    return moments;
}

/* Sigma from the scatter of the latest means, NAN when they are too few or all alike. */
static double sigma_from_scatter(const struct wp_live *live)
{
    const double now_s = live->latest.t_s;
    double span_s = 0.0;
    struct wp_spread spread;
    wp_spread_init(&spread, live->latest.mean_m_s);
    for (size_t n = 0; n < live->n_records && n < WP_LIVE_MEANS; n++) {
        const struct wp_live_mean *mean = &live->means[(live->n_records - 1 - n) % WP_LIVE_MEANS];
        if (now_s - mean->t_s > WP_SPREAD_S) {
            break;
        }
        span_s = now_s - mean->t_s;
        wp_spread_add(&spread, mean->mean_m_s);
    }
    const double sigma_m_s = wp_spread_sigma(&spread);
    if (isnan(sigma_m_s)) {
        return sigma_m_s;
    }
    const double each_s = span_s / (double)(spread.n - 1);
    return sigma_m_s / moments_of(live, span_s + each_s, each_s).gusts;
}

/* Sigma that the latest record tells, or the ground. */
static double sigma_of(const struct wp_live *live)
{
    const double passed = live->to[WP_LIVE_RECORD_S] *
                          fmax(live->to[WP_LIVE_MEAN_M_S], WP_PASSING_MIN_M_S) /
                          live->eddies.length_m[WP_ALONG];
    const struct wp_record *record = &live->latest;
    const double interval_s = interval_of(live);
    const double gust_over_s = live->gust_over_s > 0.0   ? live->gust_over_s
                               : live->averaging_s > 0.0 ? live->averaging_s
                                                         : fmin(interval_s, WP_GUST_REPORT_MAX_S);
    if (gust_over_s >= WP_GUST_RECORD_MIN * live->gust_s) {
        if (record->gust_m_s > record->mean_m_s) {
            const struct wp_gust_moments moments = moments_of(live, gust_over_s, live->gust_s);
            const double again = AGAIN / (1.0 + 0.5 * wp_exact_pow(passed, 0.8));
            return wp_gust_sigma(record->mean_m_s, record->gust_m_s, wp_gust_excess(&moments)) /
                   (1.0 - again);
        }
    } else if (!live->is_intensity_given) {
        const double sigma_m_s = sigma_from_scatter(live);
        if (sigma_m_s > 0.0) {
            return sigma_m_s;
        }
    }
    return live->intensity * record->mean_m_s / moments_of(live, WP_MEAN_S, WP_INSTANT_S).record;
}

/* Share of sigma within a record where the wind is wanted. That across the wind counts: it is what
 * makes a vector longer. */
static double within_record(const struct wp_live *live)
{
    const double mean_m_s = fmin(fmax(live->to[WP_LIVE_MEAN_M_S], SLOWEST_M_S), FASTEST_M_S);
    struct wp_gust_moments moments;
    wp_gust_moments(&moments, live->to[WP_LIVE_RECORD_S], WP_INSTANT_S,
                    live->eddies.length_m[WP_ACROSS] / mean_m_s);
    return moments.record;
}

/* From where the wind is now to live->to, in ramp_s. */
static void go(struct wp_live *live, double ramp_s)
{
    memcpy(live->from, live->at, sizeof live->from);
    live->ramp_first = live->now;
    live->ramp_steps = fmax(ramp_s / live->step_s, 1.0);
    live->is_on_the_way = true;
}

/* Remembers a record's time and mean; another one of the same time takes its place. */
static void note(struct wp_live *live, const struct wp_record *record)
{
    const double distance_s = record->t_s - live->latest.t_s;
    if (live->n_records > 0 && distance_s > 0.0) {
        live->distances_s[live->n_distances % WP_LIVE_DISTANCES] = distance_s;
        live->n_distances++;
    }
    live->n_records += live->n_records == 0 || distance_s > 0.0;
    live->means[(live->n_records - 1) % WP_LIVE_MEANS] =
        (struct wp_live_mean){record->t_s, record->mean_m_s};
    live->latest = *record;
    if (!isnan(record->temperature_c)) {
        live->temperature_c = record->temperature_c;
    }
    if (!isnan(record->pressure_pa)) {
        live->pressure_pa = record->pressure_pa;
    }
}

/* A record takes hold. */
static void take(struct wp_live *live, const struct wp_record *record)
{
    note(live, record);
    live->news = WP_LIVE_FRESH;
    const double interval_s = interval_of(live);
    const double mean_m_s = live->factor * record->mean_m_s;
    live->to[WP_LIVE_MEAN_M_S] = mean_m_s;
    live->to[WP_LIVE_WANDER_DEG] = wp_turn_wander(record);
    live->to[WP_LIVE_READING_M_S] = record->mean_m_s;
    live->to[WP_LIVE_RECORD_S] =
        live->averaging_s > 0.0 ? live->averaging_s : fmin(interval_s, WP_MEAN_S);
    live->to[WP_LIVE_WITHIN] = within_record(live);
    live->to[WP_LIVE_SIGMA_M_S] = fmin(sigma_of(live), WP_SIGMA_MAX * mean_m_s);
    if (isfinite(record->from_deg)) {
        const double from_deg = live->at[WP_LIVE_FROM_DEG];
        live->to[WP_LIVE_FROM_DEG] = from_deg + wp_turn_shortest(record->from_deg - from_deg);
    }
    if (live->n_records == 1) {
        /* Nothing is known yet that the wind could turn from. */
        live->at[WP_LIVE_FROM_DEG] = live->to[WP_LIVE_FROM_DEG];
        live->at[WP_LIVE_RECORD_S] = live->to[WP_LIVE_RECORD_S];
        live->at[WP_LIVE_WITHIN] = live->to[WP_LIVE_WITHIN];
    }
    if (live->now == 0) {
        memcpy(live->at, live->to, sizeof live->at);
    }
    go(live, fmin(RAMP_SHARE * interval_s, RAMP_MAX_S));
}

static bool has_mean(const struct wp_record *record)
{
    return isfinite(record->mean_m_s) && record->mean_m_s >= 0.0;
}

static bool is_due(const struct wp_live *live, const struct wp_record *record)
{
    const double step = ceil((record->t_s - live->start_s) / live->step_s - WP_STEP_SLACK);
    return step <= (double)live->now;
}

/* The next record that is due, or NULL. */
static const struct wp_record *next_due(struct wp_live *live)
{
    const struct wp_weather *weather = live->weather;
    if (weather && live->n_known < weather->n_records) {
        const struct wp_record *record = &weather->records[live->n_known];
        live->n_known += is_due(live, record);
        return is_due(live, record) ? record : NULL;
    }
    const struct wp_record *record = &live->waiting[live->first_waiting];
    if (live->n_waiting == 0 || !is_due(live, record)) {
        return NULL;
    }
    live->first_waiting = (live->first_waiting + 1) % WP_LIVE_QUEUE;
    live->n_waiting--;
    return record;
}

/* Lets the wind fall to a calm; it is late_s later than that began where the feed was silent before
 * the start. */
static void fade(struct wp_live *live, double late_s)
{
    live->to[WP_LIVE_MEAN_M_S] = 0.0;
    live->to[WP_LIVE_SIGMA_M_S] = 0.0;
    live->to[WP_LIVE_READING_M_S] = 0.0;
    if (live->now == 0 && late_s >= live->fade_s) {
        memcpy(live->at, live->to, sizeof live->at);
        live->is_on_the_way = false;
        live->news = WP_LIVE_FADED;
        return;
    }
    go(live, live->fade_s);
    if (live->now == 0) {
        live->ramp_first -= (int64_t)floor(late_s / live->step_s);
    }
}

/* Gives the feed up when it is silent. */
static void watch(struct wp_live *live)
{
    const double t_s = live->start_s + (double)live->now * live->step_s;
    const double limit_s = is_interval_known(live)
                               ? fmax(SILENT_INTERVALS * interval_of(live), SILENT_LEAST_S)
                               : SILENT_AT_FIRST_S;
    const double late_s = t_s - live->latest.t_s - limit_s;
    if (live->news == WP_LIVE_FRESH && late_s > 0.0) {
        live->news = WP_LIVE_SILENT;
        if (isfinite(live->fade_s)) {
            fade(live, late_s);
        }
    } else if (live->news == WP_LIVE_SILENT && isfinite(live->fade_s) && !live->is_on_the_way) {
        live->news = WP_LIVE_FADED;
    }
}

/* Lets eddies pass with the mean at hand, and the average follow records of the time at hand. */
static void take_speed(struct wp_live *live)
{
    wp_eddies_set_speed(&live->eddies, fmax(live->at[WP_LIVE_MEAN_M_S], WP_PASSING_MIN_M_S));
    live->slow_take = 1.0 - wp_exact_exp(-live->step_s / (SLOW_SHARE * live->at[WP_LIVE_RECORD_S]));
}

/* Moves the parts on, and the eddies with them. */
static void move(struct wp_live *live)
{
    if (!live->is_on_the_way) {
        return;
    }
    const double share = (double)(live->now - live->ramp_first + 1) / live->ramp_steps;
    live->is_on_the_way = share < 1.0;
    for (size_t i = 0; i < WP_LIVE_PARTS; i++) {
        live->at[i] = live->is_on_the_way ? live->from[i] + share * (live->to[i] - live->from[i])
                                          : live->to[i];
    }
    take_speed(live);
}

void wp_live_init(struct wp_live *live, const struct wp_live_config *config)
{
    const struct wp_interval_config *reading = &config->reading;
    *live = (struct wp_live){
        .weather = reading->weather,
        .added_s = -(double)INFINITY,
        .start_s = reading->start_s,
        .step_s = reading->step_s,
        .station = reading->station,
        .factor = wp_height_factor(reading->station, reading->set),
        .averaging_s = reading->averaging_s,
        .gust_over_s = reading->gust_over_s,
        .gust_s = reading->gust_s,
        .interval_s = config->interval_s,
        .fade_s = config->fade_s,
        .is_intensity_given = !isnan(reading->intensity),
        .news = WP_LIVE_WAITING,
        .latest = {.from_deg = NAN},
        .temperature_c = NAN,
        .pressure_pa = NAN,
    };
    live->intensity =
        live->is_intensity_given ? reading->intensity : wp_height_intensity(reading->station);
    live->at[WP_LIVE_FROM_DEG] = wp_turn_any(config->seed);
    live->at[WP_LIVE_RECORD_S] = interval_of(live);
    live->at[WP_LIVE_WANDER_DEG] = wp_turn_wander(&(struct wp_record){.from_deg = NAN});
    memcpy(live->to, live->at, sizeof live->to);
    wp_eddies_init(&live->eddies, config->seed, reading->step_s, reading->set.height_m, 0);
    take_speed(live);
}

bool wp_live_add(struct wp_live *live, const struct wp_record *record)
{
    const struct wp_weather *weather = live->weather;
    const double least_s = weather && weather->n_records > 0
                               ? weather->records[weather->n_records - 1].t_s
                               : -(double)INFINITY;
    /* The first step that is not delivered yet. */
    const double now_s = live->start_s + ((double)live->now - 1.0) * live->step_s;
    if (!(record->t_s >= fmax(least_s, live->added_s) && record->t_s > now_s) ||
        live->n_waiting == WP_LIVE_QUEUE) {
        return false;
    }
    live->added_s = record->t_s;
    live->waiting[(live->first_waiting + live->n_waiting) % WP_LIVE_QUEUE] = *record;
    live->n_waiting++;
    return true;
}

void wp_live_step(struct wp_live *live, struct wp_live_moment *moment)
{
    static const double degrees = 180.0 / 3.14159265358979323846;
    const struct wp_record *record;
    while ((record = next_due(live))) {
        if (has_mean(record)) {
            take(live, record);
        }
    }
    watch(live);
    move(live);
    struct wp_eddy eddy;
    wp_eddies_run(&live->eddies, live->now, &eddy, 1);
    for (size_t c = 0; c < WP_COMPONENTS; c++) {
        live->slow[c] += live->slow_take * (eddy.part[c] - live->slow[c]);
        eddy.part[c] -= live->slow[c];
    }
    const double mean_m_s = live->at[WP_LIVE_MEAN_M_S];
    const double sigma_m_s = live->at[WP_LIVE_SIGMA_M_S];
    struct wp_vector vector = {0};
    if (mean_m_s > 0.0) {
        const double q = sigma_m_s * live->at[WP_LIVE_WITHIN] / mean_m_s;
        vector = wp_vector_of(mean_m_s * wp_vector_along_share(q), sigma_m_s, eddy.part);
    }
    const double mean_deg = live->at[WP_LIVE_FROM_DEG] + live->at[WP_LIVE_WANDER_DEG] * eddy.wander;
    const double left_deg = degrees * wp_exact_atan2(vector.across, vector.along);
    *moment = (struct wp_live_moment){vector, wp_turn_wrapped(mean_deg - left_deg)};
    live->now++;
}
