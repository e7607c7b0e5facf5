/* SPDX-License-Identifier: MIT */
/* Writes a rendering's sound file and its stems. */
#include "app/render_files.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "app/text_file.h"
#include "windpeal/quantity.h"

static const struct wp_mark nowhere = {0, 0};

/* The seed of the mix has at most 53 bits; that of a stem's dither differs above them, for dither
 * that is the same in all files would add up in their sum. */
enum { SEED_BITS = 53 };

static struct wp_sound_file_config mix_config(const struct app_render_job *job, double gain_db)
{
    return (struct wp_sound_file_config){
        .path = job->path,
        .n_channels = job->n_channels,
        .rate_hz = job->peal.rate_hz,
        .format = job->format,
        .n_frames = job->n_frames,
        .is_overwriting = job->is_overwriting,
        .dither_seed = job->peal.seed,
        .gain_db = gain_db,
        .title = job->loaded.set.name,
        .date = job->date[0] ? job->date : NULL,
        .comment = job->comment,
    };
}

/* A note as part of a file's name: "C#4 -14" is "Csharp4-14". */
static void name_note(char *name, size_t name_size, const char *note)
{
    static const struct {
        const char *sign;
        const char *word;
    } words[] = {{"#", "sharp"}, {"\u266f", "sharp"}, {"\u266d", "b"}};
    size_t used = 0;
    name[0] = '\0';
    while (*note && used + sizeof "sharp" < name_size) {
        char letter[2] = {*note, '\0'};
        const char *word = strchr(" \t/", *note) || (*note & 0x80) ? "" : letter;
        size_t length = 1;
        for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
            if (strncmp(note, words[i].sign, strlen(words[i].sign)) == 0) {
                word = words[i].word;
                length = strlen(words[i].sign);
            }
        }
        used += (size_t)snprintf(name + used, name_size - used, "%s", word);
        note += length;
    }
}

/* Number and note: the wanted one, or the nearest to what a tube of given length sounds. */
static void name_stem(char *path, const struct app_render_job *job, size_t tube)
{
    const struct wp_set *set = &job->loaded.set;
    const char *ending = job->path ? strrchr(job->path, '.') : NULL;
    char note[48];
    char name[96];
    snprintf(note, sizeof note, "%s", set->tubes[tube].note);
    if (!note[0]) {
        wp_note_format(job->loaded.chime->tubes[tube].heard_hz, set->reference_hz,
                       wp_set_spelling(set, tube), note, sizeof note);
        note[strcspn(note, " ")] = '\0'; /* without the cents */
    }
    name_note(name, sizeof name, note);
    snprintf(path, PATH_MAX, "%s/tube-%02zu-%s%s", job->stems, tube + 1, name,
             ending ? ending : ".wav");
}

static bool is_folder(const char *path, struct stat *facts)
{
    return stat(path, facts) == 0 && S_ISDIR(facts->st_mode);
}

/* The folder in which a path stands. */
static bool find_parent(const char *path, struct stat *facts)
{
    char folder[PATH_MAX];
    const char *slash = strrchr(path, '/');
    snprintf(folder, sizeof folder, "%.*s", slash ? (int)(slash - path) + 1 : 1,
             slash ? path : ".");
    return is_folder(folder, facts);
}

/* Files that grow beside one of the stems, or beside the mix, on the same disk. The folder of the
 * stems may be still to be made. */
static size_t count_companions(const struct app_render_job *job, bool is_stem)
{
    struct stat stems;
    struct stat mix;
    const size_t n_stems = job->stems ? job->loaded.set.n_tubes : 0;
    const bool is_one_disk = n_stems > 0 && !app_is_stdout(job->path) &&
                             find_parent(job->path, &mix) &&
                             (is_folder(job->stems, &stems) || find_parent(job->stems, &stems)) &&
                             mix.st_dev == stems.st_dev;
    if (is_stem) {
        return n_stems - 1 + (is_one_disk ? 1 : 0);
    }
    return is_one_disk ? n_stems : 0;
}

static enum wp_status open_stem(struct app_render_files *files, size_t tube, double gain_db,
                                struct wp_diags *diags)
{
    const struct app_render_job *job = files->job;
    struct wp_sound_file_config config = mix_config(job, gain_db);
    char title[160];
    name_stem(files->stem_paths[tube], job, tube);
    snprintf(title, sizeof title, "%s, tube %zu", job->loaded.set.name, tube + 1);
    config.path = files->stem_paths[tube];
    config.title = title;
    config.dither_seed += (uint64_t)(tube + 1) << SEED_BITS;
    config.n_companions = count_companions(job, true);
    return wp_sound_file_create(&files->stems[tube], &config, diags);
}

static enum wp_status check_stems(const struct app_render_job *job, struct wp_diags *diags)
{
    struct stat facts;
    if (strlen(job->stems) + NAME_MAX >= PATH_MAX) {
        return wp_diags_add(diags, WP_E_RANGE, NULL, nowhere, "choose a shorter one",
                            "--stems: the folder's name is too long");
    }
    if (stat(job->stems, &facts) != 0) {
        return WP_OK; /* to be made */
    }
    if (!S_ISDIR(facts.st_mode)) {
        return wp_diags_add(diags, WP_E_EXISTS, job->stems, nowhere, "give the folder another name",
                            "is a file; expected a folder for the stems, or a new name");
    }
    enum wp_status status = WP_OK;
    for (size_t i = 0; i < job->loaded.set.n_tubes && !status; i++) {
        struct wp_sound_file_config config = mix_config(job, 0.0);
        char path[PATH_MAX];
        name_stem(path, job, i);
        config.path = path;
        status = wp_sound_file_check(&config, diags);
    }
    return status;
}

enum wp_status app_render_files_check(const struct app_render_job *job, struct wp_diags *diags)
{
    struct wp_sound_file_config config = mix_config(job, 0.0);
    config.n_companions = job->path ? count_companions(job, false) : 0;
    const enum wp_status status = job->path ? wp_sound_file_check(&config, diags) : WP_OK;
    return !status && job->stems ? check_stems(job, diags) : status;
}

static enum wp_status make_folder(struct app_render_files *files, struct wp_diags *diags)
{
    const char *folder = files->job->stems;
    files->is_folder_made = mkdir(folder, 0777) == 0;
    return files->is_folder_made || errno == EEXIST
               ? WP_OK
               : app_refuse_errno(diags, folder, "create the folder", errno);
}

enum wp_status app_render_files_open(struct app_render_files *files,
                                     const struct app_render_job *job, double gain_db,
                                     struct wp_diags *diags)
{
    struct wp_sound_file_config config = mix_config(job, gain_db);
    *files = (struct app_render_files){.job = job};
    files->n_stems = job->stems ? job->loaded.set.n_tubes : 0;
    enum wp_status status = app_render_files_check(job, diags);
    if (!status && job->stems) {
        status = make_folder(files, diags);
    }
    if (!status) {
        config.n_companions = count_companions(job, false);
        status = wp_sound_file_create(&files->mix, &config, diags);
    }
    for (size_t i = 0; i < files->n_stems && !status; i++) {
        status = open_stem(files, i, gain_db, diags);
    }
    return status;
}

size_t app_render_files_count(const struct app_render_files *files)
{
    return files->n_stems + 1;
}

/* Number 0 is the mix. */
static struct wp_sound_file *file_of(const struct app_render_files *files, size_t number)
{
    return number == 0 ? files->mix : files->stems[number - 1];
}

enum wp_status app_render_files_write(struct app_render_files *files, size_t number,
                                      const float *frames, size_t n_frames)
{
    return wp_sound_file_write(file_of(files, number), frames, n_frames);
}

enum wp_status app_render_files_refuse(const struct app_render_files *files, size_t number,
                                       enum wp_status status, struct wp_diags *diags)
{
    const char *path = number == 0 ? files->job->path : files->stem_paths[number - 1];
    return wp_diags_add(diags, status, app_is_stdout(path) ? "standard output" : path, nowhere,
                        status == WP_E_NO_SPACE ? "make room or write elsewhere" : NULL,
                        "cannot write the sound file; %s", wp_status_text(status));
}

/* Does one step of the end to all files, to the mix last. */
static enum wp_status for_all(struct app_render_files *files,
                              enum wp_status (*step)(struct wp_sound_file *file),
                              struct wp_diags *diags)
{
    for (size_t number = app_render_files_count(files); number-- > 0;) {
        const enum wp_status status = step(file_of(files, number));
        if (status) {
            return app_render_files_refuse(files, number, status, diags);
        }
    }
    return WP_OK;
}

enum wp_status app_render_files_commit(struct app_render_files *files, struct wp_diags *diags)
{
    enum wp_status status = for_all(files, wp_sound_file_complete, diags);
    if (!status) {
        status = for_all(files, wp_sound_file_commit, diags);
    }
    files->is_committed = status == WP_OK;
    return status;
}

uint64_t app_render_files_clipped(const struct app_render_files *files)
{
    uint64_t n_clipped = wp_sound_file_clipped(files->mix);
    for (size_t i = 0; i < files->n_stems; i++) {
        n_clipped += wp_sound_file_clipped(files->stems[i]);
    }
    return n_clipped;
}

void app_render_files_finish(struct app_render_files *files)
{
    wp_sound_file_destroy(files->mix);
    for (size_t i = 0; i < files->n_stems; i++) {
        wp_sound_file_destroy(files->stems[i]);
    }
    if (files->is_folder_made && !files->is_committed) {
        rmdir(files->job->stems); /* fails when parts are in it */
    }
    *files = (struct app_render_files){.mix = NULL};
}
