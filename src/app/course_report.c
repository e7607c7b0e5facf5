/* SPDX-License-Identifier: MIT */
/* Tells how hard strikes are and how they go with the wind. */
#include "app/course_report.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "app/json_text.h"

enum { BAR_WIDTH = 40 };

/* Ends of the chart's speed classes: what a soft touch, a stroke and a crash of a striker are is
 * told in steps of 1, 2 and 5. */
static const double speed_ends_m_s[] = {0.0, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 10.0};
enum { N_SPEED_CLASSES = sizeof speed_ends_m_s / sizeof speed_ends_m_s[0] - 1 };

/* Shares below which soft, middle and loud strikes lie. */
static const double soft_share = 0.1;
static const double middle_share = 0.5;
static const double loud_share = 0.9;

/* Blocks look better, but not everywhere: only on a terminal whose locale is UTF-8. */
static bool has_blocks(FILE *out)
{
    static const char *const names[] = {"LC_ALL", "LC_CTYPE", "LANG"};
    if (!isatty(fileno(out))) {
        return false;
    }
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        const char *locale = getenv(names[i]);
        if (locale && *locale) {
            return strstr(locale, "UTF-8") || strstr(locale, "utf8");
        }
    }
    return false;
}

/* A bar for a share of the longest; whatever is not nothing shows. */
static void print_bar(FILE *out, double share_01)
{
    const char *sign = has_blocks(out) ? "\u2588" : "#";
    const int length = (int)ceil(share_01 * BAR_WIDTH);
    for (int i = 0; i < length; i++) {
        fputs(sign, out);
    }
}

static void print_speeds(FILE *out, const struct wp_speed_spread *speeds)
{
    size_t counts[N_SPEED_CLASSES];
    size_t most = 1;
    for (size_t i = 0; i < N_SPEED_CLASSES; i++) {
        counts[i] = wp_speed_spread_count(speeds, speed_ends_m_s[i], speed_ends_m_s[i + 1]);
        most = counts[i] > most ? counts[i] : most;
    }
    fputs("\nclosing speed       strikes\n", out);
    for (size_t i = 0; i < N_SPEED_CLASSES; i++) {
        if (counts[i] > 0) {
            fprintf(out, "%4g to %4g m/s  %9zu  ", speed_ends_m_s[i], speed_ends_m_s[i + 1],
                    counts[i]);
            print_bar(out, (double)counts[i] / (double)most);
            fputc('\n', out);
        }
    }
}

static double per_minute(const struct wp_wind_class *class)
{
    return 60.0 * (double)class->n_strikes / class->duration_s;
}

static void print_classes(FILE *out, const struct wp_wind_class *classes)
{
    double most = 0.0;
    for (size_t i = 0; i < WP_WIND_CLASSES; i++) {
        most = classes[i].duration_s > 0.0 ? fmax(most, per_minute(&classes[i])) : most;
    }
    fputs("\nwind in a minute   minutes  strikes a minute\n", out);
    for (size_t i = 0; i < WP_WIND_CLASSES; i++) {
        const struct wp_wind_class *class = &classes[i];
        if (class->duration_s <= 0.0) {
            continue;
        }
        fprintf(out, i + 1 < WP_WIND_CLASSES ? "%4zu to %4zu m/s" : "%4zu and more  ", i, i + 1);
        fprintf(out, "  %9.4g  %6.1f  ", class->duration_s / 60.0, per_minute(class));
        print_bar(out, most > 0.0 ? per_minute(class) / most : 0.0);
        fputc('\n', out);
    }
}

void app_course_print(FILE *out, const struct wp_course *course)
{
    const struct wp_speed_spread *speeds = &course->speeds;
    if (speeds->n_strikes == 0) {
        return;
    }
    fprintf(out, "             %zu %s of more than 10 s\n", course->n_silences,
            course->n_silences == 1 ? "silence" : "silences");
    fprintf(out, "speeds       a tenth below %.3f m/s, half below %.3f, a tenth above %.3f\n",
            wp_speed_spread_quantile(speeds, soft_share),
            wp_speed_spread_quantile(speeds, middle_share),
            wp_speed_spread_quantile(speeds, loud_share));
    if (course->n_gusts > 0) {
        fprintf(out, "gusts        %zu, with %.1f different tubes struck in each on average\n",
                course->n_gusts, (double)course->n_gust_tubes / (double)course->n_gusts);
    }
    print_speeds(out, speeds);
    print_classes(out, course->classes);
}

static json_t *describe_speeds(const struct wp_speed_spread *speeds)
{
    json_t *classes = json_array();
    for (size_t i = 0; i < N_SPEED_CLASSES; i++) {
        const size_t n = wp_speed_spread_count(speeds, speed_ends_m_s[i], speed_ends_m_s[i + 1]);
        classes = app_json_append(classes, json_pack("{s:o, s:o, s:I}", "from_m_s",
                                                     app_json_number(speed_ends_m_s[i]), "to_m_s",
                                                     app_json_number(speed_ends_m_s[i + 1]),
                                                     "strikes", (json_int_t)n));
    }
    return json_pack("{s:o, s:o, s:o, s:o}", "p10_m_s",
                     app_json_number(wp_speed_spread_quantile(speeds, soft_share)), "p50_m_s",
                     app_json_number(wp_speed_spread_quantile(speeds, middle_share)), "p90_m_s",
                     app_json_number(wp_speed_spread_quantile(speeds, loud_share)), "classes",
                     classes);
}

/* Classes of wind that did not blow are left out; the open one has no upper end. */
static json_t *describe_classes(const struct wp_wind_class *classes)
{
    json_t *array = json_array();
    for (size_t i = 0; i < WP_WIND_CLASSES; i++) {
        const struct wp_wind_class *class = &classes[i];
        const bool is_open = i + 1 == WP_WIND_CLASSES;
        if (class->duration_s > 0.0) {
            array = app_json_append(
                array,
                json_pack("{s:o, s:o, s:o, s:I, s:o}", "from_m_s", app_json_number((double)i),
                          "to_m_s", app_json_number(is_open ? (double)NAN : (double)(i + 1)),
                          "duration_s", app_json_number(class->duration_s), "strikes",
                          (json_int_t) class->n_strikes, "per_minute",
                          app_json_number(per_minute(class))));
        }
    }
    return array;
}

json_t *app_course_describe(json_t *object, const struct wp_course *course)
{
    const double n_gusts = (double)course->n_gusts;
    json_t *more = json_pack(
        "{s:o, s:I, s:o, s:I, s:o}", "speeds", describe_speeds(&course->speeds), "gusts",
        (json_int_t)course->n_gusts, "tubes_per_gust",
        app_json_number(n_gusts > 0.0 ? (double)course->n_gust_tubes / n_gusts : (double)NAN),
        "silences_over_10_s", (json_int_t)course->n_silences, "by_wind",
        describe_classes(course->classes));
    if (!object || !more || json_object_update(object, more) != 0) {
        json_decref(object);
        object = NULL;
    }
    json_decref(more);
    return object;
}
