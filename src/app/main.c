/* SPDX-License-Identifier: MIT */
/* The program windpeal: runs one command and turns its outcome into an exit code. */
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "app/command.h"
#include "app/help.h"
#include "app/report.h"
#include "app/text_file.h"

static enum wp_status run_command(struct app_session *session)
{
    switch (session->arguments.command) {
    case APP_RENDER:
        return app_render_run(session);
    case APP_TUBES:
        return app_tubes_run(session);
    case APP_WIND:
        return app_wind_run(session);
    case APP_STRIKES:
        return app_strikes_run(session);
    case APP_PLAY:
        return app_play_run(session);
    case APP_DEVICES:
        return app_devices_run(session);
    default:
        return WP_E_NOT_BUILT;
    }
}

/* Answers to words that are no command; true when one was answered. */
static bool answer_general(const char *word)
{
    if (strcmp(word, "--version") == 0) {
        puts("windpeal " WINDPEAL_VERSION);
        return true;
    }
    if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0 || strcmp(word, "help") == 0) {
        app_help_print(stdout);
        return true;
    }
    return false;
}

static enum wp_status run(struct app_session *session, int argc, char **argv)
{
    if (answer_general(argv[1])) {
        return WP_OK;
    }
    const enum wp_status status =
        app_arguments_parse(&session->arguments, argc, argv, &session->diags);
    if (status) {
        return status;
    }
    if (session->arguments.is_given[APP_HELP]) {
        app_help_print_command(stdout, session->arguments.command);
        return WP_OK;
    }
    if (app_is_stdout(session->arguments.text[APP_OUTPUT]) &&
        session->arguments.is_given[APP_JSON]) {
        return app_refuse(&session->diags, WP_E_CONFLICT, "give -o a file name",
                          "-o - and --json both write to standard output");
    }
    return run_command(session);
}

/* The next file that is opened would take the place of a standard one that is closed, and what is
 * said there would be written into it. What stands in refuses what is asked of it. */
static void occupy_standard_files(void)
{
    for (int fd = STDIN_FILENO; fd <= STDERR_FILENO; fd++) {
        if (fcntl(fd, F_GETFD) < 0) {
            open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY);
        }
    }
}

int main(int argc, char **argv)
{
    occupy_standard_files();
    if (argc < 2) {
        app_help_print_short(stderr);
        return 2;
    }
    struct app_session session = {.signal_number = 0};
    wp_diags_init(&session.diags);
    /* A file that grows past the limit of the shell shall be an error of the write. */
    signal(SIGXFSZ, SIG_IGN);
    const bool is_json = app_arguments_want_json(argc, argv);
    enum wp_status status = run(&session, argc, argv);
    if (!status) {
        app_report_warnings(&session.diags);
        errno = 0;
        if (fflush(stdout) != 0 || ferror(stdout)) {
            status = app_refuse_errno(&session.diags, "standard output", "write the report",
                                      errno ? errno : EIO);
        }
    }
    return status ? app_report_failure(&session.diags, status, session.signal_number, is_json)
                  : EXIT_SUCCESS;
}
