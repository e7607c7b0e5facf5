/* SPDX-License-Identifier: MIT */
/* Writes plausible sets as set files and tells how far they spread. */
#include "app/tube_sample.h"

#include <errno.h>
#include <inttypes.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "app/json_text.h"
#include "app/text_file.h"
#include "app/weather_source.h"

/* One set of the sample. */
struct app_sampled {
    struct wp_set set;
    char path[PATH_MAX];
    double cents[WP_TUBES_MAX]; /* pitches above those of the sheet */
    struct app_text_file text;
    bool is_new; /* no file stood there before */
    bool is_written;
};

/* "presets/mill-tower.yaml" -> "FOLDER/mill-tower-sample-07.yaml". */
static enum wp_status name_file(struct app_sampled *sampled, const char *folder,
                                const char *set_file, size_t number, struct wp_diags *diags)
{
    const char *slash = strrchr(set_file, '/');
    const char *base = slash ? slash + 1 : set_file;
    const char *dot = strrchr(base, '.');
    const int stem = dot && dot > base ? (int)(dot - base) : (int)strlen(base);
    const int length = snprintf(sampled->path, sizeof sampled->path, "%s%s%.*s-sample-%02zu.yaml",
                                folder ? folder : "", folder ? "/" : "", stem, base, number);
    if ((size_t)length >= sizeof sampled->path) {
        return app_refuse(diags, WP_E_RANGE, NULL, "the names of the samples' files are too long");
    }
    return WP_OK;
}

/* A name of its own, where it fits. */
static void name_set(struct wp_set *set, size_t number)
{
    char name[sizeof set->name];
    const int length = snprintf(name, sizeof name, "%s, sample %zu", set->name, number);
    if (length > 0 && (size_t)length < sizeof name) {
        memcpy(set->name, name, sizeof name);
    }
}

/* Such stock makes a set that cannot be: its first finding, with the number of the sample. */
static enum wp_status refuse_sample(const struct wp_diags *found, enum wp_status status,
                                    size_t number, const struct wp_set *set, struct wp_diags *diags)
{
    const bool has_reason = found->n_items > 0;
    const struct wp_mark nowhere = {0, 0};
    return wp_diags_add(diags, status, set->file, has_reason ? found->items[0].mark : nowhere,
                        "leave more room than the stock's tolerances take",
                        "sample %zu, out of stock within its tolerances, cannot hang like this: %s",
                        number, has_reason ? found->items[0].message : wp_status_text(status));
}

/* Solves a drawn set, which shows that it can be hung, and compares its pitches. */
static enum wp_status compare(struct app_sampled *sampled, const struct app_sample *sample,
                              const struct app_set *loaded, struct wp_diags *diags)
{
    struct wp_chime_config config;
    struct wp_chime *chime = NULL;
    struct wp_layout layout;
    wp_chime_config_default(&config);
    config.max_hz = 0.0; /* the lowest partials will do */
    config.without_air_mass = loaded->chime->tubes[0].spec.without_air_mass;
    enum wp_status status = wp_chime_create(&chime, &sampled->set, &config, diags);
    if (!status) {
        status = wp_layout_init(&layout, &sampled->set, chime, diags);
    }
    for (size_t i = 0; i < sampled->set.n_tubes && !status; i++) {
        const size_t partial = (size_t)sample->tolerances[i].partial - 1;
        sampled->cents[i] = 1200.0 * log2(chime->tubes[i].partials[partial].freq_hz /
                                          loaded->chime->tubes[i].partials[partial].freq_hz);
    }
    wp_chime_destroy(chime);
    return status;
}

/* What a reader of the file should know; numbers and plain words only, since it is a comment. */
static void print_origin(FILE *file, const struct app_sample *sample, const struct wp_set *nominal,
                         size_t index)
{
    const struct app_sampled *sampled = &sample->sampled[index];
    fprintf(file,
            "# Sample %zu of %zu, seed %" PRIu64 ": a set as it may come out of bought stock, cut "
            "to the\n# lengths of the sheet. Pitches against the sheet, in cents:\n",
            index + 1, sample->n_sets, sample->seed);
    for (size_t i = 0; i < nominal->n_tubes; i++) {
        const struct wp_stock *stock = &sample->tolerances[i].stocks[0].stock;
        fprintf(file, "#   tube %zu  %-8s %+6.1f  (%s, %s)\n", i + 1, nominal->tubes[i].note,
                sampled->cents[i], stock->name, stock->standard);
    }
}

/* Fills every file under its temporary name. */
static enum wp_status fill_files(struct app_sample *sample, const struct app_set *loaded,
                                 bool is_overwriting, struct wp_diags *diags)
{
    enum wp_status status = WP_OK;
    for (size_t i = 0; i < sample->n_sets && !status; i++) {
        struct app_sampled *sampled = &sample->sampled[i];
        struct stat facts;
        sampled->is_new = stat(sampled->path, &facts) != 0;
        status = app_text_file_open(&sampled->text, sampled->path, is_overwriting, diags);
        if (!status) {
            print_origin(sampled->text.file, sample, &loaded->set, i);
            app_text_file_printed(&sampled->text, wp_set_print(sampled->text.file, &sampled->set));
        }
    }
    return status;
}

/* Gives every file its name. After a failure the new ones are taken back; what one of them has
 * replaced already is gone. */
static enum wp_status name_files(struct app_sample *sample, struct wp_diags *diags)
{
    enum wp_status status = WP_OK;
    for (size_t i = 0; i < sample->n_sets && !status; i++) {
        status = app_text_file_commit(&sample->sampled[i].text, diags);
        sample->sampled[i].is_written = !status;
    }
    for (size_t i = 0; i < sample->n_sets && status; i++) {
        if (sample->sampled[i].is_written && sample->sampled[i].is_new) {
            remove(sample->sampled[i].path);
        }
    }
    return status;
}

static enum wp_status write_files(struct app_sample *sample, const struct app_arguments *arguments,
                                  const struct app_set *loaded, struct wp_diags *diags)
{
    const char *folder = arguments->text[APP_OUT_DIR];
    if (folder && mkdir(folder, 0777) != 0 && errno != EEXIST) {
        return app_refuse_errno(diags, folder, "create the folder", errno);
    }
    enum wp_status status = fill_files(sample, loaded, arguments->is_given[APP_OVERWRITE], diags);
    if (!status) {
        status = name_files(sample, diags);
    }
    for (size_t i = 0; i < sample->n_sets; i++) {
        app_text_file_abandon(&sample->sampled[i].text, false);
    }
    return status;
}

enum wp_status app_sample_make(struct app_sample *sample, const struct app_arguments *arguments,
                               const struct app_set *loaded, struct wp_diags *diags)
{
    const size_t n_sets = (size_t)arguments->whole[APP_SAMPLE];
    *sample = (struct app_sample){.n_sets = n_sets, .seed = app_seed(arguments)};
    sample->sampled = calloc(n_sets, sizeof *sample->sampled);
    if (!sample->sampled) {
        return app_refuse(diags, WP_E_NO_MEMORY, NULL, "out of memory");
    }
    for (size_t i = 0; i < loaded->set.n_tubes; i++) {
        wp_tolerance_solve(&sample->tolerances[i], &loaded->set, loaded->chime, i);
    }
    enum wp_status status = WP_OK;
    for (size_t i = 0; i < n_sets && !status; i++) {
        struct app_sampled *sampled = &sample->sampled[i];
        wp_sample_draw(&sampled->set, &loaded->set, loaded->chime, sample->seed, i);
        name_set(&sampled->set, i + 1);
        status = name_file(sampled, arguments->text[APP_OUT_DIR], loaded->set.file, i + 1, diags);
        if (!status) {
            struct wp_diags found;
            wp_diags_init(&found);
            status = compare(sampled, sample, loaded, &found);
            status = status ? refuse_sample(&found, status, i + 1, &loaded->set, diags) : status;
        }
    }
    return status ? status : write_files(sample, arguments, loaded, diags);
}

void app_sample_finish(struct app_sample *sample)
{
    free(sample->sampled);
    sample->sampled = NULL;
}

/* One tube over the sample. */
struct spread {
    double lowest;
    double mean;
    double highest;
    double deviation; /* standard deviation; NAN for one set */
};

static struct spread spread_of(const struct app_sample *sample, size_t tube)
{
    const double n = (double)sample->n_sets;
    struct spread spread = {.lowest = INFINITY, .highest = -INFINITY};
    double squares = 0.0;
    for (size_t i = 0; i < sample->n_sets; i++) {
        const double cents = sample->sampled[i].cents[tube];
        spread.lowest = fmin(spread.lowest, cents);
        spread.highest = fmax(spread.highest, cents);
        spread.mean += cents / n;
    }
    for (size_t i = 0; i < sample->n_sets; i++) {
        const double off = sample->sampled[i].cents[tube] - spread.mean;
        squares += off * off;
    }
    spread.deviation = sample->n_sets > 1 ? sqrt(squares / (n - 1.0)) : (double)NAN;
    return spread;
}

/* The interval between two neighbours that is off the most. */
struct interval {
    size_t set;
    size_t lower_tube;
    double cents; /* wider than by the sheet */
};

/* false for a set of one tube. */
static bool find_worst_interval(const struct app_sample *sample, size_t n_tubes,
                                struct interval *worst)
{
    *worst = (struct interval){.cents = 0.0};
    for (size_t i = 0; i < sample->n_sets; i++) {
        for (size_t j = 0; j + 1 < n_tubes; j++) {
            const double *cents = sample->sampled[i].cents;
            const double wider = cents[j + 1] - cents[j];
            if (fabs(wider) > fabs(worst->cents)) {
                *worst = (struct interval){.set = i, .lower_tube = j, .cents = wider};
            }
        }
    }
    return n_tubes > 1;
}

static void print_spread(const struct app_sample *sample, const struct wp_set *set)
{
    puts("\nPitch against the sheet, in cents");
    printf("%4s  %-8s  %8s  %8s  %8s  %18s\n", "tube", "note", "lowest", "mean", "highest",
           "standard deviation");
    for (size_t i = 0; i < set->n_tubes; i++) {
        const struct spread spread = spread_of(sample, i);
        printf("%4zu  %-8s  %+8.1f  %+8.1f  %+8.1f", i + 1,
               set->tubes[i].note[0] ? set->tubes[i].note : "-", spread.lowest, spread.mean,
               spread.highest);
        if (isnan(spread.deviation)) {
            printf("  %18s\n", "-");
        } else {
            printf("  %18.1f\n", spread.deviation);
        }
    }
}

void app_sample_print(const struct app_sample *sample, const struct app_set *loaded)
{
    const struct wp_set *set = &loaded->set;
    struct interval worst;
    printf("%s: %zu %s out of bought stock, seed %" PRIu64 "\n", set->name, sample->n_sets,
           sample->n_sets == 1 ? "set" : "sets", sample->seed);
    for (size_t i = 0; i < sample->n_sets; i++) {
        printf("%-9s%s\n", i ? "" : "files", sample->sampled[i].path);
    }
    print_spread(sample, set);
    if (find_worst_interval(sample, set->n_tubes, &worst)) {
        printf("\nInterval between neighbours that is off the most: tubes %zu and %zu of sample "
               "%zu, %+.1f cents.\n",
               worst.lower_tube + 1, worst.lower_tube + 2, worst.set + 1, worst.cents);
    }
}

static json_t *describe_spread(const struct app_sample *sample, size_t tube)
{
    const struct spread spread = spread_of(sample, tube);
    return json_pack("{s:I, s:o, s:o, s:o, s:o}", "number", (json_int_t)tube + 1, "lowest_cents",
                     app_json_number(spread.lowest), "mean_cents", app_json_number(spread.mean),
                     "highest_cents", app_json_number(spread.highest), "deviation_cents",
                     app_json_number(spread.deviation));
}

json_t *app_sample_describe(const struct app_sample *sample, const struct app_set *loaded)
{
    struct interval worst;
    json_t *files = json_array();
    json_t *tubes = json_array();
    for (size_t i = 0; i < sample->n_sets; i++) {
        files = app_json_append(files, app_json_string(sample->sampled[i].path));
    }
    for (size_t i = 0; i < loaded->set.n_tubes; i++) {
        tubes = app_json_append(tubes, describe_spread(sample, i));
    }
    json_t *interval =
        find_worst_interval(sample, loaded->set.n_tubes, &worst)
            ? json_pack("{s:I, s:I, s:o}", "sample", (json_int_t)worst.set + 1, "tube",
                        (json_int_t)worst.lower_tube + 1, "cents", app_json_number(worst.cents))
            : json_null();
    return json_pack("{s:I, s:o, s:o, s:o}", "seed", (json_int_t)sample->seed, "files", files,
                     "tubes", tubes, "worst_interval", interval);
}
