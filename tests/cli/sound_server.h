/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_TESTS_CLI_SOUND_SERVER_H
#define WINDPEAL_TESTS_CLI_SOUND_SERVER_H

#include <stdbool.h>
#include <sys/types.h>

/*
 * A JACK server of our own with the dummy driver: real-time paced, no hardware, what is played
 * comes back at its monitor ports. Its name is that of this test process, which is also put into
 * JACK_DEFAULT_SERVER for everything that is started.
 */

struct sound_server {
    pid_t pid;
};

/* Whether jackd, jack_lsp and jack_rec are installed. */
bool sound_server_is_installed(void);

/* Starts the server and waits until it answers; fails the running test when it does not. */
void sound_server_start(struct sound_server *server, const char *rate_hz);

/* Ends the server, as a crash does with is_killed. */
void sound_server_stop(struct sound_server *server, bool is_killed);

/* How often the server could not keep its own time, so that its recording is not whole. */
int sound_server_count_late(void);

/* Records both monitor ports into a WAV file of 24 bits; wait for it with program_wait. */
pid_t sound_server_record(const char *path, const char *seconds);

/* The program's loudspeakers are those of a server that does not run, and no sound card's. */
void sound_server_have_none(void);

#endif
