/* SPDX-License-Identifier: MIT */
/* Starts, kills and records a sound server without hardware. */
#include "sound_server.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#ifdef __linux__
#include <sys/prctl.h>
#endif

#include <cmocka.h>

#include "program.h"
#include "watching.h"

enum { WORDS_MAX = 32 };

static const char log_path[] = "jackd.log";

static void name_server(char name[32])
{
    snprintf(name, 32, "windpeal-%d", (int)getpid());
    setenv("JACK_DEFAULT_SERVER", name, 1);
    setenv("JACK_NO_START_SERVER", "1", 1);
    setenv("JACK_NO_AUDIO_RESERVATION", "1", 1);
}

/* Starts a program found by PATH; what it prints goes to a file. */
static pid_t start(const char *const words[], const char *log)
{
    char *argv[WORDS_MAX + 1] = {NULL};
    for (size_t i = 0; words[i]; i++) {
        assert_true(i < WORDS_MAX);
        argv[i] = (char *)(uintptr_t)words[i]; /* execvp does not write to them */
    }
    const pid_t pid = fork();
    if (pid == 0) {
#ifdef __linux__
        prctl(PR_SET_PDEATHSIG, SIGKILL); /* a test that is killed leaves no server behind */
#endif
        const int out = open(log, O_WRONLY | O_CREAT | O_APPEND, 0600);
        dup2(open("/dev/null", O_RDONLY), STDIN_FILENO);
        dup2(out, STDOUT_FILENO);
        dup2(out, STDERR_FILENO);
        execvp(argv[0], argv);
        _exit(127);
    }
    return pid;
}

static bool does_run(const char *const argv[])
{
    const pid_t pid = start(argv, "/dev/null");
    return pid > 0 && program_wait(pid) == 0;
}

bool sound_server_is_installed(void)
{
    static const char script[] = "command -v jackd && command -v jack_lsp && command -v jack_rec";
    const char *const argv[] = {"sh", "-c", script, NULL};
    return does_run(argv);
}

/* Synchronous (-S): a slow machine makes a cycle late, but loses no frame of it. */
void sound_server_start(struct sound_server *server, const char *rate_hz)
{
    char name[32];
    name_server(name);
    remove(log_path);
    const char *const argv[] = {"jackd", "-S",    "-r", "-t",    "5000", "-n",   name,
                                "-d",    "dummy", "-r", rate_hz, "-p",   "2048", "-C",
                                "0",     "-P",    "2",  "-m",    NULL};
    const char *const ask[] = {"jack_lsp", NULL};
    server->pid = start(argv, log_path);
    assert_true(server->pid > 0);
    for (int i = 0; i < 100; i++) {
        if (does_run(ask)) {
            return;
        }
        watching_nap(0.05);
    }
    fail_msg("the sound server does not answer");
}

void sound_server_stop(struct sound_server *server, bool is_killed)
{
    if (server->pid > 0) {
        kill(server->pid, is_killed ? SIGKILL : SIGTERM);
        program_wait(server->pid);
    }
    server->pid = 0;
}

int sound_server_count_late(void)
{
    int n = 0;
    char *text = program_read_file(log_path, NULL);
    for (const char *at = strstr(text, "XRun"); at; at = strstr(at + 1, "XRun")) {
        n++;
    }
    free(text);
    return n;
}

pid_t sound_server_record(const char *path, const char *seconds)
{
    const char *const argv[] = {
        "jack_rec",         "-f", path, "-d", seconds, "-b", "24", "system:monitor_1",
        "system:monitor_2", NULL};
    const char *const ask[] = {"sh", "-c", "jack_lsp | grep -q jackrec:", NULL};
    const pid_t pid = start(argv, "jack_rec.log");
    assert_true(pid > 0);
    for (int i = 0; i < 100 && !does_run(ask); i++) {
        watching_nap(0.05);
    }
    return pid;
}

void sound_server_have_none(void)
{
    char name[32];
    name_server(name);
}
