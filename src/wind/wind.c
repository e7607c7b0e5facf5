/* SPDX-License-Identifier: MIT */
/* The wind: turbulence laid over the records so that their means and gusts are met. */
#include "windpeal/wind.h"

#include <assert.h>
#include <math.h>
#include <stdlib.h>

#include "base/exact.h"
#include "wind/curve.h"
#include "wind/eddies.h"
#include "wind/gust.h"
#include "wind/interval.h"
#include "wind/live.h"
#include "wind/practice.h"
#include "wind/shape.h"
#include "wind/turn.h"

/* Below this record length the records are followed with short ramps: they tell the gusts. */
static const double DIRECT_BELOW_S = 10.0;
static const double DIRECT_RAMP = 0.5;

/* Share of a record's sigma that its own turbulence has, whatever its mean does. */
static const double SIGMA_LEAST = 0.25;

/* Steps of turbulence run through before a start in mid-record, at most. */
static const int64_t RUN_UP_STEPS = 1 << 19;

/* An interval with the average of the turbulence in it. */
struct stretch {
    struct wp_interval interval;
    double average[WP_COMPONENTS];
    bool is_averaged;
};

struct wp_wind {
    struct wp_wind_config config;
    struct wp_live *live; /* of a feed; then nothing below is used */
    struct wp_intervals intervals;
    struct wp_turn turn;
    double first_s;  /* the wanted start, in seconds after the first record's */
    int64_t n_steps; /* delivered so far */
    int64_t now;     /* step to make next */
    bool is_previous_joined;
    bool is_in_record; /* or in a stretch without one */
    struct stretch previous;
    struct stretch current;
    struct stretch next;
    struct wp_shape shape;
    struct wp_shape_run run; /* steps that are made, with their factors */
    double from_deg[WP_RUN_STEPS];
    size_t n_taken; /* of the run, delivered */
    /* Turbulence runs ahead by two records, so that their averages are known in time. */
    struct wp_eddies eddies;
    struct wp_interval ahead_next; /* interval whose speed the eddies take next */
    int64_t ahead;                 /* step that the eddies take next */
    int64_t lead;
    struct wp_eddy_ring ring;
    double *speeds; /* of a record whose gust is being met, or NULL */
};

void wp_wind_config_default(struct wp_wind_config *config)
{
    *config = (struct wp_wind_config){
        .step_s = 0.1,
        .seed = 1,
        .height_m = 10.0,
        .roughness_m = 0.03,
        .station_height_m = 10.0,
        .station_roughness_m = 0.03,
        .gust_s = 3.0,
        .intensity = (double)NAN,
        .fade_s = 60.0,
    };
}

static int64_t least(int64_t a, int64_t b)
{
    return a < b ? a : b;
}

/* Lets the turbulence run ahead up to step end. */
static void run_ahead(struct wp_wind *wind, int64_t end)
{
    while (wind->ahead < end) {
        while (wind->ahead >= wind->ahead_next.first) {
            const struct wp_interval passed = wind->ahead_next;
            wp_eddies_set_speed(&wind->eddies, fmax(passed.mean_m_s, WP_PASSING_MIN_M_S));
            wp_interval_after(&wind->intervals, &passed, &wind->ahead_next);
        }
        /* No further than the ring goes in one piece. */
        const int64_t size = (int64_t)wind->ring.mask + 1;
        const int64_t in_ring = wind->ahead + size - (wind->ahead & (size - 1));
        const int64_t first = wind->ahead_next.first;
        const int64_t to = least(least(end, first), in_ring);
        wp_eddies_run(&wind->eddies, wind->ahead, wp_eddy_at(&wind->ring, wind->ahead),
                      (size_t)(to - wind->ahead));
        wind->ahead = to;
    }
}

static void find_average(const struct wp_wind *wind, struct stretch *stretch)
{
    const struct wp_interval *interval = &stretch->interval;
    if (stretch->is_averaged || interval->end <= interval->first) {
        return;
    }
    double sum[WP_COMPONENTS] = {0.0};
    for (int64_t n = interval->first; n < interval->end; n++) {
        for (size_t c = 0; c < WP_COMPONENTS; c++) {
            sum[c] += wp_eddy_at(&wind->ring, n)->part[c];
        }
    }
    for (size_t c = 0; c < WP_COMPONENTS; c++) {
        stretch->average[c] = sum[c] / (double)(interval->end - interval->first);
    }
    stretch->is_averaged = true;
}

static double wander_of(const struct wp_wind *wind, const struct stretch *stretch)
{
    return wp_turn_wander(&wind->config.weather->records[stretch->interval.record]);
}

/* One curve of the current record with its neighbours' values; without one the edge is alone. */
static struct wp_curve piece(const struct wp_wind *wind, const double values[3], double ramp)
{
    const bool is_next_joined = wind->current.interval.end >= wind->next.interval.first;
    const double left = wind->is_previous_joined ? wp_curve_edge(values[0], values[1]) : values[1];
    const double right = is_next_joined ? wp_curve_edge(values[2], values[1]) : values[1];
    return wp_curve_through(left, values[1], right, ramp);
}

/* The same for turbulence, which has either sign and an average of none beyond a record. */
static struct wp_curve slow_piece(const struct wp_wind *wind, size_t c, double ramp)
{
    const bool is_next_joined = wind->current.interval.end >= wind->next.interval.first;
    const double value = wind->current.average[c];
    const double left = wind->is_previous_joined ? 0.5 * (wind->previous.average[c] + value) : 0.0;
    const double right = is_next_joined ? 0.5 * (wind->next.average[c] + value) : 0.0;
    return wp_curve_through(left, value, right, ramp);
}

/* Lets the record come out as it is reported. */
static void meet(struct wp_wind *wind)
{
    const struct wp_interval *interval = &wind->current.interval;
    const struct wp_shape_target target = {
        .mean_m_s = interval->mean_m_s,
        .gust_m_s = interval->gust_m_s,
        .gust_steps = (int64_t)ceil(wind->config.gust_s / wind->config.step_s - 0.5),
    };
    if (wind->speeds && target.gust_m_s > target.mean_m_s &&
        interval->end - interval->first > WP_GUST_RECORD_MIN * target.gust_steps) {
        wp_shape_meet_gust(&wind->shape, &wind->ring, &target, wind->speeds);
    } else {
        wp_shape_meet_mean(&wind->shape, &wind->ring, target.mean_m_s);
    }
}

/* Sigma tells how much the wind varies within a record, by turbulence and by the course of its mean
 * together: the turbulence is what the course leaves, a quarter at least. */
static void leave_room(const struct wp_wind *wind, struct wp_shape *shape)
{
    const double sigma_m_s = wind->current.interval.sigma_m_s;
    const double course = wp_curve_variance(&shape->mean, wind->current.interval.mean_m_s);
    wp_curve_set_square(&shape->sigma, fmax(sigma_m_s * sigma_m_s - course, 0.0),
                        SIGMA_LEAST * sigma_m_s);
}

/* Brings the mean's edges below the limits on both sides, so that no record begins above its gust.
 */
static void keep_below(const struct wp_wind *wind, struct wp_curve *mean)
{
    const double value = wind->current.interval.mean_m_s;
    const double limit_m_s = wind->current.interval.limit_m_s;
    const double left = fmin(limit_m_s, wind->previous.interval.limit_m_s);
    const double right = fmin(limit_m_s, wind->next.interval.limit_m_s);
    *mean = wp_curve_through(fmin(mean->left, left), value, fmin(mean->right, right), mean->ramp);
}

static void shape_record(struct wp_wind *wind)
{
    const struct wp_interval *all[3] = {&wind->previous.interval, &wind->current.interval,
                                        &wind->next.interval};
    const double means[3] = {all[0]->mean_m_s, all[1]->mean_m_s, all[2]->mean_m_s};
    const double sigmas[3] = {all[0]->sigma_m_s, all[1]->sigma_m_s, all[2]->sigma_m_s};
    const double length_s = all[1]->end_s - all[1]->start_s;
    const double ramp = length_s < DIRECT_BELOW_S ? DIRECT_RAMP : 1.0;
    struct wp_shape *shape = &wind->shape;
    *shape = (struct wp_shape){
        .first = all[1]->first,
        .end = all[1]->end,
        .mean = piece(wind, means, ramp),
        .sigma = piece(wind, sigmas, ramp),
        .wander = {.ramp = 1.0},
        .weight = {.level = 1.0, .ramp = ramp},
    };
    wp_record_air(wind->config.weather, all[1]->record, &shape->temperature_c, &shape->pressure_pa);
    if (wind->speeds) {
        keep_below(wind, &shape->mean);
    }
    wp_curve_clamp(&shape->mean, means[1], all[1]->limit_m_s);
    leave_room(wind, shape);
    for (size_t c = 0; c < WP_COMPONENTS; c++) {
        shape->slow[c] = slow_piece(wind, c, ramp);
    }
    const double wander = wander_of(wind, &wind->current);
    shape->wander.level = wander;
    shape->wander.left = 0.5 * (wander + wander_of(wind, &wind->previous));
    shape->wander.right = 0.5 * (wander + wander_of(wind, &wind->next));
    meet(wind);
}

/* Between two records that do not touch: straight lines, and turbulence of every length. */
static void shape_bare(struct wp_wind *wind)
{
    const struct wp_interval *from = &wind->current.interval;
    const struct wp_interval *to = &wind->next.interval;
    const double middle = 0.5 * (wander_of(wind, &wind->current) + wander_of(wind, &wind->next));
    wind->shape = (struct wp_shape){
        .first = from->end,
        .end = to->first,
        .mean = wp_curve_line(from->mean_m_s, to->mean_m_s),
        .sigma = wp_curve_line(from->sigma_m_s, to->sigma_m_s),
        .slow = {wp_curve_line(0.0, 0.0), wp_curve_line(0.0, 0.0)},
        .wander = wp_curve_line(middle, middle),
        .weight = wp_curve_line(0.0, 0.0),
    };
    wp_record_air(wind->config.weather, from->record, &wind->shape.temperature_c,
                  &wind->shape.pressure_pa);
}

/* Moves on to the next record. */
static void enter_next(struct wp_wind *wind)
{
    wind->is_previous_joined = wind->current.interval.end >= wind->next.interval.first;
    wind->previous = wind->current;
    wind->current = wind->next;
    wind->next = (struct stretch){0};
    wp_interval_after(&wind->intervals, &wind->current.interval, &wind->next.interval);
    find_average(wind, &wind->current);
    if (wind->current.interval.end >= wind->next.interval.first) {
        find_average(wind, &wind->next);
    }
    wind->is_in_record = true;
    shape_record(wind);
}

/* Takes up the shape that holds for the step to deliver. */
static void take_shape(struct wp_wind *wind)
{
    while (wind->now >= wind->shape.end) {
        if (wind->is_in_record && wind->current.interval.end < wind->next.interval.first) {
            wind->is_in_record = false;
            shape_bare(wind);
        } else {
            enter_next(wind);
        }
    }
}

/* First step of the turbulence for a wind that begins at a step: the start of the records or, when
 * that is long ago, as far back as a start may take time for. */
static int64_t run_up_from(const struct wp_intervals *intervals, int64_t step)
{
    const int64_t base = -(int64_t)ceil(intervals->hold_s / intervals->step_s);
    if (step <= base) {
        return step;
    }
    return step - base < RUN_UP_STEPS ? base : step - RUN_UP_STEPS;
}

/* Brings the turbulence to the step now. */
static void start_turbulence(struct wp_wind *wind)
{
    const struct wp_intervals *intervals = &wind->intervals;
    wind->ahead = run_up_from(intervals, wind->now);
    wp_eddies_init(&wind->eddies, wind->config.seed, intervals->step_s, intervals->eddy_m,
                   wind->ahead);
    wp_interval_at(intervals, (double)wind->ahead * intervals->step_s + intervals->phase_s,
                   &wind->ahead_next);
    run_ahead(wind, wind->now + wind->lead);
}

/* Begins at the record before the start's when the two join, so that the average of the turbulence
 * in it is known, and runs forward. */
static void begin(struct wp_wind *wind)
{
    const struct wp_intervals *intervals = &wind->intervals;
    const int64_t start = wp_intervals_step_at(intervals, wind->first_s);
    struct wp_interval here;
    struct wp_interval before;
    struct wp_interval after;
    wp_interval_at(intervals, wind->first_s, &here);
    wp_interval_after(intervals, &here, &after);
    if (start >= after.first) {
        here = after; /* the start is the first step of a record that begins a moment later */
    }
    if (start >= here.end) {
        wind->current.interval = here;
        wind->next.interval = after;
        wind->now = start;
        start_turbulence(wind);
        shape_bare(wind);
    } else {
        wp_interval_before(intervals, &here, &before);
        wind->next.interval = before.end < here.first ? here : before;
        wp_interval_before(intervals, &wind->next.interval, &wind->current.interval);
        wind->now = wind->next.interval.first;
        start_turbulence(wind);
        enter_next(wind);
    }
    take_shape(wind);
    while (wind->now < start) {
        wind->now = least(wind->shape.end, start);
        run_ahead(wind, wind->now + wind->lead);
        take_shape(wind);
    }
}

static bool is_within(double value, double least, double most)
{
    return value >= least && value <= most;
}

/* Times must be countable in steps: 3000 years either way. */
static const double TIME_MAX_S = 1e11;

/* A feed need not have told anything yet. */
static bool has_possible_times(const struct wp_wind_config *config)
{
    const struct wp_weather *weather = config->weather;
    if (!weather || weather->n_records == 0) {
        return config->is_live;
    }
    const double first_s = weather->records[0].t_s;
    const double last_s = weather->records[weather->n_records - 1].t_s;
    return is_within(first_s, -TIME_MAX_S, last_s) && last_s <= TIME_MAX_S &&
           (config->is_live || weather->interval_s > 0.0);
}

static bool are_possible(const struct wp_averages *averages)
{
    return is_within(averages->mean_s, 0.0, 3600.0) &&
           is_within(averages->gust_over_s, 0.0, 3600.0) &&
           is_within(averages->gust_s, 0.01, 600.0);
}

static bool is_possible(const struct wp_wind_config *config)
{
    const struct wp_averages averages = {config->averaging_s, config->gust_s, config->gust_over_s};
    const bool is_set_right = is_within(config->height_m, 0.05, 1000.0) &&
                              is_within(config->roughness_m, 1e-6, 10.0) &&
                              (config->is_as_given || config->height_m > config->roughness_m);
    const bool is_station_right = is_within(config->station_height_m, 0.05, 1000.0) &&
                                  is_within(config->station_roughness_m, 1e-6, 10.0) &&
                                  config->station_height_m > config->station_roughness_m;
    return has_possible_times(config) && is_set_right && is_station_right &&
           is_within(config->interval_s, 0.0, 86400.0) && config->fade_s >= 0.0 &&
           is_within(config->start_s, -TIME_MAX_S, TIME_MAX_S) &&
           is_within(config->step_s, 0.01, 1.0) && are_possible(&averages) &&
           (isnan(config->intensity) || is_within(config->intensity, 0.0, WP_SIGMA_MAX));
}

/* Room for the longest two neighbouring records and a step. */
static enum wp_status make_room(struct wp_wind *wind)
{
    const struct wp_intervals *intervals = &wind->intervals;
    const double longest_s = fmax(1.5 * intervals->averaging_s, intervals->hold_s);
    wind->lead = 2 * (int64_t)ceil(longest_s / intervals->step_s) + 2;
    size_t size = 1;
    while (size < (size_t)wind->lead + 1) {
        size *= 2;
    }
    wind->ring.mask = size - 1;
    wind->ring.items = calloc(size, sizeof *wind->ring.items);
    if (wind->config.has_exact_gusts) {
        wind->speeds = calloc((size_t)wind->lead, sizeof *wind->speeds);
    }
    const bool has_room = wind->ring.items && (wind->speeds || !wind->config.has_exact_gusts);
    return has_room ? WP_OK : WP_E_NO_MEMORY;
}

/* Wind taken as given is that of a station at the set. */
static struct wp_interval_config reading_of(const struct wp_wind_config *config)
{
    const struct wp_exposure set = {config->height_m, config->roughness_m};
    const struct wp_exposure station = {config->station_height_m, config->station_roughness_m};
    return (struct wp_interval_config){
        .weather = config->weather,
        .start_s = config->start_s,
        .step_s = config->step_s,
        .station = config->is_as_given ? set : station,
        .set = set,
        .averaging_s = config->averaging_s,
        .gust_over_s = config->gust_over_s,
        .gust_s = config->gust_s,
        .intensity = config->intensity,
    };
}

/* The wind of records that are all known. */
static enum wp_status create_known(struct wp_wind *wind)
{
    const struct wp_wind_config *config = &wind->config;
    const struct wp_interval_config reading = reading_of(config);
    enum wp_status status = wp_intervals_init(&wind->intervals, &reading);
    if (!status) {
        status = make_room(wind);
    }
    if (!status) {
        wind->first_s = config->start_s - wind->intervals.origin_s;
        wp_turn_init(&wind->turn, &wind->intervals, config->seed);
        begin(wind);
    }
    return status;
}

static enum wp_status create_live(struct wp_wind *wind)
{
    wind->live = malloc(sizeof *wind->live);
    if (!wind->live) {
        return WP_E_NO_MEMORY;
    }
    const struct wp_live_config live = {
        .reading = reading_of(&wind->config),
        .seed = wind->config.seed,
        .interval_s = wind->config.interval_s,
        .fade_s = wind->config.fade_s,
    };
    wp_live_init(wind->live, &live);
    return WP_OK;
}

enum wp_status wp_wind_create(struct wp_wind **out, const struct wp_wind_config *config)
{
    *out = NULL;
    if (!is_possible(config)) {
        return WP_E_RANGE;
    }
    struct wp_wind *wind = calloc(1, sizeof *wind);
    if (!wind) {
        return WP_E_NO_MEMORY;
    }
    wind->config = *config;
    const enum wp_status status = config->is_live ? create_live(wind) : create_known(wind);
    if (status) {
        wp_wind_destroy(wind);
        return status;
    }
    *out = wind;
    return WP_OK;
}

void wp_wind_destroy(struct wp_wind *wind)
{
    if (wind) {
        free(wind->live);
        free(wind->ring.items);
        free(wind->speeds);
        free(wind);
    }
}

static void step_live(struct wp_wind *wind, struct wp_wind_sample *sample)
{
    struct wp_live_moment moment;
    wp_live_step(wind->live, &moment);
    *sample = (struct wp_wind_sample){
        .t_s = (double)wind->n_steps * wind->config.step_s,
        .along_m_s = moment.vector.along,
        .across_m_s = moment.vector.across,
        .speed_m_s = moment.vector.speed,
        .from_deg = moment.from_deg,
        .temperature_c = wind->live->temperature_c,
        .pressure_pa = wind->live->pressure_pa,
    };
    wind->n_steps++;
}

/* Makes the next steps to deliver, all of one shape. */
static void make_run(struct wp_wind *wind)
{
    static const double degrees = 180.0 / 3.14159265358979323846;
    run_ahead(wind, wind->now + wind->lead);
    take_shape(wind);
    struct wp_shape_run *run = &wind->run;
    double factors[WP_RUN_STEPS];
    double left[WP_RUN_STEPS];
    wp_shape_run(&wind->shape, &wind->ring, wind->now, run);
    wp_shape_factors(&wind->shape, run, factors);
    wp_exact_atan2_each(run->across, run->along, left, run->n);
    for (size_t i = 0; i < run->n; i++) {
        const struct wp_eddy *eddy = wp_eddy_at(&wind->ring, wind->now + (int64_t)i);
        const double t_s = (double)(wind->n_steps + (int64_t)i) * wind->config.step_s;
        const double wander_deg = wp_curve_at(&wind->shape.wander, run->x[i]) * eddy->wander;
        const double mean_deg = wp_turn_at(&wind->turn, wind->first_s + t_s) + wander_deg;
        wind->from_deg[i] = wp_turn_wrapped(mean_deg - degrees * left[i]);
        run->along[i] *= factors[i];
        run->across[i] *= factors[i];
        run->speed[i] *= factors[i];
    }
    wind->now += (int64_t)run->n;
    wind->n_taken = 0;
}

void wp_wind_step(struct wp_wind *wind, struct wp_wind_sample *sample)
{
    if (wind->live) {
        step_live(wind, sample);
        return;
    }
    const struct wp_shape_run *run = &wind->run;
    if (wind->n_taken == run->n) {
        make_run(wind);
    }
    const size_t i = wind->n_taken++;
    *sample = (struct wp_wind_sample){
        .t_s = (double)wind->n_steps * wind->config.step_s,
        .along_m_s = run->along[i],
        .across_m_s = run->across[i],
        .speed_m_s = run->speed[i],
        .from_deg = wind->from_deg[i],
        .temperature_c = wind->shape.temperature_c,
        .pressure_pa = wind->shape.pressure_pa,
    };
    wind->n_steps++;
}

enum wp_status wp_wind_report(struct wp_wind *wind, const struct wp_record *record)
{
    static_assert((int)WP_LIVE_QUEUE == (int)WP_WIND_WAITING_MAX, "as many may wait");
    return wind->live && wp_live_add(wind->live, record) ? WP_OK : WP_E_RANGE;
}

enum wp_status wp_wind_set_averages(struct wp_wind *wind, const struct wp_averages *averages)
{
    if (!wind->live || wind->live->n_records > 0 || !are_possible(averages)) {
        return WP_E_RANGE;
    }
    wind->live->averaging_s = averages->mean_s;
    wind->live->gust_s = averages->gust_s;
    wind->live->gust_over_s = averages->gust_over_s;
    return WP_OK;
}

enum wp_wind_news wp_wind_news(const struct wp_wind *wind)
{
    static const enum wp_wind_news news[] = {
        [WP_LIVE_WAITING] = WP_WIND_WAITING,
        [WP_LIVE_FRESH] = WP_WIND_FRESH,
        [WP_LIVE_SILENT] = WP_WIND_SILENT,
        [WP_LIVE_FADED] = WP_WIND_FADED,
    };
    return wind->live ? news[wind->live->news] : WP_WIND_FRESH;
}

void wp_wind_reading(const struct wp_wind *wind, double t_s, double *mean_m_s, double *from_deg)
{
    if (wind->live) {
        *mean_m_s = wind->live->at[WP_LIVE_READING_M_S];
        *from_deg = wind->live->latest.from_deg;
        return;
    }
    const struct wp_weather *weather = wind->config.weather;
    const struct wp_record *record =
        &weather->records[wp_record_last(weather, wind->config.start_s + t_s)];
    *mean_m_s = record->mean_m_s;
    *from_deg = record->from_deg;
}

double wp_wind_interval_s(const struct wp_wind *wind)
{
    return wind->live ? (double)INFINITY : wind->config.weather->interval_s;
}

double wp_wind_height_factor(const struct wp_wind *wind)
{
    return wind->live ? wind->live->factor : wind->intervals.factor;
}

double wp_wind_peak_factor(double averaging_s, double gust_s, double mean_m_s, double height_m)
{
    if (!(gust_s > 0.0 && mean_m_s > 0.0 && height_m > 0.0) ||
        averaging_s < WP_GUST_RECORD_MIN * gust_s) {
        return (double)NAN;
    }
    struct wp_gust_moments moments;
    wp_gust_moments(&moments, averaging_s, gust_s, wp_kaimal_length(WP_ALONG, height_m) / mean_m_s);
    return wp_gust_excess(&moments) / moments.record;
}
