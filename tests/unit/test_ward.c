/* SPDX-License-Identifier: MIT */
/* Claims about processes that may hang, crash and talk. */
#include "output/ward.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

enum { PATIENCE_MS = 5000 };

static void hang(void *task)
{
    (void)task;
    for (;;) {
        pause();
    }
}

static void crash(void *task)
{
    (void)task;
    raise(SIGKILL);
}

/* Far more than a pipe holds: nobody may wait for its reader. */
static void talk(void *task)
{
    const size_t n_bytes = *(const size_t *)task;
    for (size_t i = 0; i < n_bytes; i++) {
        const ssize_t n = write(STDERR_FILENO, "x", 1);
        (void)n;
    }
}

static void ignore_and_finish(void *task)
{
    (void)task;
    raise(SIGINT);
    raise(SIGTERM);
    raise(SIGHUP);
}

static void a_ward_that_hangs_is_ended(void **state)
{
    (void)state;
    struct wp_ward ward;
    assert_int_equal(wp_ward_start(&ward, hang, NULL), WP_OK);
    assert_true(wp_ward_is_alive(&ward));
    assert_false(wp_ward_await(&ward, 20));
    wp_ward_end(&ward);
    assert_false(wp_ward_is_alive(&ward));
    wp_ward_end(&ward);
}

static void a_crash_is_told_from_an_end(void **state)
{
    (void)state;
    struct wp_ward ward;
    assert_int_equal(wp_ward_start(&ward, crash, NULL), WP_OK);
    assert_true(wp_ward_await(&ward, PATIENCE_MS));
    assert_true(ward.has_failed);
    wp_ward_end(&ward);
    assert_int_equal(wp_ward_start(&ward, ignore_and_finish, NULL), WP_OK);
    assert_true(wp_ward_await(&ward, PATIENCE_MS));
    assert_false(ward.has_failed);
    wp_ward_end(&ward);
}

static void what_it_says_is_heard_and_holds_up_nobody(void **state)
{
    (void)state;
    struct wp_ward ward;
    char text[100];
    size_t little = 3;
    size_t much = 200000;
    assert_int_equal(wp_ward_start(&ward, talk, &little), WP_OK);
    assert_true(wp_ward_await(&ward, PATIENCE_MS));
    assert_int_equal(wp_ward_listen(&ward, text, sizeof text), 3);
    assert_memory_equal(text, "xxx", 3);
    assert_int_equal(wp_ward_listen(&ward, text, sizeof text), 0);
    wp_ward_end(&ward);
    assert_int_equal(wp_ward_start(&ward, talk, &much), WP_OK);
    assert_true(wp_ward_await(&ward, PATIENCE_MS));
    assert_int_equal(wp_ward_listen(&ward, text, sizeof text), sizeof text);
    wp_ward_end(&ward);
}

/* Opens a file and talks, as a library does. */
static void open_and_talk(void *task)
{
    const int fd = open(task, O_WRONLY);
    const ssize_t n = write(STDERR_FILENO, "x", 1);
    (void)n;
    close(fd);
}

/* The pipe then gets the numbers 0 and 2 itself. */
static void without_a_standard_error_nothing_is_written_elsewhere(void **state)
{
    (void)state;
    char path[] = "/tmp/windpeal-ward-XXXXXX";
    char text[100];
    struct wp_ward ward;
    const int file = mkstemp(path);
    const int in = fcntl(STDIN_FILENO, F_DUPFD, 10);
    const int err = fcntl(STDERR_FILENO, F_DUPFD, 10);
    assert_true(file >= 0 && in >= 0 && err >= 0);
    close(STDIN_FILENO);
    close(STDERR_FILENO);
    const enum wp_status status = wp_ward_start(&ward, open_and_talk, path);
    const bool has_ended = wp_ward_await(&ward, PATIENCE_MS);
    const size_t n_heard = wp_ward_listen(&ward, text, sizeof text);
    wp_ward_end(&ward);
    dup2(in, STDIN_FILENO);
    dup2(err, STDERR_FILENO);
    close(in);
    close(err);
    assert_int_equal(status, WP_OK);
    assert_true(has_ended);
    assert_int_equal(n_heard, 1);
    assert_int_equal(lseek(file, 0, SEEK_END), 0);
    close(file);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_ward_that_hangs_is_ended),
        cmocka_unit_test(a_crash_is_told_from_an_end),
        cmocka_unit_test(what_it_says_is_heard_and_holds_up_nobody),
        cmocka_unit_test(without_a_standard_error_nothing_is_written_elsewhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
