/* SPDX-License-Identifier: MIT */
/* Delimited text: what is read, what is repaired and told, and where each mistake is found. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "../weather_text.h"

/* 2026-11-25T06:00:00Z: GNU date -u -d 2026-11-25T06:00Z +%s. */
static const double six_s = 1795586400.0;

static void assert_record(const struct wp_record *record, double t_s, double mean_m_s,
                          double gust_m_s, double from_deg)
{
    assert_near(record->t_s, t_s, 0.0);
    const double got[3] = {record->mean_m_s, record->gust_m_s, record->from_deg};
    const double want[3] = {mean_m_s, gust_m_s, from_deg};
    for (int i = 0; i < 3; i++) {
        if (isnan(want[i])) {
            assert_true(isnan(got[i]));
        } else {
            assert_near(got[i], want[i], 1e-12);
        }
    }
}

static void plain_table_is_read(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind speed (m/s),gust (m/s),direction,temp (C)\n"
                                           "2026-11-25T06:00:00Z,1.2,2.6,200,6.3\n"
                                           "2026-11-25T06:10:00Z,2.9,5.4,215,6.6\n",
                                           NULL);
    assert_string_equal(weather.format, "delimited text");
    assert_string_equal(weather.file, "a.csv");
    assert_int_equal(weather.n_records, 2);
    assert_record(&weather.records[0], six_s, 1.2, 2.6, 200.0);
    assert_record(&weather.records[1], six_s + 600.0, 2.9, 5.4, 215.0);
    assert_near(weather.records[1].temperature_c, 6.6, 0.0);
    assert_near(weather.interval_s, 600.0, 0.0);
    assert_int_equal(weather.n_missing, 0);
    assert_int_equal(weather.n_rejected, 0);
    assert_int_equal(weather.n_notes, 0);
    wp_weather_finish(&weather);
    assert_null(weather.records);
}

static void columns_are_told_with_their_units(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("Time (UTC);Wind [km/h];B\xF6"
                                           "e;Richtung\n"
                                           "25.11.2026 06:00;36,0;72,0;200\n",
                                           NULL);
    assert_int_equal(weather.n_columns, 4);
    assert_string_equal(weather.columns[0].meaning, "time");
    assert_string_equal(weather.columns[0].why, "zone in the heading");
    assert_string_equal(weather.columns[1].meaning, "speed");
    assert_string_equal(weather.columns[1].heading, "Wind [km/h]");
    assert_string_equal(weather.columns[1].unit, "km/h");
    assert_string_equal(weather.columns[1].why, "in the heading");
    assert_string_equal(weather.columns[2].meaning, "gust");
    assert_string_equal(weather.columns[2].heading, "B\xC3\xB6"
                                                    "e");
    assert_string_equal(weather.columns[2].unit, "km/h");
    assert_string_equal(weather.columns[2].why, "that of the column beside it");
    assert_string_equal(weather.columns[3].meaning, "from");
    assert_record(&weather.records[0], six_s, 10.0, 20.0, 200.0);
    wp_weather_finish(&weather);
}

/* One table in many dresses: 10 m/s with gusts of 20 m/s from 200 degrees at six. */
static void dress_does_not_change_the_record(void **state)
{
    (void)state;
    const char *const texts[] = {
        "time,speed (m/s),gust (m/s),dir\n2026-11-25T06:00Z,10,20,200\n",
        "time;speed (m/s);gust (m/s);dir\n2026-11-25T06:00Z;10,0;20,0;200\n",
        "time\tspeed (m/s)\tgust (m/s)\tdir\n2026-11-25T06:00Z\t10,0\t20.0\t200\n",
        "time|speed (m/s)|gust (m/s)|dir\n2026-11-25T06:00Z | 10 | 20 | 200\n",
        "date time speed_ms gust_ms dir\n2026-11-25 06:00 10 20 200\n",
        "\xEF\xBB\xBFts,\"speed_ms\",\"gust, m/s\",dir\r\n\"1795586400\",10,\"20\",200\r\n",
        "time,speed (m/s),gust (m/s),dir,\n2026-11-25T06:00Z,10,20,200,\n",
        "# a story\n\ntime,speed (m/s),gust (m/s),dir\n\n# six\n2026-11-25T06:00Z,10,20,200\n",
        "# time,speed (m/s),gust (m/s),dir\n2026-11-25T06:00Z,10,20,200\n",
        "time,speed,gust,dir\nUTC,m/s,m/s,deg\n2026-11-25 06:00,10,20,200\n",
        "Station;Hill\n\ntime;speed (m/s);gust (m/s);dir\n2026-11-25T06:00Z;10;20;200\n",
        ";Wind;Hi;Wind\nTime;Speed;Speed;Dir\n;m/s;m/s;\n2026-11-25 06:00;10;20;200\n",
        "Lat,47.1,Lon,9.2\ntime,speed (m/s),gust (m/s),dir\n2026-11-25T06:00Z,10,20,200\n",
        "latitude,height\n47.1,412\n\nts,speed_ms,gust_ms,dir\n1795586400,10,20,200\n",
        "ts,ws 2m avg ms,ws 2m max ms,ws 2m min ms,ws sd,wd\n1795586400,10,20,1,2,200\n",
        "id,dir,gust (m/s),note,speed (m/s),ts\n7,200,20,fine,10,1795586400000\n",
        "Date,Time,Speed (m/s),Gust (m/s),Dir\n11/25/2026,6:00 AM,10,20,SSW\n",
        "Datum;Uhrzeit;Wind (m/s);Gust (m/s);Dir\n25.11.26;06:00:00;10;20;200\n",
        "time,speed (m/s),gust (m/s),dir\n2026-11-25T07:00:00+01:00,10,20,200",
        "yyyy-mm-dd hh:mm ff fx dd\n- - m/s m/s deg\n2026-11-25 06:00 10 20 200\n",
        "Zeitpunkt;Wind (m/s);Gust (m/s);Dir\n25.11.2026 06:00;10;20;200\n",
        "Date;Speed (m/s);Gust (m/s);Dir\n\"Nov 25, 2026 6:00 AM\";10;20;200\n",
        "Date,Time,Speed (m/s),Hi Speed (m/s),Dir\n11/25/26,06:00 a,10,20,200\n",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct wp_weather weather = weather_of(texts[i], NULL);
        const double from_deg = strstr(texts[i], "SSW") ? 202.5 : 200.0;
        assert_int_equal(weather.n_records, 1);
        assert_record(&weather.records[0], six_s, 10.0, 20.0, from_deg);
        assert_int_equal(weather.n_rejected, 0);
        wp_weather_finish(&weather);
    }
}

static void units_of_the_config_are_for_headings_without(void **state)
{
    (void)state;
    struct wp_weather_config config;
    wp_weather_config_default(&config);
    config.unit = "km/h";
    config.utc_offset_s = 3600.0;
    config.is_offset_given = true;
    struct wp_weather weather =
        weather_of("time,speed,gust (m/s)\n2026-11-25 07:00,36,20\n", &config);
    assert_record(&weather.records[0], six_s, 10.0, 20.0, NAN);
    assert_note(&weather, "UTC+01:00, as given");
    wp_weather_finish(&weather);
    config.unit = "parsecs";
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_weather_parse(&weather, "a.csv", "time,speed\n", 11, &config, &diags),
                     WP_E_UNIT);
    assert_non_null(strstr(diags.items[0].message, "parsecs"));
}

static void assumptions_are_told(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind,temperature\n2026-11-25 06:00,36,5\n", NULL);
    assert_note(&weather, "no unit in the heading 'wind': taken as m/s");
    assert_note(&weather, "no unit in the heading 'temperature': taken as degrees Celsius");
    assert_note(&weather, "times without a zone are taken as UTC");
    wp_weather_finish(&weather);
    weather = weather_of("time,wind speed (m/s),wind speed 2 min (m/s),ta,tt\n"
                         "2026-11-25T06:00Z,3,4,5,6\n",
                         NULL);
    assert_near(weather.records[0].mean_m_s, 3.0, 0.0);
    assert_true(isnan(weather.records[0].temperature_c));
    assert_note(&weather, "'wind speed (m/s)' is taken for the wind speed, not 'wind speed 2 min");
    assert_note(&weather, "'ta' and 'tt' both fit the temperature: none used");
    wp_weather_finish(&weather);
}

static void missing_values_stay_missing(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s),gust (m/s),dir,temp (C)\n"
                                           "2026-11-25T06:00Z,,---,M,NA\n"
                                           "2026-11-25T06:10Z,3.0,999,999,-999.9\n"
                                           "2026-11-25T06:20Z,-99,65535,VRB,99.9\n"
                                           "2026-11-25T06:30Z,4.0,,,\n",
                                           NULL);
    assert_int_equal(weather.n_records, 4);
    assert_int_equal(weather.n_missing, 2);
    assert_record(&weather.records[0], six_s, NAN, NAN, NAN);
    assert_record(&weather.records[1], six_s + 600.0, 3.0, NAN, NAN);
    assert_record(&weather.records[2], six_s + 1200.0, NAN, NAN, NAN);
    assert_record(&weather.records[3], six_s + 1800.0, 4.0, NAN, NAN);
    for (size_t i = 0; i < 4; i++) {
        assert_true(isnan(weather.records[i].temperature_c));
    }
    assert_int_equal(weather.n_notes, 0);
    wp_weather_finish(&weather);
}

static void all_nines_within_the_limits_are_values(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (km/h),gust (km/h),dir\n"
                                           "2026-11-25T06:00Z,99,99.9,99\n",
                                           NULL);
    assert_record(&weather.records[0], six_s, 27.5, 27.75, 99.0);
    wp_weather_finish(&weather);
}

static void impossible_values_are_repaired_and_told(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s),gust (m/s),dir,temp (C)\n"
                                           "2026-11-25T06:00Z,181.5,10,90,20\n"
                                           "2026-11-25T06:10Z,-1,10,90,20\n"
                                           "2026-11-25T06:20Z,5,4.9,361,20\n"
                                           "2026-11-25T06:30Z,5,0,-1,70\n"
                                           "2026-11-25T06:40Z,5,80,90,20\n"
                                           "2026-11-25T06:50Z,fast,hard,left,warm\n"
                                           "2026-11-25T07:00Z,0,0,90,20\n"
                                           "2026-11-25T07:10Z,75,75,360,20\n",
                                           NULL);
    assert_record(&weather.records[0], six_s, NAN, 10.0, 90.0);
    assert_record(&weather.records[1], six_s + 600.0, NAN, 10.0, 90.0);
    assert_record(&weather.records[2], six_s + 1200.0, 5.0, NAN, NAN);
    assert_record(&weather.records[3], six_s + 1800.0, 5.0, NAN, NAN);
    assert_record(&weather.records[4], six_s + 2400.0, 5.0, NAN, 90.0);
    assert_record(&weather.records[5], six_s + 3000.0, NAN, NAN, NAN);
    assert_record(&weather.records[6], six_s + 3600.0, 0.0, 0.0, NAN);
    assert_record(&weather.records[7], six_s + 4200.0, 75.0, 75.0, 360.0);
    assert_note(&weather, "2 lines with a wind speed below 0 or above 75 m/s, taken as missing "
                          "(lines 2, 3)");
    assert_note(&weather, "1 line with a gust below the mean, taken as missing (line 4)");
    assert_note(&weather, "1 line with a gust of 0 in moving air, taken as missing (line 5)");
    assert_note(&weather, "1 line with a gust below 0 or above 75 m/s, taken as missing (line 6)");
    assert_note(&weather, "2 lines with a direction outside of 0 to 360 deg, taken as missing "
                          "(lines 4, 5)");
    assert_note(&weather, "1 line with a wind speed that is no number, taken as missing (line 7)");
    assert_note(&weather, "1 line with a gust that is no number, taken as missing (line 7)");
    assert_note(&weather, "1 line with a direction that is neither degrees nor a point, taken as "
                          "missing (line 7)");
    assert_note(&weather,
                "2 lines with no possible air temperature, taken as missing (lines 5, 7)");
    assert_int_equal(weather.n_notes, 9);
    assert_int_equal(weather.n_missing, 3);
    assert_int_equal(weather.n_rejected, 0);
    wp_weather_finish(&weather);
}

static void useless_lines_are_left_out_and_told(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s)\n"
                                           "2026-11-25T06:00Z,1\n"
                                           "soon,2\n"
                                           "2026-11-25T06:20Z,3,3\n"
                                           "2026-02-30T06:30Z,4\n"
                                           "time,wind (m/s)\n"
                                           "2026-11-25T06:40Z\n"
                                           ",5\n"
                                           "yesterday,6\n"
                                           "end of data,6\n"
                                           "2026-11-25T06:50Z,7\n",
                                           NULL);
    assert_int_equal(weather.n_records, 2);
    assert_record(&weather.records[1], six_s + 3000.0, 7.0, NAN, NAN);
    assert_int_equal(weather.n_rejected, 7);
    assert_note(&weather, "4 lines without a readable time, left out (lines 3, 8, 9, ...)");
    assert_note(&weather, "1 line with more values than headings, left out (line 4)");
    assert_note(&weather, "1 line with a date or time that does not exist, left out (line 5)");
    assert_note(&weather, "1 line cut short before time and wind speed, left out (line 7)");
    wp_weather_finish(&weather);
}

static void records_are_sorted_and_repeats_dropped(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s)\n"
                                           "2026-11-25T06:20Z,3\n"
                                           "2026-11-25T06:00Z,1\n"
                                           "2026-11-25T06:20Z,3\n"
                                           "2026-11-25T06:10Z,2\n"
                                           "2026-11-25T06:00Z,9\n"
                                           "2026-11-25T06:10Z,\n",
                                           NULL);
    assert_int_equal(weather.n_records, 3);
    assert_record(&weather.records[0], six_s, 9.0, NAN, NAN);
    assert_record(&weather.records[1], six_s + 600.0, NAN, NAN, NAN);
    assert_record(&weather.records[2], six_s + 1200.0, 3.0, NAN, NAN);
    assert_note(&weather, "1 line with an earlier record once more, dropped (line 4)");
    assert_note(&weather, "2 lines with other values for a time given before, the last one counts "
                          "(lines 6, 7)");
    wp_weather_finish(&weather);
}

static void two_stations_in_one_file_are_refused(void **state)
{
    (void)state;
    char text[4096] = "station,time,wind (m/s)\n";
    for (int station = 0; station < 2; station++) {
        for (int minute = 10; minute < 30; minute++) {
            const size_t used = strlen(text);
            (void)snprintf(text + used, sizeof text - used, "%d,2026-11-25T06:%dZ,%d\n", station,
                           minute, 3 + station);
        }
    }
    struct weather_mistake mistake = {text, WP_E_AMBIGUOUS, 22,
                                      "several stations (by 'station': '0', '1') share this file",
                                      "--station '0'"};
    assert_mistakes(&mistake, 1);
    memcpy(text, "another", 7); /* where no heading tells stations apart, the times do */
    mistake.message = "20 lines give other values for times that had some";
    mistake.hint = "--same-time last";
    assert_mistakes(&mistake, 1);
}

/* A name or number of its own for each row is no station. */
static void numbers_of_rows_are_no_stations(void **state)
{
    (void)state;
    struct wp_weather weather =
        weather_of("id,station name,time,wind (m/s)\n"
                   "1,Hill,2026-11-25T06:00Z,1\n"
                   "2,Hill,2026-11-25T06:10Z,2\n"
                   "3,hill ,2026-11-25T06:20Z,3\n",
                   &(struct wp_weather_config){
                       .reference_s = NAN, .day_s = NAN, .scale = 1.0, .station = "HILL"});
    assert_int_equal(weather.n_records, 3);
    assert_string_equal(weather.columns[weather.n_columns - 1].meaning, "station");
    assert_string_equal(weather.columns[weather.n_columns - 1].heading, "station name");
    wp_weather_finish(&weather);
    weather =
        weather_of("id,time,wind (m/s)\n7,2026-11-25T06:00Z,1\n8,2026-11-25T06:10Z,2\n", NULL);
    assert_int_equal(weather.n_records, 2);
    wp_weather_finish(&weather);
}

/* 2026-11-25 06:00 in all the ways in which columns tell it; serial 46351.25: spreadsheets count
 * 1900-01-01 as day 1 and a 29 February 1900 (ISO/IEC 29500-1, 18.17.4.1, from memory). */
static void parts_of_the_time_may_have_their_own_columns(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "year,month,day,hour,minute,wind (m/s)\n2026,11,25,6,0,3\n",
        "YYYY,MM,DD,HH,MI,speed (m/s),dir\n2026,11,25,06,00,3,\n",
        "YYYY,MM,DD,HH,MM,speed (m/s),dir\n26,11,25,6,0,3,\n",
        "Year,Month,Day,Time,wind (m/s)\n2026,11,25,6:00,3\n",
        "Year;DOY;Hour;wind (m/s)\n2026;329;600;3\n2026;329;630;3\n",
        "year,day of year,hour,minute,second,wind (m/s)\n2026,329,6,0,0,3\n",
        "date,hour,wind (m/s)\n2026-11-25,6,3\n",
        "date,hour,wind (m/s)\n2026-11-25 06:00,6,3\n",
        "time,wind (m/s)\n46351.25,3\n",
        "date;time;wind (m/s)\n46351;0,25;3\n",
        "date;time;wind (m/s)\n46351;06:00;3\n",
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        struct wp_weather weather = weather_of(texts[i], NULL);
        assert_record(&weather.records[0], six_s, 3.0, NAN, NAN);
        assert_int_equal(weather.n_rejected, 0);
        wp_weather_finish(&weather);
    }
    struct wp_weather weather = weather_of("year,month,day,hour,wind (m/s)\n"
                                           "2026,11,25,6,3\n2026,11,24,24,3\n2026,13,1,0,3\n"
                                           "2026,11,,0,3\n",
                                           NULL);
    assert_int_equal(weather.n_records, 2);
    assert_near(weather.records[0].t_s, six_s - 21600.0, 0.0);
    assert_int_equal(weather.n_rejected, 2);
    wp_weather_finish(&weather);
    weather = weather_of("time,wind (m/s)\n46351.25,3\n46351.2569444444,3\n", NULL);
    assert_near(weather.records[1].t_s, six_s + 600.0, 0.0);
    assert_note(&weather, "spreadsheet's days since 1899-12-30");
    wp_weather_finish(&weather);
}

static void values_may_carry_their_unit(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time;wind (m/s);gust;dir;temp\n"
                                           "2026-11-25T06:00Z;36 km/h;20 m/s;200\xC2\xB0;-6,0 C\n"
                                           "2026-11-25T06:10Z;36 furlongs;;200 deg;\n",
                                           NULL);
    assert_record(&weather.records[0], six_s, 10.0, 20.0, 200.0);
    assert_near(weather.records[0].temperature_c, -6.0, 1e-9);
    assert_record(&weather.records[1], six_s + 600.0, NAN, NAN, 200.0);
    assert_note(&weather, "1 value names another unit than the column: their own counts");
    wp_weather_finish(&weather);
}

static void rows_cut_short_are_told(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s),gust (m/s),note\n"
                                           "2026-11-25T06:00Z,1,2,\n"
                                           "2026-11-25T06:10Z,1\n"
                                           "2026-11-25T06:20Z,1,2,fine\n"
                                           "2026-11-25T06:30Z,1,2",
                                           NULL);
    assert_int_equal(weather.n_records, 3);
    assert_note(&weather, "1 line cut short behind the wind speed, what is not there taken as "
                          "missing (line 3)");
    assert_note(&weather, "1 line cut short by the end of the file, left out (line 5)");
    assert_int_equal(weather.n_rejected, 1);
    wp_weather_finish(&weather);
    /* Rows that never had more, and a last line without its end, are whole. */
    weather =
        weather_of("time,wind (m/s),gust (m/s)\n2026-11-25T06:00Z,1\n2026-11-25T06:10Z,1", NULL);
    assert_int_equal(weather.n_records, 2);
    assert_int_equal(weather.n_notes, 0);
    wp_weather_finish(&weather);
}

static void zone_of_some_times_only_is_told(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s)\n"
                                           "2026-11-25T06:00Z,1\n"
                                           "2026-11-25T06:10,1\n"
                                           "2026-11-25T08:20+02:00,1\n",
                                           NULL);
    assert_string_equal(weather.zone, "told in 2 times, UTC assumed in 1");
    assert_note(&weather, "1 time without a zone (line 3 first) taken as UTC (--tz sets it)");
    wp_weather_finish(&weather);
}

static void interval_is_the_median_step_and_gaps_are_told(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s)\n"
                                           "2026-11-25T06:00Z,1\n"
                                           "2026-11-25T06:05Z,1\n"
                                           "2026-11-25T06:10Z,1\n"
                                           "2026-11-25T06:40Z,1\n"
                                           "2026-11-25T06:45Z,1\n",
                                           NULL);
    double start_s = 0.0;
    double end_s = 0.0;
    wp_weather_span(&weather, &start_s, &end_s);
    assert_near(weather.interval_s, 300.0, 0.0);
    assert_near(start_s, six_s - 300.0, 0.0);
    assert_near(end_s, six_s + 2700.0, 0.0);
    assert_note(&weather, "1 gap longer than 2.5 intervals, the first after 2026-11-25T06:10:00Z");
    wp_weather_finish(&weather);
}

static void summary_leaves_missing_values_out(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s),gust (m/s)\n"
                                           "2026-11-25T06:00Z,1,\n"
                                           "2026-11-25T06:10Z,,\n"
                                           "2026-11-25T06:20Z,4,9\n"
                                           "2026-11-25T06:30Z,10,\n",
                                           NULL);
    double mean_m_s = 0.0;
    double max_m_s = 0.0;
    wp_weather_summary(&weather, &mean_m_s, &max_m_s);
    assert_near(mean_m_s, 5.0, 1e-15);
    assert_near(max_m_s, 10.0, 0.0);
    wp_weather_finish(&weather);
}

static void order_of_dates_shows_in_one_row_of_the_column(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("date,wind (m/s)\n"
                                           "03/04/2026 06:00,1\n"
                                           "13/04/2026 06:00,2\n",
                                           NULL);
    char text[32];
    wp_time_format(weather.records[0].t_s, text, sizeof text);
    assert_string_equal(text, "2026-04-03T06:00:00Z");
    wp_weather_finish(&weather);
    weather = weather_of("date,wind (m/s)\n03/04/2026 06:00,1\n03/14/2026 06:00,2\n", NULL);
    wp_time_format(weather.records[0].t_s, text, sizeof text);
    assert_string_equal(text, "2026-03-04T06:00:00Z");
    wp_weather_finish(&weather);
}

static void letter_o_is_east_or_west_by_its_company(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of("time,wind (m/s),dir\n"
                                           "2026-11-25T06:00Z,1,NO\n"
                                           "2026-11-25T06:10Z,1,WSW\n",
                                           NULL);
    assert_near(weather.records[0].from_deg, 45.0, 0.0);
    wp_weather_finish(&weather);
    weather = weather_of("time,wind (m/s),dir\n"
                         "2026-11-25T06:00Z,1,NO\n"
                         "2026-11-25T06:10Z,1,ese\n",
                         NULL);
    assert_near(weather.records[0].from_deg, 315.0, 0.0);
    assert_near(weather.records[1].from_deg, 112.5, 0.0);
    wp_weather_finish(&weather);
}

static void notes_never_outgrow_their_room(void **state)
{
    (void)state;
    struct wp_weather weather = weather_of(
        "time,wind speed,wind speed 2 min,gust peak 3 s long,gust,wind dir 9,wind dir,temperature\n"
        "2026-11-25 06:00,181.5,,10,10,90,90,20\n"
        "2026-11-25 06:20,5,,4.9,4.9,361,361,20\n"
        "2026-11-25 06:30,5,,0,0,-1,-1,70\n"
        "2026-11-25 06:40,5,,80,80,90,90,20\n"
        "2026-11-25 06:50,fast,,hard,hard,left,left,warm\n"
        "2026-11-25 06:50,1,,,,,,\n2026-11-25 06:50,1,,,,,,\n"
        "2026-02-30 06:50,1,,,,,,\nsoon,1,,,,,,\n2026-11-25 06:51\n"
        "2026-11-25 06:52,1,,,,,,,,,1\n2026-11-25 09:50,1,,,,,,\n",
        NULL);
    assert_int_equal(weather.n_notes, WP_WEATHER_NOTES_MAX);
    assert_note(&weather, "more to say than there is room for");
    wp_weather_finish(&weather);
}

static void mistakes_are_told_with_their_line(void **state)
{
    (void)state;
    const struct weather_mistake mistakes[] = {
        {"", WP_E_EMPTY, 1, "the file is empty; expected a heading", "time, speed"},
        {"\n \n\n", WP_E_EMPTY, 1, "the file is empty", "time, speed"},
        {"# only\n# comments\n", WP_E_EMPTY, 1, "blank ones and comments", "put a line"},
        {"time,wind (m/s)\n", WP_E_EMPTY, 1, "no line of times and wind speeds", "put a line"},
        {"Dear reader,\nthis is a letter.\n", WP_E_EMPTY, 2, "no line of times", "put a line"},
        {"\n2026-11-25T06:00Z,1,2\n", WP_E_MISSING, 2, "no heading above the first values",
         "time,speed (m/s)"},
        {"time,wind sped,dir\n2026-11-25T06:00Z,1,2\n", WP_E_MISSING, 1,
         "no column of wind speed; expected a heading such as 'wind speed (m/s)', found 'time', "
         "'wind sped', 'dir'",
         "write 'wind speed (m/s)' if 'wind sped'"},
        {"# story\n\ntime,humidity\n2026-11-25T06:00Z,1\n", WP_E_MISSING, 3,
         "no column of wind speed", "call the right column 'wind speed (m/s)'"},
        {"wind (m/s),dir\n1,2\n", WP_E_MISSING, 1, "no column of times; expected",
         "call the right column 'time'"},
        {"time,u10,v10\n2026-11-25T06:00Z,1,2\n", WP_E_MISSING, 1, "no column of wind speed",
         "components"},
        {"time,speed_10m,speed_80m\n2026-11-25T06:00Z,1,2\n", WP_E_AMBIGUOUS, 1,
         "columns 'speed_10m' and 'speed_80m' both fit the wind speed; expected one",
         "rename or remove"},
        {"time,wind (furlongs)\n2026-11-25T06:00Z,1\n", WP_E_UNIT, 1,
         "'furlongs' in the heading 'wind (furlongs)' is no known unit", "wind speed (km/h)"},
        {"date,wind (m/s)\n\n3/4/2026,1\n4/4/2026,1\n", WP_E_AMBIGUOUS, 3,
         "whether day or month comes first", "write ISO dates"},
        {"date,wind (m/s)\n3/14/2026,1\n4/4/2026,1\n14/3/2026,1\n", WP_E_SYNTAX, 4,
         "the other way round than one on line 2", "2026-04-11"},
        {"time,wind (m/s),dir\n2026-11-25T06:00Z,1,N\n2026-11-25T06:10Z,1,SO\n", WP_E_AMBIGUOUS, 3,
         "the O of direction 'SO' may be east (Ost) or west", "write degrees"},
        {"time,wind (m/s)\n2026-13-01,3\nsoon,1\nlater,2\n", WP_E_EMPTY, 2,
         "no usable record: 1 line with a date or time that does not exist", "2026-04-11T14"},
        {"time,wind (m/s)\n25-Nev-2026 06:00,1\n", WP_E_EMPTY, 2,
         "no usable record: 1 line without a readable time", "2026-04-11T14"},
        {"time,wind (m/s),dir\n2026-11-25T06:00Z,1,5,200\n2026-11-25T06:10Z,2,5,200\n", WP_E_EMPTY,
         2, "no usable record: 2 lines with more values than headings", "semicolons"},
        {"time,note,wind (m/s)\n2026-11-25T06:00Z,a\n2026-11-25T06:10Z,b\n", WP_E_EMPTY, 2,
         "no usable record: 2 lines cut short", "as many values as headings"},
        {"time,wind (m/s)\n2026-11-25T06:00Z,---\n2026-11-25T06:10Z,fast\n", WP_E_EMPTY, 3,
         "of 2 lines with a time none has a wind speed of 0 to 75 m/s", "write bare numbers"},
        {"time,wind (m/s)\n2026-11-25T06:00Z,---\n2026-11-25T06:10Z,999\n", WP_E_EMPTY, 2,
         "of 2 lines with a time none has a wind speed of 0 to 75 m/s", "right column"},
    };
    assert_mistakes(mistakes, sizeof mistakes / sizeof mistakes[0]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plain_table_is_read),
        cmocka_unit_test(columns_are_told_with_their_units),
        cmocka_unit_test(dress_does_not_change_the_record),
        cmocka_unit_test(units_of_the_config_are_for_headings_without),
        cmocka_unit_test(assumptions_are_told),
        cmocka_unit_test(missing_values_stay_missing),
        cmocka_unit_test(all_nines_within_the_limits_are_values),
        cmocka_unit_test(impossible_values_are_repaired_and_told),
        cmocka_unit_test(useless_lines_are_left_out_and_told),
        cmocka_unit_test(records_are_sorted_and_repeats_dropped),
        cmocka_unit_test(two_stations_in_one_file_are_refused),
        cmocka_unit_test(numbers_of_rows_are_no_stations),
        cmocka_unit_test(parts_of_the_time_may_have_their_own_columns),
        cmocka_unit_test(values_may_carry_their_unit),
        cmocka_unit_test(rows_cut_short_are_told),
        cmocka_unit_test(zone_of_some_times_only_is_told),
        cmocka_unit_test(interval_is_the_median_step_and_gaps_are_told),
        cmocka_unit_test(summary_leaves_missing_values_out),
        cmocka_unit_test(order_of_dates_shows_in_one_row_of_the_column),
        cmocka_unit_test(letter_o_is_east_or_west_by_its_company),
        cmocka_unit_test(notes_never_outgrow_their_room),
        cmocka_unit_test(mistakes_are_told_with_their_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
