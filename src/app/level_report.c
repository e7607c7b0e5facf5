/* SPDX-License-Identifier: MIT */
/* Tells how loud a file is, and what the levels at the listener mean to people. */
#include "app/level_report.h"

#include <math.h>
#include <stdbool.h>

#include "app/help.h"
#include "app/json_text.h"

/* A few sentences. */
enum { TEXT_SIZE = 640 };

/* Fewer bits than this for the loudest peak: the rounding is heard (our own choice). */
static const double peak_bits_least = 12.0;

static const char *const audibility_words[] = {
    [WP_SILENT] = "silent",
    [WP_HARDLY_HEARD] = "hardly heard",
    [WP_HEARD_IN_QUIET] = "heard in quiet",
    [WP_HEARD_IN_PAUSES] = "heard in pauses of talk",
    [WP_HEARD_OVER_TALK] = "heard over talk",
    [WP_DROWNS_TALK] = "drowns talk",
};

static const char *const audibility_sentences[] = {
    [WP_SILENT] = "Nothing sounds: the striker reaches no tube in this time.",
    [WP_HARDLY_HEARD] = "Strikes are hardly heard: a quiet bedroom has 30 dB(A).",
    [WP_HEARD_IN_QUIET] = "Strikes are heard in quiet surroundings; talk (60 dB(A) at 1 m) covers "
                          "them.",
    [WP_HEARD_IN_PAUSES] = "Strikes are softer than talk (60 dB(A) at 1 m): they are heard in its "
                           "pauses, not over it.",
    [WP_HEARD_OVER_TALK] = "Strikes are as loud as talk (60 dB(A) at 1 m) and are heard over it.",
    [WP_DROWNS_TALK] = "Strikes drown talk: even a raised voice has only 66 dB(A) at 1 m.",
};

static const char *const care_words[] = {
    [WP_CARE_NONE] = "none", [WP_CARE_LEISURE] = "leisure", [WP_CARE_WORK] = "work"};

/* Behind walls levels do not fall with distance as in the open. */
static bool is_indoors(const struct app_render_job *job)
{
    const enum wp_room_kind kind = job->loaded.set.room.kind;
    return kind == WP_ROOM_OF_SIZE || kind == WP_ROOM_RECORDED;
}

/* From the middle of the set to the middle of the head. */
static double distance_m(const struct app_render_job *job)
{
    const struct wp_set *set = &job->loaded.set;
    return hypot(set->listener_distance_m, set->listener_height_m);
}

static void print_file_loudness(FILE *out, const struct app_render_job *job,
                                const struct app_render_result *result)
{
    const double peak_dbtp = result->levels.true_peak_dbtp + result->gain_db;
    if (job->level == WP_LEVEL_CALIBRATED) {
        fputs("level        calibrated: full scale is a sound pressure of 20 Pa at the listener",
              out);
    } else if (isfinite(result->file_lufs)) {
        fprintf(out, "loudness     %.1f LUFS", result->file_lufs);
    } else {
        fputs("loudness     none (silent, or too short to tell)", out);
    }
    if (isfinite(peak_dbtp)) {
        fprintf(out, ", true peak %.1f dBTP", peak_dbtp);
    }
    if (job->level != WP_LEVEL_CALIBRATED) {
        fprintf(out, ", gain %+.1f dB", result->gain_db);
    }
    fputc('\n', out);
}

/* Says by how much a file missed its loudness and what would bring it closer. */
static void print_shortfall(FILE *out, const struct app_render_job *job,
                            const struct app_render_result *result)
{
    char text[TEXT_SIZE];
    const double target_lufs = wp_level_target_lufs(job->level);
    const double broadcast_lufs = wp_level_target_lufs(WP_LEVEL_BROADCAST);
    if (result->bound != WP_BOUND_PEAK) {
        return;
    }
    if (!isfinite(result->file_lufs)) {
        app_print_wrapped(out,
                          "Peak-bound: loudness is defined from 0.4 s on, so the highest peak is "
                          "set to -1 dBTP.",
                          13);
        return;
    }
    snprintf(text, sizeof text,
             "Peak-bound: %.1f LU short of %.0f LUFS, because the loudest strike is at -1 dBTP and "
             "nothing limits it. Turn it up to hear it as loud as other files, or raise it with a "
             "limiter in an audio editor%s.",
             target_lufs - result->file_lufs, target_lufs,
             job->level == WP_LEVEL_WEB && result->file_lufs >= broadcast_lufs
                 ? "; --level broadcast (-23 LUFS) is in reach"
                 : "");
    app_print_wrapped(out, text, 13);
}

static void print_clipped(FILE *out, const struct app_render_job *job,
                          const struct app_render_result *result)
{
    if (result->n_clipped > 0) {
        fprintf(out, "clipped      %llu samples %s\n", (unsigned long long)result->n_clipped,
                job->format == WP_FLOAT_32
                    ? "lie beyond full scale; a float file keeps them, a player cuts them off"
                    : "did not fit into full scale; --bits float keeps them");
    }
}

void app_level_print(FILE *out, const struct app_render_job *job,
                     const struct app_render_result *result)
{
    const struct wp_levels *levels = &result->levels;
    char place[32];
    print_file_loudness(out, job, result);
    print_shortfall(out, job, result);
    if (isfinite(levels->laeq_db)) {
        snprintf(place, sizeof place, "at %.1f m", job->loaded.set.listener_distance_m);
        fprintf(out, "%-12s LAeq %.1f dB, LAFmax %.1f dB re 20 uPa\n", place, levels->laeq_db,
                levels->lafmax_db);
    }
    print_clipped(out, job, result);
}

/* Up to the next step: "7 m", "45 m", "350 m". */
static double round_up_m(double value_m)
{
    const double step_m = value_m < 20.0 ? 1.0 : value_m < 100.0 ? 5.0 : 50.0;
    return step_m * ceil(value_m / step_m);
}

/* What the listener hears. */
static void tell_audibility(char *text, const struct app_render_job *job,
                            const struct wp_levels *levels, const struct wp_verdict *verdict)
{
    if (verdict->audibility == WP_SILENT) {
        snprintf(text, TEXT_SIZE, "%s", audibility_sentences[WP_SILENT]);
        return;
    }
    snprintf(text, TEXT_SIZE, "Heard at %.1f m: %.0f dB(A) on average, the loudest strike %.0f. %s",
             job->loaded.set.listener_distance_m, levels->laeq_db, levels->lafmax_db,
             audibility_sentences[verdict->audibility]);
}

static void tell_care(char *text, bool is_indoors, const struct wp_verdict *verdict)
{
    if (verdict->care == WP_CARE_WORK) {
        snprintf(
            text, TEXT_SIZE,
            "Hearing: this close the mean passes 85 dB(A), the limit of an 8-hour day at work. "
            "Stand further away or protect your ears.");
    } else if (verdict->care == WP_CARE_LEISURE) {
        snprintf(text, TEXT_SIZE,
                 "Hearing: this close the mean passes 80 dB(A), the limit for 40 hours of "
                 "listening a week.");
    } else if (!is_indoors && verdict->care_m >= 0.5) {
        snprintf(text, TEXT_SIZE,
                 "Hearing: nearer than %.1f m the mean would pass 80 dB(A), the limit for 40 hours "
                 "of listening a week.",
                 verdict->care_m);
    } else {
        snprintf(text, TEXT_SIZE,
                 "Hearing: below the limit for 40 hours of listening a week, 80 dB(A) on "
                 "average.");
    }
}

static void tell_night(char *text, bool is_indoors, const struct wp_verdict *verdict)
{
    char where[64];
    if (is_indoors) {
        snprintf(text, TEXT_SIZE,
                 "Neighbours: in a room the level hardly falls with distance. What the walls hold "
                 "back decides whether next door keeps to the WHO's guidelines for bedrooms (30 "
                 "dB(A) on average, 45 dB(A) a strike). Many rules count tones as louder; local "
                 "rules decide.");
        return;
    }
    if (verdict->night_m <= 1.0) {
        snprintf(where, sizeof where, "already at 1 m");
    } else if (verdict->night_m > 1000.0) {
        snprintf(where, sizeof where, "only more than 1 km away");
    } else {
        snprintf(where, sizeof where, "from some %.0f m on", round_up_m(verdict->night_m));
    }
    snprintf(text, TEXT_SIZE,
             "Neighbours: in the open every doubling of the distance takes 6 dB. So the WHO's "
             "guidelines for nights outside a bedroom (40 dB(A) on average, 60 dB(A) a strike) are "
             "kept %s. Many rules count tones as louder; local rules decide.",
             where);
}

/* For playing the file. */
static void print_playback(FILE *out, const struct app_render_job *job,
                           const struct app_render_result *result)
{
    char text[TEXT_SIZE];
    const struct wp_levels *levels = &result->levels;
    const double peak_bits = 16.0 + levels->true_peak_dbtp / (20.0 * log10(2.0));
    app_print_wrapped(out,
                      "Start playback quietly: the program cannot know how loud your loudspeakers "
                      "or headphones are.",
                      0);
    if (job->peal.channels == WP_TUBES) {
        app_print_wrapped(out,
                          "Channel 1 belongs to a loudspeaker in the place of tube 1, and so on: "
                          "give all the same gain. The levels above are those of all together, "
                          "without ground or room: the loudspeakers' place adds its own.",
                          0);
    }
    if (job->level != WP_LEVEL_CALIBRATED || !isfinite(levels->laeq_db)) {
        return;
    }
    /* 0 dBFS is a sine that fills the scale: 20 Pa of peak, 117 dB. */
    snprintf(text, sizeof text,
             "A calibrated file is quiet: do not turn it up in a quiet passage, for the loudest "
             "strike stands %.0f dB above the mean. Played so that a sine of 1 kHz at -40 dBFS "
             "reads 77 dB, it is as loud as the set.",
             levels->lafmax_db - levels->laeq_db);
    app_print_wrapped(out, text, 0);
    if (job->format == WP_PCM_16 && peak_bits < peak_bits_least) {
        snprintf(text, sizeof text,
                 "Its loudest peak has %.0f of the 16 bits, so raised it would hiss: --bits float "
                 "keeps everything.",
                 fmax(0.0, floor(peak_bits)));
        app_print_wrapped(out, text, 0);
    }
}

void app_level_print_advice(FILE *out, const struct app_render_job *job,
                            const struct app_render_result *result)
{
    char text[TEXT_SIZE];
    struct wp_verdict verdict;
    wp_level_judge(&verdict, &result->levels, distance_m(job));
    tell_audibility(text, job, &result->levels, &verdict);
    app_print_wrapped(out, text, 0);
    if (verdict.audibility == WP_SILENT) {
        return;
    }
    tell_care(text, is_indoors(job), &verdict);
    app_print_wrapped(out, text, 0);
    tell_night(text, is_indoors(job), &verdict);
    app_print_wrapped(out, text, 0);
    print_playback(out, job, result);
}

/* A distance that only the open tells; null in a room. */
static json_t *describe_distance(const struct app_render_job *job, double value_m)
{
    return is_indoors(job) ? json_null() : app_json_number(value_m);
}

json_t *app_level_describe(const struct app_render_job *job, const struct wp_levels *levels)
{
    char text[TEXT_SIZE];
    struct wp_verdict verdict;
    wp_level_judge(&verdict, levels, distance_m(job));
    tell_audibility(text, job, levels, &verdict);
    return json_pack("{s:s, s:s, s:s, s:o, s:o, s:o}", "text", text, "audibility",
                     audibility_words[verdict.audibility], "hearing_limit",
                     care_words[verdict.care], "distance_m", app_json_number(distance_m(job)),
                     "hearing_limit_m", describe_distance(job, verdict.care_m), "night_guideline_m",
                     describe_distance(job, verdict.night_m));
}
