/* SPDX-License-Identifier: MIT */
/*
 * Two thousand METAR reports, made up by chance within the rules of FM 15, as this project reads
 * them and as the Perl module Geo::METAR does (Debian's libgeo-metar-perl 1.15). Left out is what
 * that module does not read: km/h, P99, slashes, strong
 * variable winds. WINDPEAL_METAR_READER in
 * the environment: without the module the test fails, instead of being skipped.
 */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "weather/metar_groups.h"

enum { SKIPPED = 77, REPORTS = 2000, REPORT_SIZE = 128 };

static char reports[REPORTS][REPORT_SIZE];

/* The minimal standard generator (Park and Miller, CACM 31 (1988) 1192): same reports everywhere.
 */
static int draw(uint64_t *seed, int n)
{
    *seed = *seed * 48271 % 2147483647;
    return (int)(*seed % (uint64_t)n);
}

static void append(char *text, const char *piece)
{
    const size_t used = strlen(text);
    (void)snprintf(text + used, REPORT_SIZE - used, "%s", piece);
}

static void add_wind(char *text, uint64_t *seed)
{
    char piece[48];
    const bool is_metric = draw(seed, 3) == 0;
    const int mean = draw(seed, is_metric ? 40 : 80) + (draw(seed, 20) == 0 && !is_metric ? 80 : 0);
    const char *const unit = is_metric ? "MPS" : "KT";
    if (mean == 0) {
        (void)snprintf(piece, sizeof piece, "00000%s ", unit);
        append(text, piece);
        return;
    }
    const bool is_variable = mean < 10 && draw(seed, 2) == 0;
    if (is_variable) {
        append(text, "VRB");
    } else {
        (void)snprintf(piece, sizeof piece, "%03d", 10 * (1 + draw(seed, 36)));
        append(text, piece);
    }
    (void)snprintf(piece, sizeof piece, "%02d", mean);
    append(text, piece);
    if (!is_variable && draw(seed, 2) == 0) {
        (void)snprintf(piece, sizeof piece, "G%02d", mean + 1 + draw(seed, 20));
        append(text, piece);
    }
    append(text, unit);
    append(text, " ");
    if (draw(seed, 4) == 0) {
        (void)snprintf(piece, sizeof piece, "%03dV%03d ", 10 * (1 + draw(seed, 36)),
                       10 * (1 + draw(seed, 36)));
        append(text, piece);
    }
}

static void make_report(char *text, uint64_t *seed)
{
    static const char *const kinds[] = {"METAR", "SPECI", "METAR"};
    static const char *const skies[] = {"9999 SCT035", "CAVOK", "4000 +SHRA BKN015CB", "10SM CLR"};
    static const char *const ends[] = {"", " NOSIG", " TEMPO 02025G38KT", " RMK AO2 SLP176"};
    char piece[96];
    const int degrees = draw(seed, 70) - 30;
    (void)snprintf(text, REPORT_SIZE, "%s EDXB %02d%02d%02dZ %s", kinds[draw(seed, 3)],
                   1 + draw(seed, 28), draw(seed, 24), draw(seed, 60),
                   draw(seed, 4) == 0 ? "AUTO " : "");
    add_wind(text, seed);
    const bool is_inches = draw(seed, 2) == 0;
    (void)snprintf(piece, sizeof piece, "%s %s%02d/M01 %s%04d%s", skies[draw(seed, 4)],
                   degrees < 0 ? "M" : "", abs(degrees), is_inches ? "A" : "Q",
                   is_inches ? 2850 + draw(seed, 200) : 960 + draw(seed, 90), ends[draw(seed, 4)]);
    append(text, piece);
}

/* The next field, up to a bar or the end; empty: NAN. */
static double next_number(char **at)
{
    char *const end = *at + strcspn(*at, "|\n");
    const bool is_empty = end == *at;
    const double value = is_empty ? (double)NAN : strtod(*at, NULL);
    *at = *end == '|' ? end + 1 : end;
    return value;
}

static void assert_alike(double ours, double theirs, double tolerance, const char *what,
                         const char *report)
{
    if (isnan(theirs) ? !isnan(ours) : !(fabs(ours - theirs) <= tolerance)) {
        fail_msg("'%s': %s is %.9g, and %.9g by Geo::METAR", report, what, ours, theirs);
    }
}

/* Its factors have nine digits (0.514444444 m/s a knot), its pressures four (33.8639 hPa an inch).
 */
static void compare(const char *report, char *line)
{
    struct wp_metar metar;
    wp_metar_read((struct wp_slice){report, strlen(report)}, &metar);
    const struct wp_metar_wind *const wind = &metar.wind;
    const double gust_m_s = wind->gust >= 0 ? wp_unit_to_si(wind->unit, wind->gust) : (double)NAN;
    assert_int_equal(metar.wind_is, WP_METAR_WIND);
    assert_alike(wp_unit_to_si(wind->unit, wind->mean), next_number(&line), 1e-6, "mean", report);
    assert_alike(gust_m_s, next_number(&line), 1e-6, "gust", report);
    assert_alike(wind->is_variable ? (double)NAN : wind->from_deg, next_number(&line), 0.0,
                 "direction", report);
    assert_alike(metar.has_sector ? metar.left_deg : (double)NAN, next_number(&line), 0.0,
                 "sector's left", report);
    assert_alike(metar.has_sector ? metar.right_deg : (double)NAN, next_number(&line), 0.0,
                 "sector's right", report);
    assert_alike(metar.temperature_c, next_number(&line), 0.0, "temperature", report);
    assert_alike(metar.pressure_pa, 100.0 * next_number(&line), 5.0, "pressure", report);
    assert_alike(metar.day, next_number(&line), 0.0, "day", report);
    assert_alike(metar.hour, next_number(&line), 0.0, "hour", report);
    assert_alike(metar.minute, next_number(&line), 0.0, "minute", report);
}

/* Calms have the direction "000" there, variable winds "Variable": both are emptied. */
static const char script[] =
    "perl -MGeo::METAR -e '"
    "while (<STDIN>) { chomp; my $m = Geo::METAR->new; $m->metar($_); "
    "my ($h, $n) = $m->TIME =~ /(\\d+):(\\d+)/; my $d = $m->WIND_DIR_DEG; "
    "$d = \"\" if $d eq \"Variable\"; "
    "print join(\"|\", map { defined $_ ? $_ : \"\" } ($m->WIND_MS, $m->WIND_GUST_MS, $d, "
    "$m->WIND_VAR_1, $m->WIND_VAR_2, $m->TEMP_C, $m->ALT_HP, $m->DATE, $h, $n)), \"\\n\"; }' <";

static void geo_metar_reads_the_same(void **state)
{
    (void)state;
    char name[] = "/tmp/windpeal-metar-XXXXXX";
    char command[sizeof script + sizeof name];
    char line[256];
    uint64_t seed = 20261125;
    const int descriptor = mkstemp(name);
    assert_true(descriptor >= 0);
    FILE *const file = fdopen(descriptor, "w");
    assert_non_null(file);
    for (size_t i = 0; i < REPORTS; i++) {
        make_report(reports[i], &seed);
        fprintf(file, "%s\n", reports[i]);
    }
    fclose(file);
    (void)snprintf(command, sizeof command, "%s%s", script, name);
    FILE *const answers = popen(command, "r");
    assert_non_null(answers);
    size_t n = 0;
    while (n < REPORTS && fgets(line, sizeof line, answers)) {
        compare(reports[n++], line);
    }
    pclose(answers);
    unlink(name);
    assert_int_equal(n, REPORTS);
}

int main(void)
{
    if (system("perl -MGeo::METAR -e 1 >/dev/null 2>&1") != 0 && !getenv("WINDPEAL_METAR_READER")) {
        puts("skipped: the Perl module Geo::METAR is not installed");
        return SKIPPED;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(geo_metar_reads_the_same),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
