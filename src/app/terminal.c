/* SPDX-License-Identifier: MIT */
/* Reads keys from the terminal and leaves it as it was. */
#include "app/terminal.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <unistd.h>

/* One key at a time, unseen; Ctrl-C and Ctrl-Z stay signals. */
static void take_over(const struct app_terminal *terminal)
{
    struct termios keys = terminal->before;
    keys.c_lflag &= ~(tcflag_t)(ICANON | ECHO);
    keys.c_cc[VMIN] = 0;
    keys.c_cc[VTIME] = 0;
    tcsetattr(terminal->fd, TCSADRAIN, &keys);
}

/* Waits until the other end is closed; a byte before that means that all is well. */
static _Noreturn void be_guard(const struct app_terminal *terminal, int leash_fd)
{
    static const int signals[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGTTOU, SIGTSTP, SIGPIPE};
    char byte;
    ssize_t n_read;
    for (size_t i = 0; i < sizeof signals / sizeof signals[0]; i++) {
        signal(signals[i], SIG_IGN);
    }
    do {
        n_read = read(leash_fd, &byte, 1);
    } while (n_read < 0 && errno == EINTR);
    if (n_read == 0) {
        tcsetattr(terminal->fd, TCSADRAIN, &terminal->before);
    }
    _exit(0);
}

static void start_guard(struct app_terminal *terminal)
{
    int fds[2];
    if (pipe(fds) != 0) {
        return;
    }
    fcntl(fds[1], F_SETFD, FD_CLOEXEC);
    const pid_t pid = fork();
    if (pid == 0) {
        close(fds[1]);
        be_guard(terminal, fds[0]);
    }
    close(fds[0]);
    if (pid < 0) {
        close(fds[1]);
        return;
    }
    terminal->guard = pid;
    terminal->leash_fd = fds[1];
}

void app_terminal_init(struct app_terminal *terminal)
{
    *terminal = (struct app_terminal){.fd = -1, .leash_fd = -1};
    const int fd = open("/dev/tty", O_RDWR | O_CLOEXEC | O_NOCTTY);
    if (fd < 0) {
        return;
    }
    if (tcgetpgrp(fd) != getpgrp() || tcgetattr(fd, &terminal->before) != 0) {
        close(fd);
        return;
    }
    terminal->fd = fd;
    start_guard(terminal);
    take_over(terminal);
}

void app_terminal_finish(struct app_terminal *terminal)
{
    if (terminal->fd >= 0) {
        tcsetattr(terminal->fd, TCSADRAIN, &terminal->before);
        close(terminal->fd);
    }
    if (terminal->guard > 0) {
        const ssize_t n_written = write(terminal->leash_fd, "k", 1);
        (void)n_written; /* a guard that is gone needs no word */
        close(terminal->leash_fd);
        waitpid(terminal->guard, NULL, 0);
    }
    *terminal = (struct app_terminal){.fd = -1, .leash_fd = -1};
}

char app_terminal_key(const struct app_terminal *terminal)
{
    char key = '\0';
    if (terminal->fd < 0 || tcgetpgrp(terminal->fd) != getpgrp() ||
        read(terminal->fd, &key, 1) != 1) {
        return '\0';
    }
    return key;
}

void app_terminal_stop(struct app_terminal *terminal)
{
    if (terminal->fd >= 0) {
        tcsetattr(terminal->fd, TCSADRAIN, &terminal->before);
    }
    kill(getpid(), SIGSTOP);
    if (terminal->fd >= 0 && tcgetpgrp(terminal->fd) == getpgrp()) {
        take_over(terminal);
    }
}

size_t app_terminal_width(int fd)
{
    struct winsize size;
    if (!isatty(fd)) {
        return 0;
    }
    return ioctl(fd, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : 80;
}
