/* SPDX-License-Identifier: MIT */
/*
 * Claims about the live path: feed, wind, striker, sound, device, with a clock and a device that
 * the test moves. WP_SIMULATED_HOURS (default 0.1) sets how long the long claim runs.
 */

#include "peal_fixture.h"

#include <malloc.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "../near.h"
#include "windpeal/session.h"
#include "windpeal/stage.h"

enum { RATE_HZ = 8000, AHEAD = 1600, CHANNELS = 1, TICK_FRAMES = 80, PER_HOUR = 3600 };

/* 2026-11-25T13:30:00Z. */
static const double start_s = 1795613400.0;
static const double fade_s = 0.5;

/* Frames and strikes as they come, without keeping them: 64-bit FNV-1a over their bytes. */
struct tally {
    uint64_t hash;
    uint64_t n;
};

static void tally_init(struct tally *tally)
{
    *tally = (struct tally){14695981039346656037u, 0};
}

static void tally_add(struct tally *tally, const void *bytes, size_t n_bytes)
{
    const unsigned char *byte = bytes;
    for (size_t i = 0; i < n_bytes; i++) {
        tally->hash = (tally->hash ^ byte[i]) * 1099511628211u;
    }
    tally->n++;
}

static void tally_strike(struct tally *tally, const struct wp_strike *strike)
{
    const double told[] = {strike->t_s, (double)strike->tube, strike->speed_m_s,
                           strike->bearing_deg, strike->height_m};
    tally_add(tally, told, sizeof told);
}

/* A live session under a clock of the test. */
struct live {
    struct wp_ring *frames; /* the device's */
    struct wp_ring *orders;
    struct wp_ring *news;
    struct wp_wind_config wind;
    struct wp_stage *stage;
    struct wp_peal *peal;
    double now_s;
    bool is_device_fetching;
    FILE *log;
    char *log_text;
    size_t log_size;
    struct tally strikes;
    struct tally samples; /* fetched, from skip_frames on */
    uint64_t n_fetched;
    uint64_t skip_frames;
    uint64_t n_short;
    size_t n_taken;
    enum wp_wind_news feed;
    struct wp_news level;
    float *kept; /* room for n_kept_max fetched frames, or NULL */
    size_t n_kept_max;
};

static size_t sink_write(void *target, const float *frames, size_t n_frames)
{
    return wp_ring_write(target, frames, n_frames);
}

static size_t sink_waiting(void *target)
{
    return wp_ring_count(target);
}

static struct wp_peal_config peal_config(const struct wp_wind_config *wind)
{
    return (struct wp_peal_config){.set = &small.set,
                                   .chime = small.chime,
                                   .wind = wind,
                                   .duration_s = 1e9,
                                   .seed = 7,
                                   .rate_hz = RATE_HZ,
                                   .channels = WP_MONO,
                                   .has_shown_wind = true};
}

static void live_order(struct live *live, const struct wp_order *order)
{
    assert_int_equal(wp_ring_write(live->orders, order, 1), 1);
}

static void live_open(struct live *live)
{
    *live = (struct live){.now_s = 5000.0, .is_device_fetching = true};
    assert_int_equal(wp_ring_create(&live->frames, CHANNELS * sizeof(float), 8192), WP_OK);
    assert_int_equal(wp_ring_create(&live->orders, sizeof(struct wp_order), 64), WP_OK);
    assert_int_equal(wp_ring_create(&live->news, sizeof(struct wp_news), WP_STAGE_NEWS_LEAST),
                     WP_OK);
    tally_init(&live->strikes);
    tally_init(&live->samples);
    live->skip_frames = RATE_HZ; /* one second: past the fade */
    wp_wind_config_default(&live->wind);
    live->wind.is_live = true;
    live->wind.is_as_given = true;
    live->wind.start_s = start_s;
    live->wind.seed = 7;
    live->log = open_memstream(&live->log_text, &live->log_size);
    wp_session_print_heading(live->log, start_s);
    const struct wp_stage_config config = {
        .player = {RATE_HZ, CHANNELS, 1.0, fade_s},
        .n_ahead = AHEAD,
        .sink = {sink_write, sink_waiting, live->frames},
        .start_s = start_s,
        .orders = live->orders,
        .news = live->news,
    };
    assert_int_equal(wp_stage_create(&live->stage, &config), WP_OK);
    struct wp_peal_config peal = peal_config(&live->wind);
    peal.listener = wp_stage_listener(live->stage);
    assert_int_equal(wp_peal_create(&live->peal, &peal, NULL), WP_OK);
    live_order(live, &(struct wp_order){.kind = WP_ORDER_DEVICE, .is_on = true});
    live_order(live, &(struct wp_order){.kind = WP_ORDER_PLAY, .peal = live->peal});
}

static void live_close(struct live *live)
{
    wp_stage_destroy(live->stage);
    wp_peal_destroy(live->peal);
    wp_ring_destroy(live->frames);
    wp_ring_destroy(live->orders);
    wp_ring_destroy(live->news);
    if (live->log) {
        fclose(live->log);
    }
    free(live->log_text);
}

static void read_news(struct live *live)
{
    struct wp_news news;
    while (wp_ring_read(live->news, &news, 1) > 0) {
        if (news.kind == WP_NEWS_STRUCK) {
            tally_strike(&live->strikes, &news.strike);
        } else if (news.kind == WP_NEWS_TAKEN) {
            live->n_taken++;
            wp_session_print(live->log, &news.record, start_s);
        } else if (news.kind == WP_NEWS_FEED) {
            live->feed = news.feed;
        } else if (news.kind == WP_NEWS_LEVEL) {
            live->level = news;
        }
    }
}

static void fetch(struct live *live)
{
    float frames[TICK_FRAMES];
    const size_t n = wp_ring_read(live->frames, frames, TICK_FRAMES);
    live->n_short += live->n_fetched > 0 ? TICK_FRAMES - n : 0;
    for (size_t i = 0; i < n; i++, live->n_fetched++) {
        if (live->n_fetched >= live->skip_frames) {
            tally_add(&live->samples, &frames[i], sizeof frames[i]);
        }
        if (live->n_fetched < live->n_kept_max) {
            live->kept[live->n_fetched] = frames[i];
        }
    }
}

/* A hundredth of a second passes. */
static void live_tick(struct live *live)
{
    live->now_s += (double)TICK_FRAMES / RATE_HZ;
    wp_stage_step(live->stage, live->now_s);
    if (live->is_device_fetching) {
        fetch(live);
    }
    read_news(live);
}

static void live_run(struct live *live, double duration_s)
{
    const size_t n = (size_t)(duration_s * RATE_HZ / TICK_FRAMES + 0.5);
    for (size_t i = 0; i < n; i++) {
        live_tick(live);
    }
}

static void live_report(struct live *live, double mean_m_s, double gust_m_s, double from_deg)
{
    const struct wp_order order = {
        .kind = WP_ORDER_REPORT,
        .record = {.mean_m_s = mean_m_s,
                   .gust_m_s = gust_m_s,
                   .from_deg = from_deg,
                   .temperature_c = (double)NAN,
                   .pressure_pa = (double)NAN},
    };
    live_order(live, &order);
}

/* What the offline program makes of the log: the same figures, frame by frame. */
static void assert_offline_is_the_same(struct live *live)
{
    struct wp_weather weather;
    struct tally strikes;
    struct tally samples;
    fclose(live->log);
    live->log = NULL;
    assert_int_equal(wp_weather_parse(&weather, "log", live->log_text, live->log_size, NULL, NULL),
                     WP_OK);
    struct wp_wind_config wind = live->wind;
    wind.weather = &weather;
    tally_init(&strikes);
    tally_init(&samples);
    struct wp_peal_config config = peal_config(&wind);
    struct wp_peal *peal;
    assert_int_equal(wp_peal_create(&peal, &config, NULL), WP_OK);
    for (uint64_t frame = 0; frame < live->n_fetched; frame++) {
        float sample;
        wp_peal_render(peal, &sample, 1);
        if (frame >= live->skip_frames) {
            tally_add(&samples, &sample, sizeof sample);
        }
    }
    assert_int_equal(samples.n, live->samples.n);
    assert_true(samples.hash == live->samples.hash);
    struct wp_variety variety;
    wp_peal_variety(peal, &variety);
    wp_peal_destroy(peal);
    /* The strikes once more, without sound: those that were told before the last frame made. */
    struct wp_wind *blowing;
    struct wp_drive *drive;
    assert_int_equal(wp_wind_create(&blowing, &wind), WP_OK);
    const struct wp_drive_config drive_config = {&small.context, blowing, wind.step_s, 7, NULL};
    assert_int_equal(wp_drive_create(&drive, &drive_config), WP_OK);
    struct wp_strike strike;
    while (strikes.n < live->strikes.n && wp_drive_next(drive, 1e9, &strike)) {
        tally_strike(&strikes, &strike);
    }
    assert_true(strikes.n >= variety.n_strikes);
    assert_true(strikes.hash == live->strikes.hash);
    wp_drive_destroy(drive);
    wp_wind_destroy(blowing);
    wp_weather_finish(&weather);
}

/* Bytes in use by glibc's heap, less those of the log; 0 when a sanitizer has a heap of its own. */
static size_t heap_bytes(struct live *live)
{
    fflush(live->log);
    const size_t before = mallinfo2().uordblks;
    void *volatile probe = malloc(65536);
    const size_t grown = mallinfo2().uordblks - before;
    free(probe);
    return grown >= 65536 && grown < 65536 + 4096 ? before - live->log_size : 0;
}

static double simulated_s(void)
{
    const char *hours = getenv("WP_SIMULATED_HOURS");
    return 3600.0 * (hours ? strtod(hours, NULL) : 0.1);
}

/* A station's minute: some wind all day, calm in between, a turn now and then. */
static void report_minute(struct live *live, size_t minute)
{
    const double mean = fmax(0.0, 4.0 + 3.0 * sin(0.05 * (double)minute));
    live_report(live, mean, minute % 4 == 3 ? (double)NAN : 1.6 * mean,
                fmod(200.0 + 11.0 * (double)minute, 360.0));
}

static void hours_of_a_feed_need_no_more_memory_and_equal_the_log(void **state)
{
    (void)state;
    static struct live live;
    const size_t n_minutes = (size_t)(simulated_s() / 60.0);
    size_t early_bytes = 0;
    live_open(&live);
    for (size_t minute = 0; minute < n_minutes; minute++) {
        report_minute(&live, minute);
        live_run(&live, 60.0);
        if (minute == 1) {
            early_bytes = heap_bytes(&live);
        }
    }
    const size_t late_bytes = heap_bytes(&live);
    assert_int_equal(live.n_taken, n_minutes);
    assert_int_equal(live.n_short, 0);
    assert_true(live.strikes.n > n_minutes);
    /* The log's own buffer grows by doubling. */
    assert_true(late_bytes < early_bytes + 3 * live.log_size + 16384);
    print_message("%.3g simulated hours, %llu strikes, heap %zu bytes early and %zu late\n",
                  (double)n_minutes / 60.0, (unsigned long long)live.strikes.n, early_bytes,
                  late_bytes);
    assert_offline_is_the_same(&live);
    live_close(&live);
}

static void a_feed_that_tells_its_averages_equals_its_log(void **state)
{
    (void)state;
    static struct live live;
    static const struct wp_averages metar = {600.0, 3.0, 600.0};
    live_open(&live);
    live_run(&live, 5.0);
    live_order(&live, &(struct wp_order){.kind = WP_ORDER_AVERAGES, .averages = metar});
    wp_session_print_averages(live.log, &metar);
    for (size_t minute = 0; minute < 3; minute++) {
        report_minute(&live, minute);
        live_run(&live, 60.0);
    }
    assert_true(live.strikes.n > 0);
    live.wind.averaging_s = metar.mean_s;
    live.wind.gust_over_s = metar.gust_over_s;
    assert_offline_is_the_same(&live);
    live_close(&live);
}

static void without_a_device_weather_and_strikes_go_on(void **state)
{
    (void)state;
    static struct live live;
    live_open(&live);
    live_report(&live, 6.0, 9.0, 240.0);
    live_run(&live, 20.0);
    const uint64_t before = wp_stage_frame(live.stage);
    const uint64_t n_struck = live.strikes.n;
    live.is_device_fetching = false;
    live_order(&live, &(struct wp_order){.kind = WP_ORDER_DEVICE, .is_on = false});
    live_run(&live, 60.0);
    assert_near((double)(wp_stage_frame(live.stage) - before) / RATE_HZ, 60.0, 0.05);
    assert_true(live.strikes.n > n_struck);
    live_close(&live);
}

/* After a pause the device starts in silence and is faded in, at the right place in time. */
static void a_device_that_returns_joins_where_the_time_is(void **state)
{
    (void)state;
    enum { KEPT = 60 * RATE_HZ };
    static struct live live;
    static float kept[KEPT];
    live_open(&live);
    live.kept = kept;
    live.n_kept_max = KEPT;
    live_report(&live, 8.0, 12.0, 240.0);
    live_run(&live, 30.0);
    live.is_device_fetching = false;
    live_order(&live, &(struct wp_order){.kind = WP_ORDER_DEVICE, .is_on = false});
    live_run(&live, 5.0);
    wp_ring_skip(live.frames);
    const uint64_t back = wp_stage_frame(live.stage);
    const uint64_t n_before = live.n_fetched;
    live_order(&live, &(struct wp_order){.kind = WP_ORDER_DEVICE, .is_on = true});
    live.is_device_fetching = true;
    live_run(&live, 10.0);
    fclose(live.log);
    live.log = NULL;
    struct wp_weather weather;
    assert_int_equal(wp_weather_parse(&weather, "log", live.log_text, live.log_size, NULL, NULL),
                     WP_OK);
    struct wp_wind_config wind = live.wind;
    wind.weather = &weather;
    struct wp_peal_config config = peal_config(&wind);
    struct wp_peal *peal;
    static float wanted[KEPT];
    assert_int_equal(wp_peal_create(&peal, &config, NULL), WP_OK);
    wp_peal_render(peal, wanted, KEPT);
    wp_peal_destroy(peal);
    wp_weather_finish(&weather);
    const size_t fade = (size_t)(fade_s * RATE_HZ);
    assert_memory_equal(kept + n_before + fade, wanted + back + fade, 8 * RATE_HZ * sizeof *kept);
    assert_true(fabsf(kept[n_before]) <= 1e-6f * fabsf(wanted[back]) + 1e-12f);
    live_close(&live);
}

static void a_feed_that_falls_silent_is_told_of_once(void **state)
{
    (void)state;
    static struct live live;
    live_open(&live);
    live_run(&live, 1.0);
    assert_int_equal(live.feed, WP_WIND_WAITING);
    for (size_t i = 0; i < 10; i++) {
        live_report(&live, 5.0, 8.0, 240.0);
        live_run(&live, 10.0);
    }
    assert_int_equal(live.feed, WP_WIND_FRESH);
    live_run(&live, 60.0);
    assert_int_equal(live.feed, WP_WIND_SILENT);
    live_run(&live, 120.0);
    assert_int_equal(live.feed, WP_WIND_FADED);
    assert_near(live.level.wind.speed_m_s, 0.0, 0.0);
    const uint64_t n_struck = live.strikes.n;
    live_run(&live, 60.0);
    assert_true(live.strikes.n <= n_struck + 2);
    live_close(&live);
}

static void a_long_pause_is_not_made_up_for(void **state)
{
    (void)state;
    static struct live live;
    live_open(&live);
    live.is_device_fetching = false;
    live_order(&live, &(struct wp_order){.kind = WP_ORDER_DEVICE, .is_on = false});
    live_run(&live, 1.0);
    const uint64_t before = wp_stage_frame(live.stage);
    live.now_s += 3600.0; /* the machine slept */
    live_run(&live, 1.0);
    assert_true(wp_stage_frame(live.stage) - before <= 1.1 * RATE_HZ);
    live_close(&live);
}

/* Whatever the device does, orders are followed. */
static void a_dead_device_does_not_keep_orders_from_being_followed(void **state)
{
    (void)state;
    static struct live live;
    live_open(&live);
    live_run(&live, 2.0);
    live.is_device_fetching = false;
    live_run(&live, 1.0);
    live_order(&live, &(struct wp_order){.kind = WP_ORDER_PLAY});
    live_order(&live, &(struct wp_order){.kind = WP_ORDER_PLAY});
    live_tick(&live);
    assert_int_equal(wp_ring_count(live.orders), 0);
    live_close(&live);
}

static void a_peal_that_is_replaced_before_its_frame_is_retired_unheard(void **state)
{
    (void)state;
    static struct live live;
    struct wp_peal_config config;
    struct wp_peal *later;
    struct wp_news news;
    live_open(&live);
    live_run(&live, 1.0);
    config = peal_config(&live.wind);
    assert_int_equal(wp_peal_create(&later, &config, NULL), WP_OK);
    live_order(&live,
               &(struct wp_order){.kind = WP_ORDER_PLAY, .peal = later, .frame = 100 * RATE_HZ});
    live_run(&live, 1.0);
    live_order(&live, &(struct wp_order){.kind = WP_ORDER_PLAY});
    wp_stage_step(live.stage, live.now_s + 0.01);
    bool is_retired = false;
    while (wp_ring_read(live.news, &news, 1) > 0) {
        is_retired = is_retired || (news.kind == WP_NEWS_RETIRED && news.peal == later);
    }
    assert_true(is_retired);
    wp_peal_destroy(later);
    live_close(&live);
}

/* A set that is hung lower while it plays feels less wind, and that is what is told. */
static void the_wind_that_is_told_is_that_of_the_peal_that_plays(void **state)
{
    (void)state;
    static struct live live;
    const uint64_t change = 25 * RATE_HZ;
    struct wp_record record = {start_s + 0.5, 8.0, 12.0, 240.0, (double)NAN, (double)NAN};
    struct wp_weather recent = {.records = &record, .n_records = 1, .interval_s = 60.0};
    struct wp_peal *lower;
    live_open(&live);
    live_report(&live, record.mean_m_s, record.gust_m_s, record.from_deg);
    live_run(&live, 20.0);
    assert_true(live.level.wind.speed_m_s > 0.0);
    struct wp_wind_config wind = live.wind;
    wind.is_as_given = false;
    wind.height_m = 1.0;
    wind.start_s += 25.0;
    wind.weather = &recent;
    const struct wp_peal_config config = peal_config(&wind);
    assert_int_equal(wp_peal_create(&lower, &config, NULL), WP_OK);
    live_order(&live, &(struct wp_order){.kind = WP_ORDER_PLAY, .peal = lower, .frame = change});
    live_run(&live, 10.0);
    struct wp_wind *blowing;
    struct wp_wind_sample sample;
    const double told_s = (double)(live.level.frame - change) / RATE_HZ;
    assert_true(told_s > 4.0);
    assert_int_equal(wp_wind_create(&blowing, &wind), WP_OK);
    for (size_t i = 0; wind.step_s * (double)i <= told_s; i++) {
        wp_wind_step(blowing, &sample);
    }
    assert_true(live.level.wind.speed_m_s == sample.speed_m_s);
    assert_true(live.level.wind.from_deg == sample.from_deg);
    wp_wind_destroy(blowing);
    live_order(&live, &(struct wp_order){.kind = WP_ORDER_PLAY});
    live_run(&live, 1.0);
    wp_peal_destroy(lower);
    live_close(&live);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hours_of_a_feed_need_no_more_memory_and_equal_the_log),
        cmocka_unit_test(a_feed_that_tells_its_averages_equals_its_log),
        cmocka_unit_test(without_a_device_weather_and_strikes_go_on),
        cmocka_unit_test(a_device_that_returns_joins_where_the_time_is),
        cmocka_unit_test(a_feed_that_falls_silent_is_told_of_once),
        cmocka_unit_test(a_long_pause_is_not_made_up_for),
        cmocka_unit_test(a_dead_device_does_not_keep_orders_from_being_followed),
        cmocka_unit_test(a_peal_that_is_replaced_before_its_frame_is_retired_unheard),
        cmocka_unit_test(the_wind_that_is_told_is_that_of_the_peal_that_plays),
    };
    return cmocka_run_group_tests(tests, small_set_prepare, small_set_leave);
}
