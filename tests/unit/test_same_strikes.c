/* SPDX-License-Identifier: MIT */
/*
 * Claims about strike lists being the same on every machine. The checksums are of printed lists;
 * they hold for every compiler, optimisation and processor, and change only when wind or striker
 * are changed on purpose: then the new value, printed by the failing test, is committed.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "drive_fixture.h"

/* FNV-1a, 64 bits (G. Fowler, L. C. Noll, K.-P. Vo; the IETF draft "The FNV Non-Cryptographic Hash
 * Algorithm"). */
static uint64_t checksum(const char *text, size_t text_size)
{
    uint64_t hash = 0xcbf29ce484222325u;
    for (size_t i = 0; i < text_size; i++) {
        hash = (hash ^ (unsigned char)text[i]) * 0x100000001b3u;
    }
    return hash;
}

/* Twenty minutes of strikes, printed, and how many of the rows are blows. */
static uint64_t checksum_of(struct drive_fixture *f, size_t *n_strikes)
{
    char *text = NULL;
    size_t text_size = 0;
    struct wp_strike strike;
    FILE *file = open_memstream(&text, &text_size);
    assert_non_null(file);
    drive_start(f, 2026);
    wp_strike_print_heading(file);
    *n_strikes = 0;
    while (wp_drive_next(f->drive, 1200.0, &strike)) {
        *n_strikes += wp_strike_is_blow(&strike);
        wp_strike_complete(&strike, &f->base.context);
        wp_strike_print(file, &strike);
    }
    fclose(file);
    const uint64_t sum = checksum(text, text_size);
    free(text);
    drive_close(f);
    return sum;
}

static void assert_checksum(uint64_t got, uint64_t want)
{
    if (got != want) {
        print_error("checksum 0x%016llx instead of 0x%016llx\n", (unsigned long long)got,
                    (unsigned long long)want);
        fail();
    }
}

/* The draft gives the hash of "foobar". */
static void checksum_is_the_published_one(void **state)
{
    (void)state;
    assert_checksum(checksum("foobar", 6), 0x85944171f73967e8u);
}

static void readings_of_a_station_give_the_same_strikes_everywhere(void **state)
{
    (void)state;
    struct drive_fixture f;
    size_t n;
    drive_open(&f, 121, 10.0);
    for (size_t i = 0; i < f.weather.n_records; i++) {
        f.weather.records[i].mean_m_s = 0.25 * (double)(i % 40);
        f.weather.records[i].from_deg = (double)(i * 29 % 360);
    }
    const uint64_t sum = checksum_of(&f, &n);
    assert_int_equal(n, 2786);
    assert_checksum(sum, 0x8c3373ddd8863925u);
}

static void generated_wind_gives_the_same_strikes_everywhere(void **state)
{
    (void)state;
    struct drive_fixture f;
    size_t n;
    drive_open(&f, 21, 60.0);
    f.wind_config.is_as_given = false;
    f.wind_config.height_m = 2.0;
    f.wind_config.roughness_m = 0.25;
    for (size_t i = 0; i < f.weather.n_records; i++) {
        f.weather.records[i].mean_m_s = 3.0 + (double)(i % 5);
        f.weather.records[i].gust_m_s = 6.0 + 1.5 * (double)(i % 5);
        f.weather.records[i].from_deg = (double)(i * 29 % 360);
    }
    const uint64_t sum = checksum_of(&f, &n);
    assert_int_equal(n, 2821);
    assert_checksum(sum, 0x292425e2b301ca1du);
}

static void a_sail_gives_the_same_strikes_everywhere(void **state)
{
    (void)state;
    struct drive_fixture f;
    size_t n;
    sail_open(&f, 21, 60.0);
    for (size_t i = 0; i < f.weather.n_records; i++) {
        f.weather.records[i].mean_m_s = 2.0 + (double)(i % 5);
        f.weather.records[i].gust_m_s = 4.0 + 1.5 * (double)(i % 5);
        f.weather.records[i].from_deg = (double)(i * 29 % 360);
    }
    const uint64_t sum = checksum_of(&f, &n);
    assert_checksum(sum, 0x8ebf15d5ffc1d8cfu);
    assert_int_equal(n, 3216);
}

static void coils_give_the_same_strikes_everywhere(void **state)
{
    (void)state;
    struct drive_fixture f;
    size_t n;
    coils_open(&f, 121, 10.0);
    f.base.set.drive.coils.jitter_01 = 0.2;
    f.base.set.drive.coils.fastest_s = 0.8;
    f.base.set.drive.coils.force_n = 14.0;
    for (size_t i = 0; i < f.weather.n_records; i++) {
        f.weather.records[i].mean_m_s = 0.25 * (double)(i % 40);
    }
    const uint64_t sum = checksum_of(&f, &n);
    assert_true(n > 1000);
    assert_checksum(sum, 0x72f18f7b79fae5f6u);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(checksum_is_the_published_one),
        cmocka_unit_test(readings_of_a_station_give_the_same_strikes_everywhere),
        cmocka_unit_test(a_sail_gives_the_same_strikes_everywhere),
        cmocka_unit_test(coils_give_the_same_strikes_everywhere),
        cmocka_unit_test(generated_wind_gives_the_same_strikes_everywhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
