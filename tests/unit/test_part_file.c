/* SPDX-License-Identifier: MIT */
/* Files that get their name when they are whole: what is in the way, what is left behind. */
#include "output/part_file.h"

#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>

#include <cmocka.h>

#include "scratch_folder.h"

static void assert_file_holds(void *const *state, const char *name, const char *want)
{
    size_t size = 0;
    char *bytes = scratch_read(state, name, &size);
    assert_non_null(bytes);
    assert_int_equal(size, strlen(want));
    assert_memory_equal(bytes, want, size);
    free(bytes);
}

/* What opening PATH says; the finding must be of the same status and say something. */
static enum wp_status refusal(const char *path, bool is_overwriting)
{
    struct wp_diags diags;
    struct wp_part_file file;
    wp_diags_init(&diags);
    const enum wp_status status = wp_part_file_init(&file, path, is_overwriting, &diags);
    if (status) {
        assert_int_equal(diags.n_errors, 1);
        assert_int_equal(diags.items[0].status, status);
        assert_string_equal(diags.items[0].file, path);
        assert_string_not_equal(diags.items[0].message, "");
        assert_string_not_equal(diags.items[0].hint, "");
    }
    wp_part_file_finish(&file, false);
    return status;
}

static void the_name_appears_when_the_file_is_whole(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_part_file file;
    assert_int_equal(wp_part_file_init(&file, scratch_path(state, "a.wav", path), false, NULL), 0);
    assert_int_equal(wp_part_file_append(&file, "xxxdef", 6), WP_OK);
    assert_int_equal(wp_part_file_write_at(&file, 0, "abc", 3), WP_OK);
    assert_int_equal(wp_part_file_append(&file, "ghi", 3), WP_OK);
    assert_false(scratch_has(state, "a.wav"));
    assert_file_holds(state, "a.wav.part", "abcdefghi");
    assert_int_equal(wp_part_file_commit(&file), WP_OK);
    wp_part_file_finish(&file, true);
    assert_false(scratch_has(state, "a.wav.part"));
    assert_file_holds(state, "a.wav", "abcdefghi");
}

static void an_unfinished_part_stays_or_goes_as_asked(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_part_file file;
    assert_int_equal(wp_part_file_init(&file, scratch_path(state, "a.wav", path), false, NULL), 0);
    wp_part_file_append(&file, "kept", 4);
    wp_part_file_finish(&file, true);
    assert_file_holds(state, "a.wav.part", "kept");
    assert_int_equal(wp_part_file_init(&file, path, false, NULL), WP_OK);
    wp_part_file_finish(&file, false);
    assert_false(scratch_has(state, "a.wav.part"));
    assert_false(scratch_has(state, "a.wav"));
}

static void a_part_of_an_earlier_run_is_written_over(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_part_file file;
    scratch_write(state, "a.wav.part", "a long rest of an interrupted run");
    assert_int_equal(wp_part_file_init(&file, scratch_path(state, "a.wav", path), false, NULL), 0);
    wp_part_file_append(&file, "new", 3);
    assert_int_equal(wp_part_file_commit(&file), WP_OK);
    wp_part_file_finish(&file, true);
    assert_file_holds(state, "a.wav", "new");
}

static void an_existing_file_is_replaced_only_when_asked(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_part_file file;
    scratch_write(state, "a.wav", "old");
    assert_int_equal(refusal(scratch_path(state, "a.wav", path), false), WP_E_EXISTS);
    assert_false(scratch_has(state, "a.wav.part"));
    assert_int_equal(wp_part_file_init(&file, path, true, NULL), WP_OK);
    wp_part_file_append(&file, "new", 3);
    assert_file_holds(state, "a.wav", "old");
    assert_int_equal(wp_part_file_commit(&file), WP_OK);
    wp_part_file_finish(&file, true);
    assert_file_holds(state, "a.wav", "new");
}

static void a_name_taken_in_the_meantime_is_not_replaced(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_part_file file;
    assert_int_equal(wp_part_file_init(&file, scratch_path(state, "a.wav", path), false, NULL), 0);
    wp_part_file_append(&file, "mine", 4);
    scratch_write(state, "a.wav", "theirs");
    assert_int_equal(wp_part_file_commit(&file), WP_E_EXISTS);
    wp_part_file_finish(&file, true);
    assert_file_holds(state, "a.wav", "theirs");
    assert_file_holds(state, "a.wav.part", "mine");
}

static void two_cannot_write_one_file(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_part_file file;
    assert_int_equal(wp_part_file_init(&file, scratch_path(state, "a.wav", path), false, NULL), 0);
    wp_part_file_append(&file, "first", 5);
    assert_int_equal(refusal(path, true), WP_E_EXISTS);
    assert_file_holds(state, "a.wav.part", "first");
    assert_int_equal(wp_part_file_commit(&file), WP_OK);
    wp_part_file_finish(&file, true);
}

static void folders_and_pipes_are_never_replaced(void **state)
{
    char path[SCRATCH_PATH_MAX];
    assert_int_equal(mkdir(scratch_path(state, "folder.wav", path), 0700), 0);
    assert_int_equal(refusal(path, true), WP_E_EXISTS);
    assert_int_equal(mkfifo(scratch_path(state, "pipe.wav", path), 0600), 0);
    assert_int_equal(refusal(path, true), WP_E_EXISTS);
}

static void a_missing_folder_is_named(void **state)
{
    char path[SCRATCH_PATH_MAX];
    assert_int_equal(refusal(scratch_path(state, "nowhere/a.wav", path), false), WP_E_IO);
    scratch_write(state, "file", "no folder");
    assert_int_equal(refusal(scratch_path(state, "file/a.wav", path), false), WP_E_IO);
}

/* /proc takes no files from anyone, not even from root, for whom permissions do not count. */
static void an_unwritable_folder_is_refused(void **state)
{
    char path[SCRATCH_PATH_MAX];
    if (access("/proc/self", F_OK) == 0) {
        assert_int_equal(refusal("/proc/a.wav", false), WP_E_IO);
    }
    if (geteuid() != 0) {
        assert_int_equal(mkdir(scratch_path(state, "locked", path), 0500), 0);
        assert_int_equal(refusal(scratch_path(state, "locked/a.wav", path), false), WP_E_IO);
    }
}

static void a_disk_too_small_is_found_beforehand(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_part_file file;
    struct wp_diags diags;
    wp_diags_init(&diags);
    assert_int_equal(wp_part_file_init(&file, scratch_path(state, "a.wav", path), false, NULL), 0);
    assert_int_equal(wp_part_file_reserve(&file, 1, 1, &diags), WP_OK);
    assert_int_equal(wp_part_file_reserve(&file, UINT64_C(1) << 60, 1, &diags), WP_E_NO_SPACE);
    assert_int_equal(diags.n_errors, 1);
    assert_non_null(strstr(diags.items[0].message, "1152921504.6 GB")); /* 2^60 bytes */
    wp_part_file_finish(&file, false);
}

static void room_is_found_without_opening(void **state)
{
    char path[SCRATCH_PATH_MAX];
    struct wp_diags diags;
    wp_diags_init(&diags);
    const char *name = scratch_path(state, "a.wav", path);
    assert_int_equal(wp_part_file_check_room(name, 1, 1, &diags), WP_OK);
    assert_int_equal(wp_part_file_check_room(name, UINT64_C(1) << 60, 1, &diags), WP_E_NO_SPACE);
    assert_int_equal(wp_part_file_check_room(name, 1, UINT64_C(1) << 60, &diags), WP_E_NO_SPACE);
    assert_int_equal(wp_part_file_check_room("-", UINT64_C(1) << 60, 1, &diags), WP_OK);
    assert_int_equal(diags.n_errors, 2);
    assert_false(scratch_has(state, "a.wav.part"));
}

/* A size limit stands in for a full disk; the signal is the program's to ignore. */
static void a_disk_that_fills_up_is_reported_once_and_for_all(void **state)
{
    char path[SCRATCH_PATH_MAX];
    char block[4096] = {0};
    struct rlimit old;
    struct wp_part_file file;
    assert_int_equal(wp_part_file_init(&file, scratch_path(state, "a.wav", path), false, NULL), 0);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &old), 0);
    void (*old_handler)(int) = signal(SIGXFSZ, SIG_IGN);
    const struct rlimit small = {.rlim_cur = 10000, .rlim_max = old.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &small), 0);
    enum wp_status statuses[4];
    for (size_t i = 0; i < 4; i++) {
        statuses[i] = wp_part_file_append(&file, block, sizeof block);
    }
    const enum wp_status early = wp_part_file_reserve(&file, 10001, 1, NULL);
    setrlimit(RLIMIT_FSIZE, &old);
    signal(SIGXFSZ, old_handler);
    assert_int_equal(statuses[0], WP_OK);
    assert_int_equal(statuses[1], WP_OK);
    assert_int_equal(statuses[2], WP_E_NO_SPACE);
    assert_int_equal(statuses[3], WP_E_NO_SPACE);
    assert_int_equal(early, WP_E_NO_SPACE);
    assert_int_equal(wp_part_file_append(&file, block, 1), WP_E_NO_SPACE);
    assert_int_equal(wp_part_file_commit(&file), WP_E_NO_SPACE);
    assert_false(scratch_has(state, "a.wav"));
    wp_part_file_finish(&file, true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(the_name_appears_when_the_file_is_whole, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(an_unfinished_part_stays_or_goes_as_asked, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(a_part_of_an_earlier_run_is_written_over, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(an_existing_file_is_replaced_only_when_asked,
                                        scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(a_name_taken_in_the_meantime_is_not_replaced,
                                        scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(two_cannot_write_one_file, scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(folders_and_pipes_are_never_replaced, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(a_missing_folder_is_named, scratch_create, scratch_remove),
        cmocka_unit_test_setup_teardown(an_unwritable_folder_is_refused, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(a_disk_too_small_is_found_beforehand, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(room_is_found_without_opening, scratch_create,
                                        scratch_remove),
        cmocka_unit_test_setup_teardown(a_disk_that_fills_up_is_reported_once_and_for_all,
                                        scratch_create, scratch_remove),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
