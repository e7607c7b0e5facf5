/* SPDX-License-Identifier: MIT */
/* Loads the weather that a command line names and places the wanted stretch in it. */
#include "app/weather_source.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "app/drive_note.h"
#include "app/preset.h"
#include "app/report.h"
#include "app/wind_settings.h"

static const double day_s = 86400.0;

/* How long a wind without a file blows when no duration is given. */
static const double fixed_default_s = 600.0;

uint64_t app_seed(const struct app_arguments *arguments)
{
    return arguments->is_given[APP_SEED] ? arguments->whole[APP_SEED] : APP_SEED_DEFAULT;
}

bool app_weather_is_given(const struct app_arguments *arguments, const char *file)
{
    return file || arguments->is_given[APP_FIXED_WIND] || arguments->is_given[APP_BEAUFORT] ||
           arguments->is_given[APP_METAR];
}

/* "+02:00", "-0330", "+2" or Z; names of zones would need a table that changes every year. */
static enum wp_status parse_zone(const struct app_arguments *arguments, double *offset_s,
                                 struct wp_diags *diags)
{
    const char *text = arguments->text[APP_ZONE];
    char sign = '\0';
    int hours = 0;
    int minutes = 0;
    int used = 0;
    *offset_s = 0.0;
    if (!arguments->is_given[APP_ZONE] || strcmp(text, "Z") == 0 || strcmp(text, "UTC") == 0) {
        return WP_OK;
    }
    const size_t length = strlen(text);
    const bool is_read = (sscanf(text, "%c%2d:%2d%n", &sign, &hours, &minutes, &used) == 3 ||
                          sscanf(text, "%c%2d%2d%n", &sign, &hours, &minutes, &used) == 3 ||
                          sscanf(text, "%c%2d%n", &sign, &hours, &used) == 2) &&
                         (size_t)used == length;
    if (!is_read || (sign != '+' && sign != '-') || hours < 0 || hours > 14 || minutes < 0 ||
        minutes > 59) {
        return app_refuse(diags, WP_E_SYNTAX, "names of zones are not in this version",
                          "--tz cannot be '%s'; expected Z or an offset such as +02:00", text);
    }
    *offset_s = (sign == '-' ? -60.0 : 60.0) * (60 * hours + minutes);
    return WP_OK;
}

static bool parse_time_of_day(const char *text, double *seconds)
{
    int hour = 0;
    int minute = 0;
    int used = 0;
    if (sscanf(text, "%2d:%2d%n", &hour, &minute, &used) != 2 || text[used] || hour < 0 ||
        hour > 23 || minute < 0 || minute > 59) {
        return false;
    }
    *seconds = 3600.0 * hour + 60.0 * minute;
    return true;
}

/* The first such time of day in the weather. */
static double next_time_of_day(const struct app_weather *source, double time_of_day_s)
{
    const double local_s = source->span_start_s + source->utc_offset_s;
    double start_s = floor(local_s / day_s) * day_s + time_of_day_s - source->utc_offset_s;
    if (start_s < source->span_start_s) {
        start_s += day_s;
    }
    return start_s;
}

static enum wp_status parse_start(const struct app_weather *source, const char *text,
                                  double *start_s, struct wp_diags *diags)
{
    double value = 0.0;
    if (strcmp(text, "now") == 0) {
        *start_s = (double)time(NULL);
    } else if (wp_quantity_parse(text, WP_DURATION, &value, NULL, 0) == WP_OK) {
        *start_s = source->span_start_s + value;
    } else if (parse_time_of_day(text, &value)) {
        *start_s = next_time_of_day(source, value);
    } else if (wp_time_parse(text, source->utc_offset_s, &value) == WP_OK) {
        *start_s = value;
    } else {
        return app_refuse(diags, WP_E_SYNTAX, NULL,
                          "--start cannot be '%s'; expected a time (2026-04-11T14:00Z), a time of "
                          "day (14:30), a duration ('2 h') or now",
                          text);
    }
    return WP_OK;
}

static enum wp_status place_start(struct app_weather *source, const struct app_arguments *arguments,
                                  struct wp_diags *diags)
{
    const char *text = arguments->text[APP_START];
    source->wind.start_s = source->span_start_s;
    if (!arguments->is_given[APP_START]) {
        return WP_OK;
    }
    if (!source->is_clocked) {
        return app_refuse(diags, WP_E_CONFLICT, "leave out --start",
                          "--start needs a weather file; a steady wind is the same at any time");
    }
    const enum wp_status status = parse_start(source, text, &source->wind.start_s, diags);
    if (status) {
        return status;
    }
    if (source->wind.start_s < source->span_start_s || source->wind.start_s >= source->span_end_s) {
        char from[32];
        char to[32];
        wp_time_format(source->span_start_s, from, sizeof from);
        wp_time_format(source->span_end_s, to, sizeof to);
        return app_refuse(diags, WP_E_RANGE, NULL,
                          "--start %s lies outside the weather; it runs from %s to %s", text, from,
                          to);
    }
    return WP_OK;
}

/* Options that fit only some kinds of weather. */
static enum wp_status check_companions(const struct app_arguments *arguments, bool is_file,
                                       struct wp_diags *diags)
{
    const bool *given = arguments->is_given;
    if (given[APP_GUST] && !given[APP_FIXED_WIND]) {
        return app_refuse(diags, WP_E_CONFLICT, NULL, "--gust goes with --wind only");
    }
    if (given[APP_FROM] && !given[APP_FIXED_WIND] && !given[APP_BEAUFORT]) {
        return app_refuse(diags, WP_E_CONFLICT, NULL, "--from goes with --wind or --beaufort only");
    }
    if (given[APP_INTENSITY] && is_file) {
        return app_refuse(diags, WP_E_CONFLICT, "leave out --intensity",
                          "--intensity goes with --wind, --beaufort or --metar; a file has its own "
                          "gusts or takes the turbulence of the ground");
    }
    static const enum app_option_id for_files[] = {
        APP_SPEED_UNIT, APP_SCALE, APP_DATE_ORDER, APP_YEAR,     APP_COLUMNS, APP_STATION,
        APP_SAME_TIME,  APP_DATE,  APP_TIME_UNIT,  APP_LETTER_O, APP_MISSING, APP_INTERVAL};
    for (size_t i = 0; !is_file && i < sizeof for_files / sizeof for_files[0]; i++) {
        if (given[for_files[i]]) {
            return app_refuse(diags, WP_E_CONFLICT, NULL, "--%s goes with a weather file",
                              app_option(for_files[i])->name);
        }
    }
    if (given[APP_GUST] && arguments->number[APP_GUST] < arguments->number[APP_FIXED_WIND]) {
        return app_refuse(diags, WP_E_RANGE, NULL,
                          "--gust %s is weaker than the mean wind %s; expected a stronger one",
                          arguments->text[APP_GUST], arguments->text[APP_FIXED_WIND]);
    }
    const enum wp_status status = app_refuse_both(arguments, APP_GUST, APP_INTENSITY, diags);
    return status ? status : app_refuse_both(arguments, APP_HEIGHT, APP_NO_HEIGHT_CHANGE, diags);
}

/* Exactly one source, and nothing that goes with another one. */
static enum wp_status check_source(const struct app_arguments *arguments, const char *file,
                                   struct wp_diags *diags)
{
    const bool *given = arguments->is_given;
    const int n_sources =
        (file != NULL) + given[APP_FIXED_WIND] + given[APP_BEAUFORT] + given[APP_METAR];
    if (n_sources == 0) {
        return app_refuse(diags, WP_E_MISSING, "for a first try: --wind '4 m/s' --gust '8 m/s'",
                          "no weather given; expected a weather file, - for standard input, "
                          "--wind, --beaufort or --metar");
    }
    if (n_sources > 1) {
        return app_refuse(diags, WP_E_CONFLICT, "keep one of them",
                          "more than one weather given (file, --wind, --beaufort, --metar)");
    }
    return check_companions(arguments, file != NULL, diags);
}

static enum wp_status load_fixed(struct app_weather *source, const struct app_arguments *arguments,
                                 struct wp_diags *diags)
{
    const bool *given = arguments->is_given;
    const double *number = arguments->number;
    const double from_deg = given[APP_FROM] ? number[APP_FROM] : (double)NAN;
    const double duration_s = given[APP_DURATION] ? number[APP_DURATION] : fixed_default_s;
    if (given[APP_BEAUFORT]) {
        return wp_weather_beaufort(&source->weather, (int)arguments->whole[APP_BEAUFORT], from_deg,
                                   duration_s, diags);
    }
    if (given[APP_METAR]) {
        return wp_weather_metar(&source->weather, arguments->text[APP_METAR], duration_s, diags);
    }
    return wp_weather_fixed(&source->weather, number[APP_FIXED_WIND],
                            given[APP_GUST] ? number[APP_GUST] : (double)NAN, from_deg, duration_s);
}

/* A file is known by its name, a fixed wind by its strength. */
static void name_weather(struct app_weather *source)
{
    const struct wp_weather *weather = &source->weather;
    if (source->is_clocked) {
        snprintf(source->name, sizeof source->name, "%s", weather->file);
        return;
    }
    double mean_m_s;
    double gust_m_s;
    wp_weather_summary(weather, &mean_m_s, &gust_m_s);
    const int used =
        snprintf(source->name, sizeof source->name, "a steady wind of %.1f m/s", mean_m_s);
    if (gust_m_s > mean_m_s) {
        snprintf(source->name + used, sizeof source->name - (size_t)used, " with gusts of %.1f m/s",
                 gust_m_s);
    }
}

/* "2026" or "2026-11". */
static enum wp_status parse_year(const struct app_arguments *arguments,
                                 struct wp_weather_config *config, struct wp_diags *diags)
{
    const char *text = arguments->text[APP_YEAR];
    int used = 0;
    if (!arguments->is_given[APP_YEAR]) {
        return WP_OK;
    }
    const bool is_read = (sscanf(text, "%4d-%2d%n", &config->year, &config->month, &used) == 2 ||
                          sscanf(text, "%4d%n", &config->year, &used) == 1) &&
                         (size_t)used == strlen(text);
    const bool has_month = strchr(text, '-') != NULL;
    if (!is_read || config->year < 1900 ||
        (has_month && (config->month < 1 || config->month > 12))) {
        return app_refuse(diags, WP_E_SYNTAX, NULL,
                          "--year cannot be '%s'; expected a year from 1900 on, perhaps with a "
                          "month: 2026 or 2026-11",
                          text);
    }
    return WP_OK;
}

/* "2026-11-25" */
static enum wp_status parse_date(const struct app_arguments *arguments,
                                 struct wp_weather_config *config, struct wp_diags *diags)
{
    const char *text = arguments->text[APP_DATE];
    double t_s = 0.0;
    if (!arguments->is_given[APP_DATE]) {
        return WP_OK;
    }
    if (strlen(text) != 10 || wp_time_parse(text, 0.0, &t_s) || t_s != floor(t_s / day_s) * day_s) {
        return app_refuse(diags, WP_E_SYNTAX, NULL,
                          "--date cannot be '%s'; expected a day such as 2026-11-25", text);
    }
    config->day_s = t_s;
    return WP_OK;
}

/* What bare numbers as times count. */
static void set_time_unit(const struct app_arguments *arguments, struct wp_weather_config *config)
{
    static const double ticks_s[] = {1.0, 1e-3, 60.0, 3600.0, 0.0}; /* as in the option table */
    if (arguments->is_given[APP_TIME_UNIT]) {
        config->tick_s = ticks_s[arguments->choice[APP_TIME_UNIT]];
        config->has_serial_days = config->tick_s == 0.0;
    }
}

/* When the file was written; what comes through a pipe is written now. */
static double reference_time(const char *file)
{
    struct stat info;
    if (strcmp(file, "-") != 0 && stat(file, &info) == 0 && S_ISREG(info.st_mode)) {
        return (double)info.st_mtime;
    }
    return (double)time(NULL);
}

/* What the command line says about a file. */
static enum wp_status configure(const struct app_arguments *arguments, const char *file,
                                struct wp_weather_config *config, struct wp_diags *diags)
{
    static const enum wp_date_order orders[] = {WP_ORDER_DAY_FIRST, WP_ORDER_MONTH_FIRST,
                                                WP_ORDER_YEAR_FIRST};
    static const enum wp_same_time same_times[] = {WP_SAME_TIME_FIRST, WP_SAME_TIME_LAST};
    static const enum wp_letter_o letters_o[] = {WP_O_EAST, WP_O_WEST};
    const bool *given = arguments->is_given;
    set_time_unit(arguments, config);
    config->is_offset_given = given[APP_ZONE];
    if (given[APP_SPEED_UNIT]) {
        config->unit = arguments->text[APP_SPEED_UNIT];
    }
    if (given[APP_DATE_ORDER]) {
        config->date_order = orders[arguments->choice[APP_DATE_ORDER]];
    }
    if (given[APP_SAME_TIME]) {
        config->same_time = same_times[arguments->choice[APP_SAME_TIME]];
    }
    if (given[APP_LETTER_O]) {
        config->letter_o = letters_o[arguments->choice[APP_LETTER_O]];
    }
    if (given[APP_STATION]) {
        config->station = arguments->text[APP_STATION];
    }
    if (given[APP_MISSING]) {
        config->missing = arguments->text[APP_MISSING];
    }
    if (given[APP_SCALE]) {
        config->scale = arguments->number[APP_SCALE];
    }
    if (given[APP_INTERVAL]) {
        config->interval_s = arguments->number[APP_INTERVAL];
    }
    if (given[APP_COLUMNS]) {
        config->columns = arguments->text[APP_COLUMNS];
    }
    config->reference_s = reference_time(file);
    const enum wp_status status = parse_date(arguments, config, diags);
    return status ? status : parse_year(arguments, config, diags);
}

static enum wp_status load_file(struct app_weather *source, const struct app_arguments *arguments,
                                const char *file, struct wp_diags *diags)
{
    char path[512];
    if (access(file, F_OK) != 0 && app_weather_sample_path(file, path, sizeof path)) {
        file = path;
    }
    const enum wp_status status = configure(arguments, file, &source->reading, diags);
    return status ? status : wp_weather_load(&source->weather, file, &source->reading, diags);
}

/* A feed begins at a whole second, without a report. */
static enum wp_status begin_feed(struct app_weather *source, const struct app_arguments *arguments,
                                 struct wp_diags *diags)
{
    if (arguments->is_given[APP_START]) {
        return app_refuse(diags, WP_E_CONFLICT, "leave out --start",
                          "a feed on standard input begins now; --start needs a weather file");
    }
    source->is_feed = true;
    source->span_start_s = (double)time(NULL);
    source->span_end_s = INFINITY;
    snprintf(source->name, sizeof source->name, "the feed on standard input");
    return configure(arguments, "-", &source->reading, diags);
}

static enum wp_status load_records(struct app_weather *source,
                                   const struct app_arguments *arguments, const char *file,
                                   struct wp_diags *diags)
{
    wp_weather_config_default(&source->reading);
    source->reading.utc_offset_s = source->utc_offset_s;
    if (file && arguments->command == APP_PLAY && strcmp(file, "-") == 0) {
        return begin_feed(source, arguments, diags);
    }
    source->is_clocked = file != NULL;
    const enum wp_status status =
        file ? load_file(source, arguments, file, diags) : load_fixed(source, arguments, diags);
    if (!status) {
        wp_weather_span(&source->weather, &source->span_start_s, &source->span_end_s);
        name_weather(source);
    }
    return status;
}

static enum wp_status set_wind(struct app_weather *source, const struct app_arguments *arguments,
                               struct wp_diags *diags)
{
    const struct app_weather_kind kind = {source->is_feed || source->weather.is_session,
                                          source->is_clocked};
    const enum wp_status status =
        app_wind_settings(&source->wind, &source->weather, kind, arguments, diags);
    if (!status && !source->is_feed) {
        wp_weather_span(&source->weather, &source->span_start_s, &source->span_end_s);
    }
    return status;
}

enum wp_status app_weather_load(struct app_weather *source, const struct app_arguments *arguments,
                                const char *file, double default_duration_s, struct wp_diags *diags)
{
    *source = (struct app_weather){.is_clocked = false};
    wp_wind_config_default(&source->wind);
    enum wp_status status = check_source(arguments, file, diags);
    if (!status) {
        status = parse_zone(arguments, &source->utc_offset_s, diags);
    }
    if (!status) {
        status = load_records(source, arguments, file, diags);
    }
    if (!status) {
        status = set_wind(source, arguments, diags);
    }
    if (!status) {
        status = place_start(source, arguments, diags);
    }
    source->wind.weather = source->is_feed ? NULL : &source->weather;
    source->wind.is_live = source->is_feed || source->weather.is_session;
    source->wind.seed = app_seed(arguments);
    source->duration_s = arguments->is_given[APP_DURATION]
                             ? arguments->number[APP_DURATION]
                             : fmin(default_duration_s, source->span_end_s - source->wind.start_s);
    return status;
}

/* A sail feels the wind at its height, unless that is what the wind as given is. */
static enum wp_status hang_sail(struct app_weather *source, const struct app_arguments *arguments,
                                const struct wp_set *set, struct wp_diags *diags)
{
    const bool is_height_given = arguments->is_given[APP_HEIGHT];
    source->wind.is_as_given = arguments->is_given[APP_NO_HEIGHT_CHANGE];
    source->wind.height_m = is_height_given ? arguments->number[APP_HEIGHT] : set->site_height_m;
    source->wind.roughness_m = set->site_roughness_m;
    if (!source->wind.is_as_given && source->wind.height_m <= source->wind.roughness_m) {
        return app_refuse(diags, WP_E_RANGE,
                          "hang the set higher, or take the wind as it is with --no-height-change",
                          "at %.3g m the set hangs within the roughness of its site; expected a "
                          "height above the roughness length, %.2g m",
                          source->wind.height_m, source->wind.roughness_m);
    }
    return WP_OK;
}

enum wp_status app_weather_hang(struct app_weather *source, const struct app_arguments *arguments,
                                const struct wp_set *set, struct wp_diags *diags)
{
    const bool is_height_given = arguments->is_given[APP_HEIGHT];
    if (set && set->drive.kind == WP_DRIVE_SAIL) {
        return hang_sail(source, arguments, set, diags);
    }
    /* Other drives are a controller's, which gets the station's readings. */
    source->is_height_idle = set && is_height_given;
    source->wind.is_as_given = set || !is_height_given;
    if (source->wind.is_as_given) {
        source->wind.height_m = source->wind.station_height_m;
        source->wind.roughness_m = source->wind.station_roughness_m;
    }
    if (!set && is_height_given) {
        source->wind.height_m = arguments->number[APP_HEIGHT];
    }
    return WP_OK;
}

void app_weather_note(const struct app_weather *source, const struct wp_set *set)
{
    for (size_t i = 0; i < source->weather.n_notes; i++) {
        app_note("%s: %s", source->name, source->weather.notes[i]);
    }
    const double end_s = source->wind.start_s + source->duration_s;
    if (source->is_clocked && end_s > source->span_end_s + 0.5) {
        char end[32];
        wp_time_format(source->span_end_s, end, sizeof end);
        app_note("the weather ends at %s; its last record is held for the remaining %.0f s", end,
                 end_s - source->span_end_s);
    }
    if (source->is_height_idle) {
        app_note(
            "--height changes nothing: this set's drive acts on the station's readings, not on "
            "the wind where it hangs");
    }
    const bool is_by_coils = set->drive.kind == WP_DRIVE_COILS;
    const double update_s =
        is_by_coils ? set->drive.coils.update_s : set->drive.statistical.update_s;
    if (set->drive.kind != WP_DRIVE_SAIL && source->is_clocked &&
        source->weather.interval_s > update_s) {
        app_note("records come every %g s, the drive reads every %g s: generated wind, averaged "
                 "over %g s, stands in between",
                 source->weather.interval_s, update_s, update_s);
    }
    app_drive_note(set);
}

void app_weather_finish(struct app_weather *source)
{
    wp_weather_finish(&source->weather);
}
