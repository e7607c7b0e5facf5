/* SPDX-License-Identifier: MIT */
/* Shows a session while it plays. */
#include "app/play_screen.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "app/json_text.h"
#include "app/report.h"
#include "app/terminal.h"

enum { LINE_SIZE = 256 };

void app_play_screen_init(struct app_play_screen *screen, bool is_json_lines)
{
    *screen = (struct app_play_screen){
        .is_json_lines = is_json_lines,
        .width = is_json_lines ? 0 : app_terminal_width(STDERR_FILENO),
    };
}

static double dbfs(double value)
{
    return 20.0 * log10(value);
}

static const char *state_word(enum wp_loudspeaker_state state)
{
    static const char *const words[] = {[WP_LOUDSPEAKER_OPENING] = "opening",
                                        [WP_LOUDSPEAKER_PLAYING] = "playing",
                                        [WP_LOUDSPEAKER_WAITING] = "waiting"};
    return words[state];
}

static void show_json(const struct app_play_view *view)
{
    app_json_print_line(json_pack(
        "{s:s, s:o, s:o, s:o, s:o, s:I, s:o, s:o, s:I, s:I, s:b, s:s}", "event", "status", "t_s",
        app_json_number(view->t_s), "wind_m_s", app_json_number(view->wind.speed_m_s), "from_deg",
        app_json_number(view->wind.from_deg), "mean_m_s", app_json_number(view->mean_m_s),
        "strikes", (json_int_t)view->n_strikes, "peak_dbfs", app_json_number(dbfs(view->peak)),
        "rms_dbfs", app_json_number(dbfs(view->rms)), "missing_frames", (json_int_t)view->n_missing,
        "bent_samples", (json_int_t)view->n_bent, "muted", view->is_muted, "loudspeaker",
        state_word(view->device.state)));
}

/* "240", or "-" where there is no wind to come from anywhere. */
static void name_direction(const struct wp_wind_sample *wind, char *text, size_t text_size)
{
    static const double calm_m_s = 0.05; /* shown as 0.0 */
    if (isnan(wind->from_deg) || wind->speed_m_s < calm_m_s) {
        snprintf(text, text_size, "-");
    } else {
        snprintf(text, text_size, "%.0f", wind->from_deg);
    }
}

/* "3 1 4": the latest first. */
static void name_last(const struct app_play_view *view, char *text, size_t text_size)
{
    size_t used = 0;
    snprintf(text, text_size, "-");
    for (size_t i = 0; i < view->n_last && used < text_size; i++) {
        used += (size_t)snprintf(text + used, text_size - used, "%s%zu", i ? " " : "",
                                 view->last_tubes[i]);
    }
}

static void name_device(const struct app_play_view *view, char *text, size_t text_size)
{
    text[0] = '\0';
    if (view->device.state != WP_LOUDSPEAKER_PLAYING) {
        snprintf(text, text_size, "[no loudspeaker] ");
    } else if (view->is_muted) {
        snprintf(text, text_size, "[muted] ");
    }
}

void app_play_screen_show(struct app_play_screen *screen, const struct app_play_view *view)
{
    char line[LINE_SIZE];
    char from[8];
    char struck[32];
    char level[32] = "silent";
    char gaps[32] = "";
    char device[32];
    if (screen->is_json_lines) {
        show_json(view);
        return;
    }
    if (screen->width == 0) {
        return;
    }
    name_direction(&view->wind, from, sizeof from);
    name_last(view, struck, sizeof struck);
    name_device(view, device, sizeof device);
    if (dbfs(view->peak) > -120.0) {
        snprintf(level, sizeof level, "%.0f dBFS", dbfs(view->peak));
    }
    if (view->n_missing > 0) {
        snprintf(gaps, sizeof gaps, "  gaps %llu", (unsigned long long)view->n_missing);
    }
    snprintf(line, sizeof line,
             "%swind %.1f m/s from %3s, mean %.1f  struck %s  %s%s  hand %.2f m/s", device,
             view->wind.speed_m_s, from, view->mean_m_s, struck, level, gaps, view->hand_m_s);
    screen->width = app_terminal_width(STDERR_FILENO);
    fprintf(stderr, "\r%.*s\033[K", (int)(screen->width > 1 ? screen->width - 1 : 0), line);
    fflush(stderr);
    screen->is_shown = true;
}

void app_play_screen_clear(struct app_play_screen *screen)
{
    if (screen->is_shown) {
        fputs("\r\033[K", stderr);
        fflush(stderr);
        screen->is_shown = false;
    }
}

void app_play_screen_note(struct app_play_screen *screen, const char *kind, const char *format, ...)
{
    char text[640];
    va_list values;
    va_start(values, format);
    vsnprintf(text, sizeof text, format, values);
    va_end(values);
    app_play_screen_clear(screen);
    app_note("%s", text);
    if (screen->is_json_lines) {
        app_json_print_line(json_pack("{s:s, s:s, s:o}", "event", "note", "about", kind, "text",
                                      app_json_string(text)));
    }
}

void app_play_screen_strike(const struct app_play_screen *screen, const struct wp_strike *strike)
{
    if (screen->is_json_lines) {
        app_json_print_line(json_pack("{s:s, s:o, s:i, s:o}", "event", "strike", "t_s",
                                      app_json_number(strike->t_s), "tube", (int)strike->tube + 1,
                                      "speed_m_s", app_json_number(strike->speed_m_s)));
    }
}
