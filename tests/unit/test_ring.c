/* SPDX-License-Identifier: MIT */
/* Claims about the queue between one writer and one reader. */
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "windpeal/ring.h"

static void what_goes_in_comes_out_in_order(void **state)
{
    (void)state;
    struct wp_ring *ring;
    assert_int_equal(wp_ring_create(&ring, sizeof(int), 8), WP_OK);
    int next_in = 0;
    int next_out = 0;
    for (int round = 0; round < 50; round++) {
        int items[5];
        for (int i = 0; i < 5; i++) {
            items[i] = next_in++;
        }
        assert_int_equal(wp_ring_write(ring, items, 5), 5);
        assert_int_equal(wp_ring_count(ring), 5);
        assert_int_equal(wp_ring_read(ring, items, 2), 2);
        assert_int_equal(wp_ring_read(ring, items + 2, 99), 3);
        for (int i = 0; i < 5; i++) {
            assert_int_equal(items[i], next_out++);
        }
    }
    wp_ring_destroy(ring);
}

static void a_full_ring_takes_no_more(void **state)
{
    (void)state;
    struct wp_ring *ring;
    const int items[10] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9};
    int out[10];
    assert_int_equal(wp_ring_create(&ring, sizeof(int), 5), WP_OK); /* rounded up to 8 */
    assert_int_equal(wp_ring_write(ring, items, 10), 8);
    assert_int_equal(wp_ring_write(ring, items, 1), 0);
    assert_int_equal(wp_ring_read(ring, out, 10), 8);
    assert_int_equal(out[7], 7);
    assert_int_equal(wp_ring_read(ring, out, 10), 0);
    wp_ring_destroy(ring);
}

static void skipped_items_are_gone(void **state)
{
    (void)state;
    struct wp_ring *ring;
    const int items[4] = {1, 2, 3, 4};
    int out = 0;
    assert_int_equal(wp_ring_create(&ring, sizeof(int), 8), WP_OK);
    wp_ring_write(ring, items, 3);
    wp_ring_skip(ring);
    assert_int_equal(wp_ring_count(ring), 0);
    wp_ring_write(ring, items + 3, 1);
    assert_int_equal(wp_ring_read(ring, &out, 1), 1);
    assert_int_equal(out, 4);
    wp_ring_destroy(ring);
}

static void impossible_sizes_are_refused(void **state)
{
    (void)state;
    struct wp_ring *ring;
    assert_int_equal(wp_ring_create(&ring, 0, 8), WP_E_RANGE);
    assert_int_equal(wp_ring_create(&ring, 8, 0), WP_E_RANGE);
    assert_int_equal(wp_ring_create(&ring, 8, SIZE_MAX), WP_E_RANGE);
    assert_null(ring);
}

enum { PASSED = 200000, MOST_AT_ONCE = 7 };

/* Item n is n and n squared, so that a torn item shows. */
struct item {
    uint64_t n;
    uint64_t square;
};

static void *write_all(void *argument)
{
    struct wp_ring *ring = argument;
    for (uint64_t n = 0; n < PASSED;) {
        struct item items[MOST_AT_ONCE];
        const size_t wanted = (size_t)(n % MOST_AT_ONCE) + 1;
        for (size_t i = 0; i < wanted; i++) {
            items[i] = (struct item){n + i, (n + i) * (n + i)};
        }
        n += wp_ring_write(ring, items, wanted);
    }
    return NULL;
}

/* Reads until PASSED items have come; false when one is not as it was written. */
static bool read_all(struct wp_ring *ring)
{
    for (uint64_t n = 0; n < PASSED;) {
        struct item items[MOST_AT_ONCE];
        const size_t n_read = wp_ring_read(ring, items, MOST_AT_ONCE);
        for (size_t i = 0; i < n_read; i++, n++) {
            if (items[i].n != n || items[i].square != n * n) {
                return false;
            }
        }
    }
    return true;
}

/* The thread sanitizer watches this one in its own build. */
static void threads_pass_items_whole(void **state)
{
    (void)state;
    struct wp_ring *ring;
    pthread_t writer;
    assert_int_equal(wp_ring_create(&ring, sizeof(struct item), 64), WP_OK);
    assert_int_equal(pthread_create(&writer, NULL, write_all, ring), 0);
    assert_true(read_all(ring));
    pthread_join(writer, NULL);
    wp_ring_destroy(ring);
}

static void processes_pass_items_whole(void **state)
{
    (void)state;
    struct wp_ring *ring;
    assert_int_equal(wp_ring_create(&ring, sizeof(struct item), 64), WP_OK);
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        write_all(ring);
        _exit(0);
    }
    assert_true(read_all(ring));
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
    wp_ring_destroy(ring);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_goes_in_comes_out_in_order),
        cmocka_unit_test(a_full_ring_takes_no_more),
        cmocka_unit_test(skipped_items_are_gone),
        cmocka_unit_test(impossible_sizes_are_refused),
        cmocka_unit_test(threads_pass_items_whole),
        cmocka_unit_test(processes_pass_items_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
