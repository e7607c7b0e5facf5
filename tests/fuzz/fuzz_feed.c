/* SPDX-License-Identifier: MIT */
/* Any bytes as a live feed in pieces, and the wind that it makes: records are possible and in
 * order, counts add up, and the wind is finite. The first byte chooses the pieces and the clock. */
#include <math.h>
#include <stdlib.h>

#include "fuzz_target.h"
#include "windpeal/feed.h"
#include "windpeal/wind.h"

static void require(bool is_true)
{
    if (!is_true) {
        abort();
    }
}

static bool is_within(double value, double least, double most)
{
    return isnan(value) || (value >= least && value <= most);
}

/* A feed and the wind that it blows. */
struct session {
    struct wp_feed *feed;
    struct wp_wind *wind;
    struct wp_wind_sample sample; /* the last one */
    double last_s;                /* of the last record */
    double clock_s;
    double tick_s;
    size_t n_records;
};

static void take_record(struct session *session, const struct wp_record *record)
{
    require(record->t_s >= session->last_s && isfinite(record->t_s));
    require(record->mean_m_s >= 0.0 && record->mean_m_s <= 75.0);
    require(is_within(record->gust_m_s, record->mean_m_s, 75.0));
    require(is_within(record->from_deg, 0.0, 360.0));
    require(is_within(record->temperature_c, -100.0, 100.0));
    require(is_within(record->pressure_pa, 1e4, 2e5));
    if (session->n_records == 0) {
        const struct wp_weather *understood = wp_feed_understood(session->feed);
        const struct wp_averages averages = {understood->averaging_s, understood->gust_s,
                                             understood->gust_over_s};
        const bool is_told = averages.gust_s > 0.0;
        require(!is_told || wp_wind_set_averages(session->wind, &averages) == WP_OK);
    }
    session->last_s = record->t_s;
    session->n_records++;
    (void)wp_wind_report(session->wind, record); /* some may be too many at once */
    for (int i = 0; i < 4; i++) {
        wp_wind_step(session->wind, &session->sample);
        require(isfinite(session->sample.speed_m_s) && session->sample.speed_m_s >= 0.0);
        require(session->sample.from_deg >= 0.0 && session->sample.from_deg < 360.0);
    }
}

/* False: nothing that follows can be read. */
static bool read_lines(struct session *session)
{
    for (;;) {
        struct wp_record record;
        struct wp_diags diags;
        wp_diags_init(&diags);
        session->clock_s += session->tick_s;
        const enum wp_feed_result result =
            wp_feed_next(session->feed, session->clock_s, &record, &diags);
        const bool is_found = result == WP_FEED_REFUSED || result == WP_FEED_BROKEN;
        require(diags.n_items == (is_found ? 1U : 0U));
        if (result == WP_FEED_RECORD) {
            take_record(session, &record);
        } else if (result == WP_FEED_MORE || result == WP_FEED_BROKEN) {
            return result == WP_FEED_MORE;
        }
    }
}

static void feed_bytes(struct session *session, const uint8_t *data, size_t size, size_t piece)
{
    for (size_t at = 0; at < size;) {
        const size_t n = size - at < piece ? size - at : piece;
        const size_t n_taken = wp_feed_add(session->feed, (const char *)data + at, n);
        require(n_taken > 0);
        at += n_taken;
        if (!read_lines(session)) {
            return;
        }
    }
    wp_feed_end(session->feed);
    (void)read_lines(session);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const double ticks_s[4] = {0.0, 0.7, 60.0, -1.0};
    static const size_t pieces[4] = {1, 7, 500, 100000};
    const unsigned int choice = size > 0 ? data[0] : 0;
    struct session session = {.last_s = -INFINITY, .tick_s = ticks_s[choice & 3]};
    struct wp_wind_config config;
    wp_wind_config_default(&config);
    config.is_live = true;
    require(wp_feed_create(&session.feed, NULL) == WP_OK);
    require(wp_wind_create(&session.wind, &config) == WP_OK);
    if (size > 0) {
        feed_bytes(&session, data + 1, size - 1, pieces[(choice >> 2) & 3]);
    }
    struct wp_feed_counts counts;
    wp_feed_count(session.feed, &counts);
    require(counts.n_records == session.n_records);
    require(counts.n_lines >= counts.n_records + counts.n_repeated + counts.n_late);
    wp_wind_destroy(session.wind);
    wp_feed_destroy(session.feed);
    return 0;
}
