/* SPDX-License-Identifier: MIT */
/* Tells how often and how evenly the tubes are struck. */
#include "app/variety_report.h"

#include <math.h>

#include "app/json_text.h"

/* Names for shares of the largest possible entropy; where they change is our own choice. */
static const char *evenness_words(const struct wp_variety *variety)
{
    const double most_bits = log2((double)variety->n_tubes);
    const double share = most_bits > 0.0 ? variety->entropy_bits / most_bits : 1.0;
    if (share > 0.95) {
        return "evenly over the tubes";
    }
    return share > 0.75 ? "with some tubes favoured" : "mostly on a few tubes";
}

int app_kick_decimals(size_t n_kicks)
{
    return n_kicks >= 1000 ? 2 : n_kicks >= 10 ? 1 : 0;
}

/* Leaning may last milliseconds or hours. */
static void print_leaning(FILE *out, const struct wp_variety *variety)
{
    fprintf(out, "leaning      %zu time%s on a tube, ", variety->n_rests,
            variety->n_rests == 1 ? "" : "s");
    if (variety->rest_s >= 0.1) {
        fprintf(out, "%.1f s in all\n", variety->rest_s);
    } else if (variety->rest_s >= 0.0005) {
        fprintf(out, "%.0f ms in all\n", 1000.0 * variety->rest_s);
    } else {
        fputs("less than 1 ms in all\n", out);
    }
}

void app_variety_print(FILE *out, const struct wp_variety *variety)
{
    const double n_tubes = (double)variety->n_tubes;
    fprintf(out, "strikes      %zu in %.1f s, %.1f a minute", variety->n_strikes,
            variety->duration_s, variety->per_minute);
    if (variety->n_strikes == 0) {
        fputs(": no tube was struck\n", out);
        if (variety->n_kicks > 0) {
            fprintf(out, "kicks        %zu, none as far as a tube\n", variety->n_kicks);
        }
        return;
    }
    if (variety->n_kicks > 0) {
        fprintf(out, "\nkicks        %zu, %.1f a minute, each reaching %.*f tubes on average",
                variety->n_kicks, 60.0 * (double)variety->n_kicks / variety->duration_s,
                app_kick_decimals(variety->n_kicks), variety->tubes_per_kick);
    }
    fputs("\nby tube     ", out);
    for (size_t i = 0; i < variety->n_tubes; i++) {
        fprintf(out, " %zu", variety->per_tube[i]);
    }
    fprintf(out, "\nvariety      %.0f of %.0f tubes struck, %s (%.2f of %.2f bits)\n",
            variety->reached_share * n_tubes, n_tubes, evenness_words(variety),
            variety->entropy_bits, log2(n_tubes));
    if (isfinite(variety->repeat_share)) {
        fprintf(out, "             %.0f %% of strikes repeat the tube struck just before\n",
                100.0 * variety->repeat_share);
    }
    fprintf(out, "             longest silence between strikes %.1f s\n",
            variety->longest_silence_s);
    if (variety->n_rests > 0) {
        print_leaning(out, variety);
    }
}

json_t *app_variety_describe(const struct wp_variety *variety)
{
    json_t *per_tube = json_array();
    for (size_t i = 0; i < variety->n_tubes; i++) {
        per_tube = app_json_append(per_tube, json_integer((json_int_t)variety->per_tube[i]));
    }
    return json_pack("{s:o, s:I, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:I, s:o}", "duration_s",
                     app_json_number(variety->duration_s), "strikes",
                     (json_int_t)variety->n_strikes, "kicks", (json_int_t)variety->n_kicks,
                     "per_tube", per_tube, "per_minute", app_json_number(variety->per_minute),
                     "tubes_per_kick", app_json_number(variety->tubes_per_kick), "reached_share",
                     app_json_number(variety->reached_share), "entropy_bits",
                     app_json_number(variety->entropy_bits), "repeat_share",
                     app_json_number(variety->repeat_share), "longest_silence_s",
                     app_json_number(variety->longest_silence_s), "rests",
                     (json_int_t)variety->n_rests, "rest_s", app_json_number(variety->rest_s));
}
