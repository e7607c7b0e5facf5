/* SPDX-License-Identifier: MIT */
/* The sound system: looks for devices and plays on one. The only user of PortAudio. */
#include "output/loudspeaker.h"

#include <portaudio.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "output/ward.h"

/* Otherwise JACK's library starts a server of its own where none runs. */
static void start_no_server(void)
{
    setenv("JACK_NO_START_SERVER", "1", 1);
}

static const char *system_name(const PaDeviceInfo *device)
{
    const PaHostApiInfo *api = Pa_GetHostApiInfo(device->hostApi);
    return api->type == paJACK ? "JACK" : api->name;
}

static void describe(PaDeviceIndex index, struct wp_loudspeaker_info *info)
{
    const PaDeviceInfo *device = Pa_GetDeviceInfo(index);
    *info = (struct wp_loudspeaker_info){
        .n_channels = device->maxOutputChannels,
        .rate_hz = device->defaultSampleRate,
        .is_default = index == Pa_GetDefaultOutputDevice(),
    };
    snprintf(info->name, sizeof info->name, "%.140s (%.16s)", device->name, system_name(device));
}

/* Loudspeakers among the devices; indices[i] is the device of items[i]. */
static void look(struct wp_loudspeakers *list, PaDeviceIndex *indices)
{
    list->n_items = 0;
    for (PaDeviceIndex i = 0; i < Pa_GetDeviceCount() && list->n_items < WP_LOUDSPEAKERS_MAX; i++) {
        if (Pa_GetDeviceInfo(i)->maxOutputChannels > 0) {
            describe(i, &list->items[list->n_items]);
            indices[list->n_items++] = i;
        }
    }
}

void wp_sound_system_look(void *task)
{
    struct wp_ring *ring = task;
    struct wp_loudspeakers list;
    PaDeviceIndex indices[WP_LOUDSPEAKERS_MAX];
    start_no_server();
    if (Pa_Initialize() == paNoError) {
        look(&list, indices);
        wp_ring_write(ring, list.items, list.n_items);
        Pa_Terminate(); /* a server waits for clients that are gone without a word */
    }
}

static int on_frames_wanted(const void *input, void *output, unsigned long n_frames,
                            const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags,
                            void *feeder) WP_REALTIME;

static int on_frames_wanted(const void *input, void *output, unsigned long n_frames,
                            const PaStreamCallbackTimeInfo *time, PaStreamCallbackFlags flags,
                            void *feeder)
{
    (void)input;
    (void)time;
    (void)flags;
    wp_feeder_fill(feeder, output, n_frames);
    return paContinue;
}

/* The error in words that a user can act on. */
static void explain(PaError error, struct wp_opening *opening)
{
    const char *text = Pa_GetErrorText(error);
    if (error == paDeviceUnavailable) {
        text = "another program holds it";
    } else if (error == paInvalidSampleRate) {
        text = "it takes none of the usual rates";
    } else if (error == paUnanticipatedHostError && Pa_GetLastHostErrorInfo()) {
        text = Pa_GetLastHostErrorInfo()->errorText;
    }
    snprintf(opening->reason, sizeof opening->reason, "%s", text);
}

/* Opens at the wanted rate, the device's own or a usual one, in this order. */
static PaError open_at_some_rate(PaStream **stream, const PaStreamParameters *parameters,
                                 struct wp_feeder *feeder, int wanted_hz, int *rate_hz)
{
    const int own_hz = (int)Pa_GetDeviceInfo(parameters->device)->defaultSampleRate;
    const int rates_hz[] = {wanted_hz, own_hz, 48000, 44100, 96000, 88200, 32000, 192000};
    PaError error = paInvalidSampleRate;
    for (size_t i = 0; i < sizeof rates_hz / sizeof rates_hz[0]; i++) {
        const int rate = rates_hz[i];
        if (rate < WP_LOUDSPEAKER_RATE_MIN || rate > WP_LOUDSPEAKER_RATE_MAX) {
            continue;
        }
        error = Pa_OpenStream(stream, NULL, parameters, rate, paFramesPerBufferUnspecified,
                              paNoFlag, on_frames_wanted, feeder);
        *rate_hz = rate;
        if (error != paInvalidSampleRate) {
            break;
        }
    }
    return error;
}

/* The device's buffer gets a part of the latency, the ring the rest. */
static double device_latency_s(double latency_s, const PaDeviceInfo *device)
{
    const double share_s = 0.25 * latency_s;
    return share_s > device->defaultLowOutputLatency ? share_s : device->defaultLowOutputLatency;
}

static bool open_stream(const struct wp_sound_system_task *task, PaDeviceIndex index,
                        struct wp_feeder *feeder, PaStream **stream, struct wp_opening *opening)
{
    const PaDeviceInfo *device = Pa_GetDeviceInfo(index);
    const int n_channels = task->config.n_channels;
    if (device->maxOutputChannels < n_channels) {
        snprintf(opening->reason, sizeof opening->reason, "it has %d channels; %d are wanted",
                 device->maxOutputChannels, n_channels);
        return false;
    }
    const PaStreamParameters parameters = {
        .device = index,
        .channelCount = n_channels,
        .sampleFormat = paFloat32,
        .suggestedLatency = device_latency_s(task->config.latency_s, device),
    };
    PaError error = open_at_some_rate(stream, &parameters, feeder, task->config.wanted_rate_hz,
                                      &opening->rate_hz);
    if (error == paNoError) {
        wp_ring_skip(task->frames); /* from before: too late now */
        error = Pa_StartStream(*stream);
    }
    if (error != paNoError) {
        explain(error, opening);
    }
    return error == paNoError;
}

static bool open_device(const struct wp_sound_system_task *task, struct wp_feeder *feeder,
                        PaStream **stream, struct wp_opening *opening)
{
    struct wp_loudspeakers list;
    PaDeviceIndex indices[WP_LOUDSPEAKERS_MAX];
    size_t found = 0;
    start_no_server();
    const PaError error = Pa_Initialize();
    if (error != paNoError) {
        explain(error, opening);
        return false;
    }
    look(&list, indices);
    if (wp_loudspeakers_find(&list, task->config.device, &found, NULL)) {
        snprintf(opening->reason, sizeof opening->reason,
                 list.n_items ? "it is not among the loudspeakers now" : "there is no loudspeaker");
        return false;
    }
    snprintf(opening->device, sizeof opening->device, "%s", list.items[found].name);
    return open_stream(task, indices[found], feeder, stream, opening);
}

void wp_sound_system_play(void *argument)
{
    static const struct timespec a_while = {0, 50000000};
    const struct wp_sound_system_task *task = argument;
    const pid_t parent = getppid();
    struct wp_feeder feeder = {.ring = task->frames,
                               .shared = task->shared,
                               .n_channels = (size_t)task->config.n_channels};
    struct wp_opening opening = {.is_open = false};
    PaStream *stream = NULL;
    opening.is_open = open_device(task, &feeder, &stream, &opening);
    wp_ring_write(task->openings, &opening, 1);
    while (opening.is_open && !atomic_load(&task->shared->is_over) && !wp_ward_is_orphan(parent)) {
        nanosleep(&a_while, NULL);
    }
    if (opening.is_open) {
        Pa_AbortStream(stream);
        Pa_CloseStream(stream);
    }
    Pa_Terminate();
}
