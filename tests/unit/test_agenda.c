/* SPDX-License-Identifier: MIT */
/*
 * What the bank is told of strikes, rests and leaves, and when. What is heard is held against the
 * closed form, partial by partial in double: between moments exp(-sigma t) cis(2 pi f t), at a blow
 * the share that it keeps and what it adds, and while it touches a smooth way from one to the
 * other.
 */

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "../near.h"
#include "peal/agenda.h"

enum { RATE_HZ = 48000, N_PARTIALS = 3, N_VOICES = 2, N_OUTPUTS = 2, N_FRAMES = 4096 };

static const struct wp_bank_partial PARTIALS[N_PARTIALS] = {
    {61.0, 4.0}, {416.25, 2.0}, {3420.6, 0.4}};
static const double LOUD[N_PARTIALS] = {0.3, -0.2, 0.1};
static const double SOFT[N_PARTIALS] = {-0.1, 0.15, 0.05};
static const double AHEAD[N_PARTIALS] = {0.05, 0.1, -0.05};
static const double ALL[N_PARTIALS] = {1.0, 1.0, 1.0};
static const double SOME[N_PARTIALS] = {0.9, 0.5, 0.1};
static const double NONE[N_PARTIALS] = {0.0, 0.0, 0.0};
static const double ADDED[N_PARTIALS] = {20.0, 60.0, 400.0};

/* Voices sound alike, apart from each other. */
static struct wp_bank *bank_create(bool is_blockwise)
{
    const struct wp_bank_voice voice = {PARTIALS, N_PARTIALS};
    const struct wp_bank_voice voices[N_VOICES] = {voice, voice};
    const struct wp_bank_config config = {.rate_hz = RATE_HZ,
                                          .n_ears = N_OUTPUTS,
                                          .voices = voices,
                                          .n_voices = N_VOICES,
                                          .is_blockwise = is_blockwise};
    struct wp_bank *bank;
    assert_int_equal(wp_bank_create(&bank, &config), WP_OK);
    return bank;
}

static struct wp_agenda *agenda_create(void)
{
    struct wp_agenda *agenda = calloc(1, sizeof *agenda);
    assert_non_null(agenda);
    return agenda;
}

/* One moment of a tube at an output: a blow, with amplitude; else a rest, with added; else a leave.
 */
struct moment {
    size_t tube;
    size_t output;
    double start; /* of the contact, in frames */
    double end;
    const double *amplitude;
    const double *kept;
    const double *added;
};

static struct wp_entry *add_entry(struct wp_agenda *agenda, const struct moment *moment)
{
    struct wp_entry *entry = wp_agenda_add(agenda);
    const double *kept = moment->amplitude ? moment->kept : moment->added;
    entry->tube = moment->tube;
    entry->is_blow = moment->amplitude != NULL;
    entry->is_rest = moment->added != NULL;
    for (size_t m = 0; kept && m < N_PARTIALS; m++) {
        entry->kept[m] = kept[m];
    }
    return entry;
}

/* The moment's own way; more may follow. */
static void add_way(struct wp_entry *entry, const struct moment *moment)
{
    const size_t way = wp_entry_add_way(entry, moment->output);
    entry->start[way] = moment->start;
    entry->end[way] = moment->end;
    for (size_t m = 0; moment->amplitude && m < N_PARTIALS; m++) {
        entry->re[way][m] = moment->amplitude[m];
        entry->im[way][m] = AHEAD[m];
    }
}

static void add_all(struct wp_agenda *agenda, const struct moment *moments, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        add_way(add_entry(agenda, &moments[i]), &moments[i]);
    }
}

/* What voices and outputs sound like, block after block. */
static float heard[N_VOICES][N_OUTPUTS][N_FRAMES];

static void play(struct wp_agenda *agenda, struct wp_bank *bank)
{
    const size_t block = wp_bank_block(bank);
    for (size_t first = 0; first < N_FRAMES; first += block) {
        wp_bank_render(bank);
        wp_agenda_tell(agenda, 0, bank);
        for (size_t voice = 0; voice < N_VOICES; voice++) {
            for (size_t output = 0; output < N_OUTPUTS; output++) {
                memcpy(heard[voice][output] + first, wp_bank_frames(bank, voice, output),
                       block * sizeof(float));
            }
        }
    }
}

/* Of what rings, the part that contacts in progress leave: 3 x^2 - 2 x^3 of their way is done. */
static double left_by_contacts(const struct moment *moments, size_t n, const struct moment *place,
                               size_t m, double frame)
{
    double left = 1.0;
    for (size_t i = 0; i < n; i++) {
        const struct moment *moment = &moments[i];
        const bool is_here = moment->tube == place->tube && moment->output == place->output;
        if (is_here && moment->amplitude && frame >= moment->start && frame < moment->end) {
            const double x = (frame - moment->start) / (moment->end - moment->start);
            left -= (1.0 - moment->kept[m]) * x * x * (3.0 - 2.0 * x);
        }
    }
    return left;
}

/* A partial at a frame, by moments in order of their ends. */
static double partial_at(const struct moment *moments, size_t n, const struct moment *place,
                         size_t m, double frame)
{
    const double omega = 2.0 * M_PI * PARTIALS[m].freq_hz / RATE_HZ;
    const double own = log(1000.0) / PARTIALS[m].t60_s / RATE_HZ;
    double re = 0.0, im = 0.0, rate = own, at = 0.0;
    for (size_t i = 0; i <= n; i++) {
        const bool is_last = i == n || moments[i].end > frame;
        if (!is_last && (moments[i].tube != place->tube || moments[i].output != place->output)) {
            continue;
        }
        const double to = is_last ? frame : moments[i].end;
        const double size = exp(-rate * (to - at));
        const double angle = omega * (to - at);
        const double was_re = re;
        re = size * (re * cos(angle) - im * sin(angle));
        im = size * (was_re * sin(angle) + im * cos(angle));
        at = to;
        if (is_last) {
            break;
        }
        if (moments[i].amplitude) {
            re = moments[i].kept[m] * re + moments[i].amplitude[m];
            im = moments[i].kept[m] * im + AHEAD[m];
        } else {
            rate = own + (moments[i].added ? moments[i].added[m] / RATE_HZ : 0.0);
        }
    }
    return im * left_by_contacts(moments, n, place, m, frame);
}

/* Moments in order of their ends are what is heard: to 2e-6 of full scale, a float's errors. */
static void assert_heard(const struct moment *moments, size_t n)
{
    for (size_t i = 0; i < N_VOICES * N_OUTPUTS; i++) {
        const struct moment place = {.tube = i / N_OUTPUTS, .output = i % N_OUTPUTS};
        for (size_t frame = 0; frame < N_FRAMES; frame++) {
            double sum = 0.0;
            for (size_t m = 0; m < N_PARTIALS; m++) {
                sum += partial_at(moments, n, &place, m, (double)frame);
            }
            assert_near((double)heard[place.tube][place.output][frame], sum, 2e-6);
        }
    }
}

/* Adds moments in the order given, plays with either kernel, and holds what is heard against them
 * in the order of time. */
static void assert_plays(const struct moment *added, const struct moment *in_time, size_t n)
{
    for (int is_blockwise = 0; is_blockwise < 2; is_blockwise++) {
        struct wp_agenda *agenda = agenda_create();
        struct wp_bank *bank = bank_create(is_blockwise != 0);
        add_all(agenda, added, n);
        play(agenda, bank);
        assert_heard(in_time, n);
        assert_int_equal(agenda->n, 0);
        wp_bank_destroy(bank);
        free(agenda);
    }
}

static void empty_agenda_tells_nothing(void **state)
{
    (void)state;
    assert_plays(NULL, NULL, 0);
    struct wp_agenda *agenda = agenda_create();
    struct wp_bank *bank = bank_create(false);
    const struct moment moment = {.amplitude = LOUD, .kept = ALL};
    add_entry(agenda, &moment); /* without a way there is nothing to wait for */
    assert_int_equal(agenda->n, 1);
    play(agenda, bank);
    assert_heard(NULL, 0);
    assert_int_equal(agenda->n, 0);
    assert_int_equal(wp_bank_count_ringing(bank), 0);
    wp_bank_destroy(bank);
    free(agenda);
}

/* Blows take of one another, so their order is heard: in a block, over blocks, and with rests and
 * leaves between them. */
static void moments_are_told_in_order_of_time(void **state)
{
    (void)state;
    const struct moment in_time[] = {
        {0, 0, 10.5, 20.25, LOUD, ALL, NULL},     {0, 0, 90.0, 100.75, SOFT, SOME, NULL},
        {0, 0, 130.5, 130.5, NULL, NULL, ADDED},  {0, 0, 200.0, 214.0, LOUD, SOME, NULL},
        {0, 0, 230.25, 230.25, NULL, NULL, NULL}, {0, 0, 1000.5, 1040.5, SOFT, SOME, NULL},
        {0, 0, 3000.0, 3000.5, LOUD, NONE, NULL},
    };
    enum { N = sizeof in_time / sizeof in_time[0] };
    struct moment backwards[N];
    struct moment mixed[N];
    for (size_t i = 0; i < N; i++) {
        backwards[i] = in_time[N - 1 - i];
        mixed[i] = in_time[3 * i % N];
    }
    assert_plays(in_time, in_time, N);
    assert_plays(backwards, in_time, N);
    assert_plays(mixed, in_time, N);
}

/* What happens to one tube at one output is nothing to the others. */
static void tubes_and_outputs_are_told_apart(void **state)
{
    (void)state;
    const struct moment moments[] = {
        {0, 0, 10.0, 30.0, LOUD, ALL, NULL},    {1, 1, 20.0, 40.0, SOFT, ALL, NULL},
        {0, 1, 50.0, 60.5, SOFT, NONE, NULL},   {1, 0, 55.0, 65.5, LOUD, NONE, NULL},
        {1, 1, 90.0, 90.0, NULL, NULL, ADDED},  {0, 0, 70.0, 120.0, SOFT, SOME, NULL},
        {1, 1, 150.0, 180.0, LOUD, SOME, NULL},
    };
    assert_plays(moments, moments, sizeof moments / sizeof moments[0]);
}

/* Contacts may begin before a block, end on its first frame, on that of the next, or a hair before,
 * and may last for blocks. Blocks have 256 and 2048 frames. */
static void edges_of_blocks_are_not_heard(void **state)
{
    (void)state;
    static const double ends[] = {255.999, 256.0, 256.001, 512.0, 2047.999, 2048.0, 2048.5};
    static const double lengths[] = {0.25, 1.0, 30.0, 700.0};
    for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
        for (size_t k = 0; k < sizeof lengths / sizeof lengths[0]; k++) {
            const double start = ends[i] - lengths[k];
            const struct moment moments[] = {{0, 0, -20.5, 0.0, LOUD, ALL, NULL},
                                             {0, 0, start, ends[i], SOFT, SOME, NULL},
                                             {0, 0, 2500.0, 2500.0, NULL, NULL, ADDED}};
            if (start >= 0.0) {
                assert_plays(moments, moments, 3);
            }
        }
    }
    const struct moment rest[] = {{0, 0, -1.0, 0.0, LOUD, ALL, NULL},
                                  {0, 0, 256.0, 256.0, NULL, NULL, ADDED},
                                  {0, 0, 2048.0, 2048.0, NULL, NULL, NULL}};
    assert_plays(rest, rest, 3);
}

/* At one moment the order is that of adding: the later blow takes what the earlier one gave. */
static void ties_are_told_in_the_order_of_adding(void **state)
{
    (void)state;
    for (double end = 100.25; end < 300.0; end += 155.75) { /* within a block, and at its edge */
        const struct moment muted[] = {{0, 0, end, end, LOUD, ALL, NULL},
                                       {0, 0, end, end, SOFT, NONE, NULL}};
        const struct moment both[] = {muted[1], muted[0]};
        assert_plays(muted, muted, 2);
        assert_plays(both, both, 2);
        const struct moment rests[] = {{0, 0, end, end, LOUD, ALL, NULL},
                                       {0, 0, end, end, NULL, NULL, ADDED},
                                       {0, 0, end, end, NULL, NULL, NULL}};
        assert_plays(rests, rests, 3);
    }
}

/* A rest, a leave or another blow within a contact changes what fades from there on. */
static void contact_goes_on_through_what_happens_within_it(void **state)
{
    (void)state;
    const struct moment moments[] = {
        {0, 0, 5.0, 10.0, LOUD, ALL, NULL},        {0, 0, 60.0, 60.0, NULL, NULL, ADDED},
        {0, 0, 90.5, 90.5, NULL, NULL, NULL},      {0, 0, 120.0, 120.0, SOFT, ALL, NULL},
        {0, 0, 50.0, 200.0, SOFT, SOME, NULL},     {0, 0, 240.0, 280.0, LOUD, SOME, NULL},
        {0, 0, 2060.0, 2060.0, NULL, NULL, ADDED}, {0, 0, 2040.0, 2100.0, LOUD, SOME, NULL},
    };
    assert_plays(moments, moments, sizeof moments / sizeof moments[0]);
}

/* Of two ways to one output only the first takes from the ringing; the other adds its sound. */
static void echo_takes_nothing_from_the_ringing(void **state)
{
    (void)state;
    for (int is_blockwise = 0; is_blockwise < 2; is_blockwise++) {
        struct wp_agenda *agenda = agenda_create();
        struct wp_bank *bank = bank_create(is_blockwise != 0);
        const struct moment first = {0, 0, 10.0, 12.0, LOUD, ALL, NULL};
        const struct moment ways[] = {{0, 0, 50.0, 80.0, SOFT, SOME, NULL},
                                      {0, 1, 52.0, 82.0, SOFT, SOME, NULL},
                                      {0, 0, 400.5, 430.5, LOUD, SOME, NULL}};
        add_all(agenda, &first, 1);
        struct wp_entry *entry = add_entry(agenda, &ways[0]);
        for (size_t way = 0; way < 3; way++) {
            add_way(entry, &ways[way]);
        }
        assert_int_equal(entry->n_ways, 3);
        assert_true(entry->is_straight[0] && entry->is_straight[1] && !entry->is_straight[2]);
        struct moment in_time[] = {first, ways[0], ways[1], ways[2]};
        in_time[3].kept = ALL;
        play(agenda, bank);
        assert_heard(in_time, 4);
        assert_int_equal(agenda->n, 0);
        wp_bank_destroy(bank);
        free(agenda);
    }
}

/* An entry goes when its last way is told; until then its times move on by a block. */
static void entries_stay_until_all_their_ways_are_told(void **state)
{
    (void)state;
    for (size_t late = 0; late < 2; late++) {
        struct wp_agenda *agenda = agenda_create();
        struct wp_bank *bank = bank_create(false);
        const double block = (double)wp_bank_block(bank);
        struct moment ways[] = {{0, 0, 10.0, 20.0, LOUD, ALL, NULL},
                                {0, 1, 10.0, 20.0, LOUD, ALL, NULL}};
        ways[late].start = 30.0;
        ways[late].end = 1.5 * block;
        struct wp_entry *entry = add_entry(agenda, &ways[0]);
        add_way(entry, &ways[0]);
        add_way(entry, &ways[1]);
        wp_bank_render(bank);
        wp_agenda_tell(agenda, 0, bank);
        assert_int_equal(agenda->n, 1);
        assert_true(agenda->entries[0].is_told[1 - late] && !agenda->entries[0].is_told[late]);
        assert_near(agenda->entries[0].start[late], 30.0 - block, 0.0);
        assert_near(agenda->entries[0].end[late], 0.5 * block, 0.0);
        wp_bank_render(bank);
        wp_agenda_tell(agenda, 0, bank);
        assert_int_equal(agenda->n, 0);
        wp_bank_destroy(bank);
        free(agenda);
    }
}

/* Those before the first are another telling's: neither heard nor moved on. */
static void telling_from_an_entry_on_leaves_those_before_it(void **state)
{
    (void)state;
    struct wp_agenda *agenda = agenda_create();
    struct wp_bank *bank = bank_create(false);
    const struct moment moments[] = {{0, 0, 10.0, 20.0, LOUD, ALL, NULL},
                                     {1, 0, 15.0, 25.0, SOFT, ALL, NULL}};
    add_all(agenda, moments, 2);
    wp_bank_render(bank);
    wp_agenda_tell(agenda, 1, bank);
    assert_int_equal(agenda->n, 1);
    assert_int_equal(agenda->entries[0].tube, 0);
    assert_near(agenda->entries[0].end[0], 20.0, 0.0);
    assert_false(agenda->entries[0].is_told[0]);
    const float *frames = wp_bank_frames(bank, 0, 0);
    for (size_t i = 0; i < wp_bank_block(bank); i++) {
        assert_true(frames[i] == 0.0f);
    }
    assert_int_equal(wp_bank_count_ringing(bank), N_PARTIALS);
    wp_bank_destroy(bank);
    free(agenda);
}

/* As many as fit are told in one block: each blow takes all and gives its own, so the last is heard
 * after it; and there is room again. */
static void full_agenda_is_told_whole(void **state)
{
    (void)state;
    struct wp_agenda *agenda = agenda_create();
    struct wp_bank *bank = bank_create(false);
    struct moment moments[WP_AGENDA_MAX];
    for (size_t i = 0; i < WP_AGENDA_MAX; i++) {
        const double at = 10.25 + (double)i;
        assert_false(wp_agenda_is_full(agenda));
        moments[i] = (struct moment){0, 0, at, at, i % 2 == 0 ? LOUD : SOFT, SOME, NULL};
        add_all(agenda, &moments[i], 1);
    }
    assert_true(wp_agenda_is_full(agenda));
    play(agenda, bank);
    assert_heard(moments, WP_AGENDA_MAX);
    assert_false(wp_agenda_is_full(agenda));
    wp_bank_destroy(bank);
    free(agenda);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(empty_agenda_tells_nothing),
        cmocka_unit_test(moments_are_told_in_order_of_time),
        cmocka_unit_test(tubes_and_outputs_are_told_apart),
        cmocka_unit_test(edges_of_blocks_are_not_heard),
        cmocka_unit_test(ties_are_told_in_the_order_of_adding),
        cmocka_unit_test(contact_goes_on_through_what_happens_within_it),
        cmocka_unit_test(echo_takes_nothing_from_the_ringing),
        cmocka_unit_test(entries_stay_until_all_their_ways_are_told),
        cmocka_unit_test(telling_from_an_entry_on_leaves_those_before_it),
        cmocka_unit_test(full_agenda_is_told_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
