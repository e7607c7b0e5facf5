/* SPDX-License-Identifier: MIT */
/* Starts, hears and ends a process that may hang. */
#include "output/ward.h"

#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#ifdef __linux__
#include <sys/prctl.h>
#endif

bool wp_ward_is_orphan(pid_t parent)
{
    return getppid() != parent;
}

/* The terminal's signals go to every process in the foreground; ours decides when a ward ends. */
static void turn_deaf(void)
{
    static const int signals[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGPIPE};
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) {
        signal(signals[i], SIG_IGN);
    }
}

static _Noreturn void be_ward(pid_t parent, int noise_fd, wp_ward_work *work, void *task)
{
#ifdef __linux__
    prctl(PR_SET_PDEATHSIG, SIGKILL);
#endif
    turn_deaf();
    /* Without a standard error of ours the pipe may have taken its place. */
    if (noise_fd != STDERR_FILENO) {
        dup2(noise_fd, STDERR_FILENO);
        close(noise_fd);
    }
    if (!wp_ward_is_orphan(parent)) {
        work(task);
    }
    _exit(0);
}

/* Nobody may ever wait on the pipe: noise that finds no room is lost. */
static bool open_pipe(int fds[2])
{
    if (pipe(fds) != 0) {
        return false;
    }
    for (int i = 0; i < 2; i++) {
        fcntl(fds[i], F_SETFL, fcntl(fds[i], F_GETFL) | O_NONBLOCK);
        fcntl(fds[i], F_SETFD, FD_CLOEXEC);
    }
    return true;
}

enum wp_status wp_ward_start(struct wp_ward *ward, wp_ward_work *work, void *task)
{
    int fds[2];
    const pid_t parent = getpid();
    *ward = (struct wp_ward){.pid = 0, .noise_fd = -1};
    if (!open_pipe(fds)) {
        return WP_E_DEVICE;
    }
    const pid_t pid = fork();
    if (pid == 0) {
        close(fds[0]);
        be_ward(parent, fds[1], work, task);
    }
    close(fds[1]);
    if (pid < 0) {
        close(fds[0]);
        return WP_E_DEVICE;
    }
    *ward = (struct wp_ward){.pid = pid, .noise_fd = fds[0]};
    return WP_OK;
}

bool wp_ward_is_alive(struct wp_ward *ward)
{
    int status = 0;
    if (ward->pid > 0 && waitpid(ward->pid, &status, WNOHANG) != 0) {
        ward->pid = 0;
        ward->has_failed = !WIFEXITED(status);
    }
    return ward->pid > 0;
}

bool wp_ward_await(struct wp_ward *ward, int most_ms)
{
    enum { TICK_MS = 5 };
    static const struct timespec tick = {0, TICK_MS * 1000000};
    for (int waited_ms = 0; wp_ward_is_alive(ward) && waited_ms < most_ms; waited_ms += TICK_MS) {
        nanosleep(&tick, NULL);
    }
    return !wp_ward_is_alive(ward);
}

size_t wp_ward_listen(struct wp_ward *ward, char *text, size_t text_size)
{
    if (ward->noise_fd < 0) {
        return 0;
    }
    const ssize_t n_read = read(ward->noise_fd, text, text_size);
    return n_read > 0 ? (size_t)n_read : 0;
}

void wp_ward_end(struct wp_ward *ward)
{
    if (ward->pid > 0) {
        kill(ward->pid, SIGKILL);
        waitpid(ward->pid, NULL, 0);
    }
    if (ward->noise_fd >= 0) {
        close(ward->noise_fd);
    }
    *ward = (struct wp_ward){.pid = 0, .noise_fd = -1};
}
