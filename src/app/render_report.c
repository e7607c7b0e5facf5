/* SPDX-License-Identifier: MIT */
/* Tells what a rendering holds and how loud it is. */
#include "app/render_report.h"

#include <math.h>
#include <string.h>

#include "app/help.h"
#include "app/json_text.h"
#include "app/text_file.h"
#include "app/variety_report.h"

/* Levels at the listener from which a caution is due, dB(A); all from memory. */
static const double work_limit_db = 85.0;    /* NIOSH 98-126 (1998): 8 hours a day */
static const double leisure_limit_db = 80.0; /* ITU-T H.870 (2018): 40 hours a week */
static const double night_max_db = 45.0; /* WHO, Guidelines for Community Noise (1999): bedroom */

static const char *const format_words[] = {
    [WP_PCM_16] = "16 bit", [WP_PCM_24] = "24 bit", [WP_FLOAT_32] = "float"};
static const char *const channel_words[] = {
    [WP_STEREO] = "stereo", [WP_MONO] = "mono", [WP_TUBES] = "one channel a tube"};

static void print_source(FILE *out, const struct app_render_job *job)
{
    fprintf(out, "set          %s, %zu tubes\n", job->loaded.set.name, job->loaded.set.n_tubes);
    if (!job->is_from_weather) {
        fprintf(out, "source       a list of %zu strike%s\n", job->strikes.n_items,
                job->strikes.n_items == 1 ? "" : "s");
        return;
    }
    fprintf(out, "weather      %s", job->source.name);
    if (job->date[0]) {
        fprintf(out, " from %s", job->date);
    }
    if (job->loaded.set.drive.kind != WP_DRIVE_SAIL) {
        fputs(", as the station reads it\n", out);
    } else if (job->source.wind.is_as_given) {
        fputs(", taken as the wind at the set\n", out);
    } else {
        fprintf(out, ", brought to %.3g m above the ground\n", job->source.wind.height_m);
    }
}

static void print_file(FILE *out, const struct app_render_job *job)
{
    const char *path = job->path ? job->path : "no file";
    fprintf(out, "sound file   %s: %.1f s, %llu frames at %d Hz, %s, %s, seed %llu\n",
            app_is_stdout(path) ? "standard output" : path, app_render_job_duration_s(job),
            (unsigned long long)job->n_frames, job->peal.rate_hz, format_words[job->format],
            channel_words[job->peal.channels], (unsigned long long)job->peal.seed);
}

static const char *bound_words(enum wp_level_bound bound)
{
    switch (bound) {
    case WP_BOUND_TARGET:
        return "by the loudness target";
    case WP_BOUND_PEAK:
        return "peak-bound: more would pass -1 dBTP, and nothing limits the peaks";
    case WP_BOUND_NONE:
        break;
    }
    return "full scale = 20 Pa";
}

static void print_loudness(FILE *out, const struct app_render_job *job,
                           const struct app_render_result *result)
{
    const struct wp_levels *levels = &result->levels;
    const double lufs = result->file_lufs;
    if (isfinite(lufs)) {
        fprintf(out, "loudness     %.1f LUFS, ", lufs);
    } else {
        fputs("loudness     none (below -70 LUFS, or too short to tell), ", out);
    }
    if (isfinite(levels->true_peak_dbtp)) {
        fprintf(out, "true peak %.1f dBTP, ", levels->true_peak_dbtp + result->gain_db);
    }
    fprintf(out, "gain %+.1f dB (%s)\n", result->gain_db, bound_words(result->bound));
    if (isfinite(levels->laeq_db)) {
        fprintf(out, "at %.1f m     LAeq %.1f dB, LAFmax %.1f dB re 20 uPa\n",
                job->loaded.set.listener_distance_m, levels->laeq_db, levels->lafmax_db);
    }
    if (result->n_clipped > 0) {
        fprintf(out, "clipped      %llu samples did not fit into full scale\n",
                (unsigned long long)result->n_clipped);
    }
}

static void print_cautions(FILE *out, const struct wp_levels *levels)
{
    if (levels->laeq_db >= leisure_limit_db) {
        app_print_wrapped(out,
                          levels->laeq_db >= work_limit_db
                              ? "Hearing: this close the set passes 85 dB(A), which is the limit "
                                "of an 8-hour day at work. Stand further away or protect your ears."
                              : "Hearing: this close the set passes 80 dB(A), which is the limit "
                                "for 40 hours of listening a week.",
                          0);
    }
    if (levels->lafmax_db > night_max_db) {
        app_print_wrapped(out,
                          "Neighbours: strikes pass 45 dB(A) here, the guide value for bedrooms at "
                          "night, and many rules count tones as louder. Local rules decide.",
                          0);
    }
    app_print_wrapped(out,
                      "Start playback quietly: the program cannot know how loud your loudspeakers "
                      "or headphones are.",
                      0);
}

void app_render_report_print(FILE *out, const struct app_render_job *job,
                             const struct app_render_result *result)
{
    print_source(out, job);
    print_file(out, job);
    if (job->stems) {
        fprintf(out, "stems        %s, one file a tube\n", job->stems);
    }
    app_variety_print(out, &result->variety);
    print_loudness(out, job, result);
    fprintf(out, "took         %.2f s, %.0f times real time\n\n", result->elapsed_s,
            app_render_job_duration_s(job) / result->elapsed_s);
    print_cautions(out, &result->levels);
}

static json_t *describe_bound(enum wp_level_bound bound)
{
    if (bound == WP_BOUND_NONE) {
        return json_null();
    }
    return json_string(bound == WP_BOUND_TARGET ? "target" : "peak");
}

enum wp_status app_render_report_print_json(const struct app_render_job *job,
                                            const struct app_render_result *result)
{
    const struct wp_levels *levels = &result->levels;
    return app_json_print(json_pack(
        "{s:I, s:i, s:i, s:I, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:I, s:o, s:o, s:o}", "frames",
        (json_int_t)job->n_frames, "rate_hz", job->peal.rate_hz, "channels", job->n_channels,
        "strikes", (json_int_t)result->variety.n_strikes, "seed", (json_int_t)job->peal.seed,
        "integrated_lufs", app_json_number(result->file_lufs), "true_peak_dbtp",
        app_json_number(levels->true_peak_dbtp + result->gain_db), "gain_db",
        app_json_number(result->gain_db), "bound_by", describe_bound(result->bound), "laeq_db",
        app_json_number(levels->laeq_db), "lafmax_db", app_json_number(levels->lafmax_db),
        "clipped", (json_int_t)result->n_clipped, "times_real_time",
        app_json_number(app_render_job_duration_s(job) / result->elapsed_s), "duration_s",
        app_json_number(app_render_job_duration_s(job)), "variety",
        app_variety_describe(&result->variety)));
}

void app_render_plan_print(FILE *out, const struct app_render_job *job)
{
    const char *ending = job->path ? strrchr(job->path, '.') : NULL;
    const bool is_packed = ending && strcmp(ending, ".flac") == 0;
    print_source(out, job);
    print_file(out, job);
    if (job->stems) {
        fprintf(out, "stems        %s, %zu files of the same size\n", job->stems,
                job->loaded.set.n_tubes);
    }
    fprintf(out, "size         %s %.1f MB; nothing was written (dry run)\n",
            is_packed ? "below" : "about", 1e-6 * (double)app_render_job_bytes(job));
}

enum wp_status app_render_plan_print_json(const struct app_render_job *job)
{
    return app_json_print(json_pack("{s:b, s:I, s:i, s:i, s:I, s:o, s:I}", "dry_run", 1, "frames",
                                    (json_int_t)job->n_frames, "rate_hz", job->peal.rate_hz,
                                    "channels", job->n_channels, "seed", (json_int_t)job->peal.seed,
                                    "duration_s", app_json_number(app_render_job_duration_s(job)),
                                    "sample_bytes", (json_int_t)app_render_job_bytes(job)));
}
