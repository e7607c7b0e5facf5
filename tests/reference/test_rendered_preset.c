/* SPDX-License-Identifier: MIT */
/*
 * One preset (its name is in the environment), by measurement: the rendered sound is analysed like
 * a recording and compared with what is known of struck tubes, independent of how the program
 * computed it.
 *
 * Sources beside the checks; "common practice" marks facts of the trade without one.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "windpeal/chime.h"
#include "windpeal/peal.h"
#include "windpeal/set.h"
#include "windpeal/weather.h"

enum { RATE_HZ = 48000, DFT_SIZE = 4096 };

static const double PI = 3.14159265358979323846;

/* A preset, solved and laid out. */
struct fixture {
    struct wp_set set;
    struct wp_chime *chime;
    struct wp_diags diags;
};

static const char *source_path(char *path, size_t path_size, const char *folder, const char *name)
{
    const char *root = getenv("WP_SOURCE_ROOT");
    assert_non_null(root);
    (void)snprintf(path, path_size, "%s/%s/%s", root, folder, name);
    return path;
}

static void fixture_load(struct fixture *fixture)
{
    char path[512];
    const char *name = getenv("WP_PRESET");
    assert_non_null(name);
    source_path(path, sizeof path, "presets", name);
    wp_diags_init(&fixture->diags);
    enum wp_status status = wp_set_load(&fixture->set, path, &fixture->diags);
    /* The tubes are measured; what a room adds to them is measured elsewhere. */
    fixture->set.room.kind = WP_ROOM_FREE;
    if (!status) {
        struct wp_chime_config config;
        wp_chime_config_default(&config);
        status = wp_chime_create(&fixture->chime, &fixture->set, &config, &fixture->diags);
    }
    if (status) {
        fail_msg("%s: %s", path, fixture->diags.items[0].message);
    }
}

/* One blow on one tube, mono, calibrated; the caller frees the samples. */
static float *render_blow(struct fixture *fixture, const struct wp_strike *blow, size_t n_frames)
{
    struct wp_strike copy = *blow;
    const struct wp_strike_list list = {.items = &copy, .n_items = 1};
    const struct wp_peal_config config = {
        .set = &fixture->set,
        .chime = fixture->chime,
        .strikes = &list,
        .duration_s = (double)n_frames / RATE_HZ,
        .seed = 1,
        .rate_hz = RATE_HZ,
        .channels = WP_MONO,
    };
    struct wp_peal *peal = NULL;
    assert_int_equal(wp_peal_create(&peal, &config, &fixture->diags), WP_OK);
    float *samples = calloc(n_frames, sizeof *samples);
    assert_non_null(samples);
    wp_peal_render(peal, samples, n_frames);
    wp_peal_destroy(peal);
    return samples;
}

/* A blow with all columns that the set itself would give it. */
static struct wp_strike blow_on(struct fixture *fixture, size_t tube, double speed_m_s)
{
    struct wp_layout layout;
    struct wp_striker striker;
    struct wp_contact contact;
    assert_int_equal(wp_layout_init(&layout, &fixture->set, fixture->chime, &fixture->diags),
                     WP_OK);
    assert_int_equal(wp_striker_init(&striker, &fixture->set, &fixture->diags), WP_OK);
    wp_contact_solve(&contact, &striker, &fixture->chime->tubes[tube], layout.strike_height_m[tube],
                     speed_m_s);
    return (struct wp_strike){
        .tube = tube,
        .speed_m_s = speed_m_s,
        .bearing_deg = fixture->set.listener_bearing_deg,
        .height_m = layout.strike_height_m[tube],
        .impulse_n_s = contact.impulse_n_s,
    };
}

/* Power of x around freq_hz in a Hann window of n samples. */
static double band_power(const float *x, size_t n, double freq_hz)
{
    double re = 0.0;
    double im = 0.0;
    for (size_t i = 0; i < n; i++) {
        const double window = 0.5 - 0.5 * cos(2.0 * PI * ((double)i + 0.5) / (double)n);
        const double phase = 2.0 * PI * freq_hz * (double)i / RATE_HZ;
        re += window * (double)x[i] * cos(phase);
        im -= window * (double)x[i] * sin(phase);
    }
    return (re * re + im * im) * 4.0 / ((double)n * (double)n);
}

/*
 * T60 of one partial as ISO 3382-1 measures a decay: backward integration (Schroeder, JASA 37
 * (1965) 409) of its band's power, line through -5 to -25 dB.
 */
static double measure_t60(const float *x, size_t n, double freq_hz, size_t window)
{
    enum { POINTS_MAX = 4000 };
    static double power[POINTS_MAX];
    const size_t hop = window / 4;
    size_t n_points = 0;
    for (size_t at = 0; at + window <= n && n_points < POINTS_MAX; at += hop) {
        power[n_points++] = band_power(x + at, window, freq_hz);
    }
    double sum = 0.0;
    for (size_t i = n_points; i-- > 0;) {
        sum += power[i];
        power[i] = sum;
    }
    double st = 0.0, sl = 0.0, stt = 0.0, stl = 0.0, count = 0.0;
    for (size_t i = 0; i < n_points; i++) {
        const double level_db = 10.0 * log10(power[i] / sum);
        const double t_s = (double)(i * hop) / RATE_HZ;
        if (level_db <= -5.0 && level_db >= -25.0) {
            st += t_s, sl += level_db, stt += t_s * t_s, stl += t_s * level_db, count += 1.0;
        }
    }
    assert_true(count >= 4.0);
    return -60.0 * (count * stt - st * st) / (count * stl - st * sl);
}

/* Power centroid of the spectrum of DFT_SIZE samples. */
static double centroid_hz(const float *x)
{
    double weighted = 0.0;
    double total = 0.0;
    for (size_t bin = 1; bin < DFT_SIZE / 2; bin++) {
        const double freq_hz = (double)bin * RATE_HZ / DFT_SIZE;
        const double power = band_power(x, DFT_SIZE, freq_hz);
        weighted += freq_hz * power;
        total += power;
    }
    return weighted / total;
}

/* Long windows keep neighbours out; short ones follow a fast decay. */
static size_t window_for(const struct wp_partial *partial)
{
    const double window_s = fmin(0.4, 0.15 * partial->t60_s);
    const double shortest_s = 6.0 / partial->freq_hz;
    return (size_t)(RATE_HZ * fmax(window_s, shortest_s));
}

static double measured_t60(struct fixture *fixture, size_t tube, size_t n)
{
    const struct wp_partial *partial = &fixture->chime->tubes[tube].partials[n - 1];
    const size_t n_frames = (size_t)(RATE_HZ * fmin(1.2 * partial->t60_s + 1.0, 60.0));
    const struct wp_strike blow = blow_on(fixture, tube, 0.3);
    float *samples = render_blow(fixture, &blow, n_frames);
    const double t60_s = measure_t60(samples, n_frames, partial->freq_hz, window_for(partial));
    free(samples);
    return t60_s;
}

/*
 * Higher partials of a struck tube or bar die sooner (Fletcher & Rossing, The Physics of Musical
 * Instruments, 2nd ed. 1998, ch. 19; Chaigne & Doutaut, JASA 101 (1997) 539 measure it for bars).
 */
static void higher_partials_die_sooner(void **state)
{
    (void)state;
    struct fixture fixture;
    fixture_load(&fixture);
    for (size_t tube = 0; tube < fixture.chime->n_tubes; tube += fixture.chime->n_tubes - 1) {
        const double first_s = measured_t60(&fixture, tube, 1);
        const double second_s = measured_t60(&fixture, tube, 2);
        const double fourth_s = measured_t60(&fixture, tube, 4);
        print_message("tube %zu: T60 %.1f %.1f %.1f s\n", tube + 1, first_s, second_s, fourth_s);
        assert_true(fourth_s < second_s);
        assert_true(second_s < first_s);
    }
    wp_chime_destroy(fixture.chime);
}

/* What is heard decays as the table says it does: 15 % leaves room for beats of split partials. */
static void rendered_decay_is_the_stated_one(void **state)
{
    (void)state;
    struct fixture fixture;
    fixture_load(&fixture);
    for (size_t n = 1; n <= 3; n++) {
        const double stated_s = fixture.chime->tubes[0].partials[n - 1].t60_s;
        const double heard_s = measured_t60(&fixture, 0, n);
        print_message("partial %zu: stated %.2f s, measured %.2f s\n", n, stated_s, heard_s);
        assert_true(fabs(heard_s / stated_s - 1.0) < 0.15);
    }
    wp_chime_destroy(fixture.chime);
}

/* Brightness fades first, and a hard blow is brighter than a soft one (same sources). */
static void centroid_follows_time_and_force(void **state)
{
    (void)state;
    struct fixture fixture;
    fixture_load(&fixture);
    const struct wp_strike hard = blow_on(&fixture, 0, 1.0);
    const struct wp_strike soft = blow_on(&fixture, 0, 0.05);
    float *loud = render_blow(&fixture, &hard, 2 * RATE_HZ);
    float *quiet = render_blow(&fixture, &soft, 2 * RATE_HZ);
    const double at_once_hz = centroid_hz(loud);
    const double later_hz = centroid_hz(loud + RATE_HZ);
    const double soft_hz = centroid_hz(quiet);
    print_message("centroid hard %.0f, after 1 s %.0f, soft %.0f Hz\n", at_once_hz, later_hz,
                  soft_hz);
    assert_true(later_hz < at_once_hz);
    assert_true(soft_hz < at_once_hz);
    free(loud);
    free(quiet);
    wp_chime_destroy(fixture.chime);
}

/* Finds dips of a power by 6 dB and back up by 6 dB, smaller ripple passed over. */
struct dips {
    double highest;
    double lowest;
    double lowest_s;
    size_t n;
    double at_s[2];
};

static void dips_add(struct dips *dips, double power, double t_s)
{
    dips->highest = fmax(dips->highest, power);
    if (power < dips->lowest && power < dips->highest / 4.0) {
        dips->lowest = power;
        dips->lowest_s = t_s;
    }
    if (power > 4.0 * dips->lowest && dips->n < 2) {
        dips->at_s[dips->n++] = dips->lowest_s;
        dips->highest = power;
        dips->lowest = INFINITY;
    }
}

/*
 * Two equal sinusoids a few hertz apart wax and wane at their difference. The tube is struck
 * half-way between its two axes, so both sound alike; the first two minima of its envelope lie one
 * beat apart.
 */
static void split_partial_beats_at_its_difference(void **state)
{
    (void)state;
    struct fixture fixture;
    fixture_load(&fixture);
    struct wp_tube *tube = &fixture.chime->tubes[0];
    const struct wp_partial *partial = &tube->partials[1];
    const double beat_hz = fabs(partial->polarised_hz[1] - partial->polarised_hz[0]);
    assert_true(beat_hz > 0.2);
    fixture.set.listener_bearing_deg = tube->axis_deg + 45.0;
    struct wp_strike blow = blow_on(&fixture, 0, 0.3);
    blow.bearing_deg = tube->axis_deg + 45.0;
    const size_t n_frames = (size_t)(RATE_HZ * 2.2 / beat_hz);
    float *samples = render_blow(&fixture, &blow, n_frames);

    const size_t window = (size_t)(RATE_HZ * 0.12 / beat_hz);
    const size_t hop = window / 12;
    struct dips dips = {.lowest = INFINITY};
    for (size_t at = 0; at + window <= n_frames; at += hop) {
        const double power = band_power(samples + at, window, partial->freq_hz);
        dips_add(&dips, power, (double)at / RATE_HZ);
    }
    assert_true(dips.n >= 2);
    const double measured_hz = 1.0 / (dips.at_s[1] - dips.at_s[0]);
    print_message("beats %.3f Hz, stated %.3f Hz\n", measured_hz, beat_hz);
    assert_true(fabs(measured_hz / beat_hz - 1.0) < 0.05);
    free(samples);
    wp_chime_destroy(fixture.chime);
}

/* Correlation of strikes a minute with the mean wind of that minute. */
static double wind_correlation(struct fixture *fixture, const struct wp_weather *weather)
{
    struct wp_wind_config wind;
    wp_wind_config_default(&wind);
    wind.weather = weather;
    double end_s = 0.0;
    wp_weather_span(weather, &wind.start_s, &end_s);
    wind.seed = 7;
    /* A sail feels the wind where it hangs, the other drives the station's. */
    wind.is_as_given = fixture->set.drive.kind != WP_DRIVE_SAIL;
    wind.height_m = fixture->set.site_height_m;
    wind.roughness_m = fixture->set.site_roughness_m;
    const size_t n_minutes = (size_t)((end_s - wind.start_s) / 60.0);
    struct wp_layout layout;
    struct wp_striker striker;
    struct wp_strike_context context = {&fixture->set, fixture->chime, &layout, &striker};
    assert_int_equal(wp_layout_init(&layout, &fixture->set, fixture->chime, &fixture->diags),
                     WP_OK);
    assert_int_equal(wp_striker_init(&striker, &fixture->set, &fixture->diags), WP_OK);
    struct wp_wind *air = NULL;
    assert_int_equal(wp_wind_create(&air, &wind), WP_OK);
    struct wp_drive *drive = NULL;
    const struct wp_drive_config drive_config = {&context, air, wind.step_s, 7, NULL};
    assert_int_equal(wp_drive_create(&drive, &drive_config), WP_OK);
    double sx = 0.0, sy = 0.0, sxx = 0.0, syy = 0.0, sxy = 0.0;
    const double n = (double)n_minutes;
    struct wp_strike strike;
    size_t next_record = 0;
    for (size_t minute = 0; minute < n_minutes; minute++) {
        const double until_s = 60.0 * (double)(minute + 1);
        double count = 0.0;
        while (wp_drive_next(drive, until_s, &strike)) {
            count += 1.0;
        }
        while (next_record + 1 < weather->n_records &&
               weather->records[next_record].t_s < wind.start_s + until_s - 1.0) {
            next_record++;
        }
        const double speed = weather->records[next_record].mean_m_s;
        const double wind_m_s = isnan(speed) ? 0.0 : speed;
        sx += wind_m_s, sy += count, sxx += wind_m_s * wind_m_s, syy += count * count;
        sxy += wind_m_s * count;
    }
    wp_drive_destroy(drive);
    wp_wind_destroy(air);
    return (n * sxy - sx * sy) / sqrt((n * sxx - sx * sx) * (n * syy - sy * sy));
}

/* More wind, more strikes (common practice, no source). */
static void strikes_follow_the_wind(void **state)
{
    (void)state;
    struct wp_weather weather;
    struct wp_diags diags;
    wp_diags_init(&diags);
    struct wp_weather_config weather_config;
    wp_weather_config_default(&weather_config);
    char path[512];
    source_path(path, sizeof path, "weather-samples", "front-passage.csv");
    assert_int_equal(wp_weather_load(&weather, path, &weather_config, &diags), WP_OK);
    struct fixture fixture;
    fixture_load(&fixture);
    const double r = wind_correlation(&fixture, &weather);
    print_message("strikes a minute against wind: r = %.2f\n", r);
    assert_true(r > 0.5);
    wp_chime_destroy(fixture.chime);
    wp_weather_finish(&weather);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(higher_partials_die_sooner),
        cmocka_unit_test(rendered_decay_is_the_stated_one),
        cmocka_unit_test(centroid_follows_time_and_force),
        cmocka_unit_test(split_partial_beats_at_its_difference),
        cmocka_unit_test(strikes_follow_the_wind),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
