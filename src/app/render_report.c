/* SPDX-License-Identifier: MIT */
/* Tells what a rendering holds and how loud it is. */
#include "app/render_report.h"

#include <string.h>

#include "app/json_text.h"
#include "app/level_report.h"
#include "app/text_file.h"
#include "app/variety_report.h"

static const char *const format_words[] = {
    [WP_PCM_16] = "16 bit", [WP_PCM_24] = "24 bit", [WP_FLOAT_32] = "float"};
static const char *const channel_words[] = {
    [WP_STEREO] = "stereo", [WP_MONO] = "mono", [WP_TUBES] = "one channel a tube"};

static void print_source(FILE *out, const struct app_render_job *job)
{
    fprintf(out, "set          %s, %zu tubes\n", job->loaded.set.name, job->loaded.set.n_tubes);
    if (!job->is_from_weather) {
        fprintf(out, "source       %s%s: %zu strike%s\n", job->list_path ? "the list " : "",
                job->list_path ? job->list_path : "every tube in turn, then all together",
                job->strikes.n_items, job->strikes.n_items == 1 ? "" : "s");
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

/* Where the set is heard; free air goes without saying. */
static void print_place(FILE *out, const struct app_render_job *job)
{
    const struct wp_set_room *room = &job->loaded.set.room;
    if (job->peal.channels == WP_TUBES) {
        return;
    }
    switch (room->kind) {
    case WP_ROOM_FREE:
        return;
    case WP_ROOM_OUTDOORS:
        fprintf(out, "place        in the open, over %s\n", wp_ground_name(room->ground));
        return;
    case WP_ROOM_OF_SIZE:
        fprintf(out, "place        a room of %.3g by %.3g by %.3g m that decays in %.3g s\n",
                room->size_m[0], room->size_m[1], room->size_m[2], room->decay_s);
        return;
    case WP_ROOM_RECORDED:
        fprintf(out, "place        the room of %s\n", room->impulse);
        return;
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

void app_render_report_print(FILE *out, const struct app_render_job *job,
                             const struct app_render_result *result)
{
    print_source(out, job);
    print_place(out, job);
    print_file(out, job);
    if (job->stems) {
        fprintf(out, "stems        %s, one file a tube\n", job->stems);
    }
    app_variety_print(out, &result->variety);
    app_level_print(out, job, result);
    fprintf(out, "took         %.2f s, %.0f times real time\n\n", result->elapsed_s,
            app_render_job_duration_s(job) / result->elapsed_s);
    app_level_print_advice(out, job, result);
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
        "{s:I, s:i, s:i, s:I, s:I, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:I, s:o, s:o, s:o}",
        "frames", (json_int_t)job->n_frames, "rate_hz", job->peal.rate_hz, "channels",
        job->n_channels, "strikes", (json_int_t)result->variety.n_strikes, "seed",
        (json_int_t)job->peal.seed, "integrated_lufs", app_json_number(result->file_lufs),
        "true_peak_dbtp", app_json_number(levels->true_peak_dbtp + result->gain_db), "gain_db",
        app_json_number(result->gain_db), "bound_by", describe_bound(result->bound), "laeq_db",
        app_json_number(levels->laeq_db), "lafmax_db", app_json_number(levels->lafmax_db),
        "verdict", app_level_describe(job, levels), "clipped", (json_int_t)result->n_clipped,
        "times_real_time", app_json_number(app_render_job_duration_s(job) / result->elapsed_s),
        "duration_s", app_json_number(app_render_job_duration_s(job)), "variety",
        app_variety_describe(&result->variety)));
}

void app_render_plan_print(FILE *out, const struct app_render_job *job)
{
    const char *ending = job->path ? strrchr(job->path, '.') : NULL;
    const bool is_packed = ending && strcmp(ending, ".flac") == 0;
    print_source(out, job);
    print_place(out, job);
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
