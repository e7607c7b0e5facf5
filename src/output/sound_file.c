/* SPDX-License-Identifier: MIT */
/* Sound files: picks the container, rounds the samples, keeps an unfinished file playable. */

#include "windpeal/sound_file.h"

#include <assert.h>
#include <math.h>
#include <sndfile.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#include "output/part_file.h"
#include "output/quantiser.h"
#include "output/version.h"
#include "output/wav_header.h"
#include "output/wav_stream.h"

/* What the containers can hold: FLAC 8 channels (RFC 9639, 9.1.3), here as many as a set has
 * tubes; sample rates as far as sound cards go. */
enum { FLAC_CHANNELS_MAX = 8, CHANNELS_MAX = 64, RATE_MIN_HZ = 8000, RATE_MAX_HZ = 384000 };

/* Far beyond any disk, and still no product of it with channels and bytes passes 64 bits. */
static const uint64_t FRAMES_MAX = UINT64_C(1) << 48;

static const struct wp_mark NOWHERE = {0, 0};

enum container { CONTAINER_WAV, CONTAINER_RF64, CONTAINER_FLAC };

struct wp_sound_file {
    struct wp_part_file part;
    enum container container;
    enum wp_sample_format format;
    size_t n_channels;
    uint64_t n_announced; /* frames */
    uint64_t n_frames;    /* written so far */
    double gain;
    bool is_closed; /* nothing more can be written */
    bool is_committed;
    char *tags[3];                 /* title, date, comment; owned */
    struct wp_wav_header header;   /* describes the sound, to FLAC as well */
    struct wp_quantiser quantiser; /* counts clipped samples for float files, too */
    SNDFILE *flac;
    struct wp_wav_stream wav;
    union {
        int32_t numbers[WP_WAV_SAMPLES_MAX];
        float samples[WP_WAV_SAMPLES_MAX];
    } block;
};

/* Findings before anything is opened. */

static enum wp_status find_container(const struct wp_sound_file_config *config,
                                     enum container *container, struct wp_diags *diags)
{
    static const struct {
        const char *ending;
        enum container container;
    } endings[] = {{".wav", CONTAINER_WAV}, {".rf64", CONTAINER_RF64}, {".flac", CONTAINER_FLAC}};
    if (strcmp(config->path, "-") == 0) {
        *container = CONTAINER_WAV;
        return isatty(STDOUT_FILENO) ? wp_diags_add(diags, WP_E_CONFLICT, "standard output",
                                                    NOWHERE, "name a file instead of -",
                                                    "is a terminal; expected a file or a pipe")
                                     : WP_OK;
    }
    const char *slash = strrchr(config->path, '/');
    const char *name = slash ? slash + 1 : config->path;
    const char *ending = strrchr(name, '.');
    for (size_t i = 0; ending && ending > name && i < sizeof endings / sizeof *endings; i++) {
        if (strcasecmp(ending, endings[i].ending) == 0) {
            *container = endings[i].container;
            return WP_OK;
        }
    }
    return wp_diags_add(diags, WP_E_UNKNOWN_NAME, config->path, NOWHERE,
                        "for example chimes.wav; - writes WAV to standard output",
                        "the ending of a sound file's name decides on its format; expected .wav, "
                        ".flac or .rf64");
}

static enum wp_status check_format(const struct wp_sound_file_config *config,
                                   enum container container, struct wp_diags *diags)
{
    const int channels_max = container == CONTAINER_FLAC ? FLAC_CHANNELS_MAX : CHANNELS_MAX;
    if (container == CONTAINER_FLAC && config->format == WP_FLOAT_32) {
        return wp_diags_add(diags, WP_E_CONFLICT, config->path, NOWHERE,
                            "write .wav or .rf64, or choose 24 bits",
                            "FLAC holds whole numbers only; expected 16 or 24 bits");
    }
    if (config->n_channels < 1 || config->n_channels > channels_max) {
        return wp_diags_add(diags, WP_E_RANGE, config->path, NOWHERE,
                            container == CONTAINER_FLAC ? "write .wav or .rf64" : NULL,
                            "%d channels do not fit into this format; expected 1 to %d",
                            config->n_channels, channels_max);
    }
    if (config->rate_hz < RATE_MIN_HZ || config->rate_hz > RATE_MAX_HZ) {
        return wp_diags_add(diags, WP_E_RANGE, config->path, NOWHERE, "48000 fits most uses",
                            "a sample rate of %d Hz cannot be written; expected %d to %d Hz",
                            config->rate_hz, RATE_MIN_HZ, RATE_MAX_HZ);
    }
    if (config->n_frames > FRAMES_MAX) {
        return wp_diags_add(diags, WP_E_RANGE, config->path, NOWHERE, "render less",
                            "the sound is too long for any file");
    }
    if (!isfinite(config->gain_db)) {
        return wp_diags_add(diags, WP_E_RANGE, config->path, NOWHERE, NULL,
                            "the gain is not a number of decibels");
    }
    return WP_OK;
}

/* FLAC, through libsndfile. Its bytes pass through the part file, which sees every failed write;
 * libsndfile itself reports none when it closes a file. */

static sf_count_t flac_file_size(void *user)
{
    const struct wp_part_file *part = user;
    const off_t here = lseek(part->descriptor, 0, SEEK_CUR);
    const off_t size = lseek(part->descriptor, 0, SEEK_END);
    lseek(part->descriptor, here, SEEK_SET);
    return size;
}

static sf_count_t flac_seek(sf_count_t offset, int whence, void *user)
{
    const struct wp_part_file *part = user;
    return lseek(part->descriptor, offset, whence);
}

/* The file is only written. */
static sf_count_t flac_read(void *bytes, sf_count_t n_bytes, void *user)
{
    (void)bytes;
    (void)n_bytes;
    (void)user;
    return 0;
}

static sf_count_t flac_write(const void *bytes, sf_count_t n_bytes, void *user)
{
    struct wp_part_file *part = user;
    return wp_part_file_append(part, bytes, (size_t)n_bytes) ? 0 : n_bytes;
}

static sf_count_t flac_tell(void *user)
{
    const struct wp_part_file *part = user;
    return lseek(part->descriptor, 0, SEEK_CUR);
}

static enum wp_status open_flac(struct wp_sound_file *file)
{
    const struct wp_wav_header *header = &file->header;
    SF_VIRTUAL_IO calls = {flac_file_size, flac_seek, flac_read, flac_write, flac_tell};
    SF_INFO info = {
        .samplerate = header->rate_hz,
        .channels = header->n_channels,
        .format =
            SF_FORMAT_FLAC | (file->format == WP_PCM_16 ? SF_FORMAT_PCM_16 : SF_FORMAT_PCM_24),
    };
    const int names[] = {SF_STR_SOFTWARE, SF_STR_TITLE, SF_STR_DATE, SF_STR_COMMENT};
    const char *texts[] = {header->software, header->title, header->date, header->comment};
    file->flac = sf_open_virtual(&calls, SFM_WRITE, &info, &file->part);
    if (!file->flac) {
        return WP_E_IO;
    }
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        if (texts[i] && texts[i][0] && sf_set_string(file->flac, names[i], texts[i]) != 0) {
            return WP_E_NO_MEMORY;
        }
    }
    return wp_part_file_status(&file->part);
}

/* libsndfile takes numbers of all sizes at the upper end of 32 bits. */
static enum wp_status write_flac(struct wp_sound_file *file, size_t n_frames)
{
    const int32_t factor = file->format == WP_PCM_16 ? 1 << 16 : 1 << 8;
    for (size_t i = 0; i < n_frames * file->n_channels; i++) {
        file->block.numbers[i] *= factor;
    }
    const sf_count_t n_written =
        sf_writef_int(file->flac, file->block.numbers, (sf_count_t)n_frames);
    const enum wp_status status = wp_part_file_status(&file->part);
    return !status && n_written != (sf_count_t)n_frames ? WP_E_IO : status;
}

static enum wp_status close_flac(struct wp_sound_file *file)
{
    const int error = file->flac ? sf_close(file->flac) : 0;
    const enum wp_status status = wp_part_file_status(&file->part);
    file->flac = NULL;
    return !status && error ? WP_E_IO : status;
}

/* The object. */

static size_t sample_bytes(enum wp_sample_format format)
{
    return format == WP_PCM_16 ? 2 : format == WP_PCM_24 ? 3 : 4;
}

static enum wp_status copy_tag(char **copy, const char *text)
{
    *copy = text ? strdup(text) : NULL;
    return text && !*copy ? WP_E_NO_MEMORY : WP_OK;
}

static enum wp_status set_up(struct wp_sound_file *file, const struct wp_sound_file_config *config)
{
    const char *tags[] = {config->title, config->date, config->comment};
    for (size_t i = 0; i < sizeof tags / sizeof *tags; i++) {
        if (copy_tag(&file->tags[i], tags[i])) {
            return WP_E_NO_MEMORY;
        }
    }
    file->format = config->format;
    file->n_channels = (size_t)config->n_channels;
    file->n_announced = config->n_frames;
    file->gain = pow(10.0, config->gain_db / 20.0);
    file->header = (struct wp_wav_header){
        .n_channels = config->n_channels,
        .rate_hz = config->rate_hz,
        .sample_bytes = sample_bytes(config->format),
        .is_rf64 = file->container == CONTAINER_RF64,
        .software = "windpeal " WINDPEAL_VERSION,
        .title = file->tags[0],
        .date = file->tags[1],
        .comment = file->tags[2],
    };
    wp_quantiser_init(&file->quantiser, config->format == WP_PCM_16 ? 16 : 24, file->gain,
                      config->dither_seed);
    return WP_OK;
}

/* The least that the file can take. FLAC cannot shrink a sample below the 1.06 bits of entropy of
 * its rounded dither (-1, 0 and 1 with 1/8, 3/4 and 1/8). */
static uint64_t least_bytes(const struct wp_sound_file_config *config, enum container container)
{
    const uint64_t n_samples = config->n_frames * (uint64_t)config->n_channels;
    return container == CONTAINER_FLAC ? n_samples / 8 : n_samples * sample_bytes(config->format);
}

static enum wp_status open_container(struct wp_sound_file *file)
{
    return file->container == CONTAINER_FLAC
               ? open_flac(file)
               : wp_wav_stream_init(&file->wav, &file->part, &file->header, file->n_announced);
}

static enum wp_status open_file(struct wp_sound_file *file,
                                const struct wp_sound_file_config *config, struct wp_diags *diags)
{
    enum wp_status status = set_up(file, config);
    if (!status) {
        status = wp_part_file_init(&file->part, config->path, config->is_overwriting, diags);
    }
    if (!status) {
        status = wp_part_file_reserve(&file->part, least_bytes(config, file->container),
                                      config->n_companions + 1, diags);
    }
    if (status) {
        return status;
    }
    status = open_container(file);
    if (status == WP_E_IO || status == WP_E_NO_SPACE) {
        wp_diags_add(diags, status, file->part.is_stream ? "standard output" : config->path,
                     NOWHERE, "write to another place",
                     "takes no bytes (%s); expected a place for a sound file",
                     wp_status_text(status));
    }
    return status;
}

enum wp_status wp_sound_file_check(const struct wp_sound_file_config *config,
                                   struct wp_diags *diags)
{
    enum container container = CONTAINER_WAV;
    enum wp_status status = find_container(config, &container, diags);
    if (!status) {
        status = check_format(config, container, diags);
    }
    if (!status) {
        status = wp_part_file_check(config->path, config->is_overwriting, diags);
    }
    return status ? status
                  : wp_part_file_check_room(config->path, least_bytes(config, container),
                                            config->n_companions + 1, diags);
}

enum wp_status wp_sound_file_create(struct wp_sound_file **out,
                                    const struct wp_sound_file_config *config,
                                    struct wp_diags *diags)
{
    *out = NULL;
    enum container container = CONTAINER_WAV;
    enum wp_status status = find_container(config, &container, diags);
    if (!status) {
        status = check_format(config, container, diags);
    }
    if (status) {
        return status;
    }
    struct wp_sound_file *file = calloc(1, sizeof *file);
    if (!file) {
        return WP_E_NO_MEMORY;
    }
    file->part.descriptor = -1;
    file->container = container;
    status = open_file(file, config, diags);
    if (status) {
        wp_sound_file_destroy(file);
        return status;
    }
    *out = file;
    return WP_OK;
}

/* Samples beyond full scale keep their value and are counted all the same: they would not fit into
 * a file of whole numbers. */
static enum wp_status write_floats(struct wp_sound_file *file, const float *frames, size_t n_frames)
{
    for (size_t i = 0; i < n_frames * file->n_channels; i++) {
        const float sample = (float)((double)frames[i] * file->gain);
        file->block.samples[i] = sample;
        file->quantiser.n_clipped += !(fabsf(sample) <= 1.0f);
    }
    return wp_wav_stream_write_floats(&file->wav, file->block.samples, n_frames);
}

static enum wp_status write_block(struct wp_sound_file *file, const float *frames, size_t n_frames)
{
    if (file->format == WP_FLOAT_32) {
        return write_floats(file, frames, n_frames);
    }
    wp_quantiser_apply(&file->quantiser, frames, file->block.numbers, n_frames * file->n_channels);
    return file->flac ? write_flac(file, n_frames)
                      : wp_wav_stream_write_numbers(&file->wav, file->block.numbers, n_frames);
}

enum wp_status wp_sound_file_write(struct wp_sound_file *file, const float *frames, size_t n_frames)
{
    assert(!file->is_closed && n_frames <= file->n_announced - file->n_frames);
    const size_t n_block = WP_WAV_SAMPLES_MAX / file->n_channels;
    enum wp_status status = wp_part_file_status(&file->part);
    while (!status && n_frames > 0) {
        const size_t n_now = n_frames < n_block ? n_frames : n_block;
        status = write_block(file, frames, n_now);
        file->n_frames += status ? 0 : n_now;
        frames += n_now * file->n_channels;
        n_frames -= n_now;
    }
    return !status && file->part.is_stream ? wp_wav_stream_flush(&file->wav) : status;
}

/* Makes what is there playable, whole or not. */
static enum wp_status close_container(struct wp_sound_file *file)
{
    file->is_closed = true;
    return file->container == CONTAINER_FLAC ? close_flac(file) : wp_wav_stream_close(&file->wav);
}

enum wp_status wp_sound_file_complete(struct wp_sound_file *file)
{
    assert(!file->is_closed);
    assert(!file->part.is_stream || file->n_frames == file->n_announced);
    const enum wp_status status = close_container(file);
    return status ? status : wp_part_file_settle(&file->part);
}

enum wp_status wp_sound_file_commit(struct wp_sound_file *file)
{
    enum wp_status status =
        file->is_closed ? wp_part_file_status(&file->part) : wp_sound_file_complete(file);
    if (!status) {
        status = wp_part_file_commit(&file->part);
    }
    file->is_committed = status == WP_OK;
    return status;
}

uint64_t wp_sound_file_clipped(const struct wp_sound_file *file)
{
    return file->quantiser.n_clipped;
}

void wp_sound_file_destroy(struct wp_sound_file *file)
{
    if (!file) {
        return;
    }
    const bool is_open = file->flac || file->wav.header_bytes;
    if (is_open && !file->is_closed && !file->part.is_stream) {
        close_container(file);
    }
    const uint64_t n_kept = file->container == CONTAINER_FLAC ? file->n_frames : file->wav.n_frames;
    wp_part_file_finish(&file->part, file->is_committed || n_kept > 0);
    wp_wav_stream_finish(&file->wav);
    for (size_t i = 0; i < sizeof file->tags / sizeof *file->tags; i++) {
        free(file->tags[i]);
    }
    free(file);
}
