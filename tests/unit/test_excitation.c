/* SPDX-License-Identifier: MIT */
/* Strikes become amplitudes of partials. */

#include "../small_set.h"

#include "synth/excitation.h"
#include "windpeal/level.h"

enum { RATE_HZ = 48000 };

static struct small_set small;
static struct wp_excitation excitation;
static struct wp_struck struck;

static void prepare(double ovality_01, int is_ideal, enum wp_hearer hearer, int rate_hz)
{
    small_set_describe(&small.set, 1);
    small.set.tubes[0].ovality_01 = ovality_01;
    small.set.striker.is_ideal_contact = is_ideal != 0;
    small_set_solve(&small);
    wp_excitation_init(&excitation, &small.set, &small.chime->tubes[0], &small.layout, 0, hearer,
                       rate_hz);
}

static void strike_from(double bearing_deg)
{
    const struct wp_strike strike = blow_at(0.0, 0, bearing_deg);
    wp_excitation_strike(&excitation, &small.striker, &strike, 0.0, &struck);
}

/* V = W J / M for an ideal contact; pressure as the tube radiates it, full scale 20 Pa. */
static void ideal_blow_gives_shape_times_impulse_over_mass(void **state)
{
    (void)state;
    prepare(0.0, 1, WP_HEARER_HEAD, RATE_HZ);
    const struct wp_tube *tube = &small.chime->tubes[0];
    strike_from(excitation.head.bearing_deg);
    assert_int_equal(excitation.n_partials, tube->n_partials);
    for (size_t i = 0; i < tube->n_partials; i++) {
        const struct wp_partial *partial = &tube->partials[i];
        const double shape = wp_shape_at(&partial->shape, 1.0 - 0.03 / 0.6);
        const double pa =
            wp_tube_pressure(tube, partial, excitation.head.ear) * shape * 0.005 / tube->mass_kg;
        assert_near(struck.onset.re[0][i], fabs(pa) / 20.0, 1e-12);
        assert_true(struck.onset.re[0][i] > 0.0); /* all start as a sine that rises */
    }
    small_set_finish(&small);
}

/* Half a contact of ringing lies between the pulse's middle and its end; the nodes cost 0.1 %. */
static void soft_blow_weighs_partials_by_its_spectrum(void **state)
{
    (void)state;
    prepare(0.0, 1, WP_HEARER_HEAD, RATE_HZ);
    strike_from(excitation.head.bearing_deg);
    const struct wp_struck hard = struck;
    small_set_finish(&small);
    prepare(0.0, 0, WP_HEARER_HEAD, RATE_HZ);
    const struct wp_tube *tube = &small.chime->tubes[0];
    struct wp_contact contact;
    wp_contact_solve(&contact, &small.striker, tube, 0.03, 0.3);
    strike_from(excitation.head.bearing_deg);
    for (size_t i = 0; i < tube->n_partials; i++) {
        const double share = wp_contact_spectrum(&contact, tube->partials[i].freq_hz);
        const double died = pow(10.0, -3.0 * 0.5 * contact.duration_s / tube->partials[i].t60_s);
        const double size = hypot(struck.onset.re[0][i], struck.onset.im[0][i]);
        assert_near(size, share * died * hard.onset.re[0][i], 2e-3 * hard.onset.re[0][i]);
    }
    assert_near(struck.onset.n_frames, contact.duration_s * RATE_HZ, 1.0);
    assert_true(hard.onset.n_frames == 0.0);
    small_set_finish(&small);
}

/*
 * Far away and level with the tube's middle, an odd partial arrives with its acceleration: at the
 * middle of the head it falls from its highest, as a cosine with its sign turned, once the two
 * quarter turns of acceleration and of the far field are counted.
 */
static void transfer_turns_a_partial(void **state)
{
    (void)state;
    small_set_describe(&small.set, 1);
    small.set.listener_height_m = 30.0;
    small.set.listener_distance_m = 30.0;
    small_set_solve(&small);
    wp_excitation_init(&excitation, &small.set, &small.chime->tubes[0], &small.layout, 0,
                       WP_HEARER_HEAD, RATE_HZ);
    /* The shape of partial 1 about the middle is even, so that its far transform is real. */
    const struct wp_transfer first = excitation.transfer[0][0];
    const struct wp_transfer second = excitation.transfer[0][1];
    assert_true(fabs(first.im) < 0.05 * fabs(first.re));
    assert_true(fabs(second.re) < 0.05 * fabs(second.im));
    small_set_finish(&small);
}

/* A perfect tube radiates as the cosine between blow and ear; the sign of the cosine is inaudible
 * and left out. */
static void perfect_tube_radiates_as_a_cosine(void **state)
{
    (void)state;
    prepare(0.0, 1, WP_HEARER_HEAD, RATE_HZ);
    const double ear_deg = excitation.head.bearing_deg;
    strike_from(ear_deg);
    const double full = struck.onset.re[0][1];
    for (double turn_deg = 0.0; turn_deg < 360.0; turn_deg += 30.0) {
        strike_from(ear_deg + turn_deg);
        assert_near(struck.onset.re[0][1], full * fabs(cos(turn_deg * M_PI / 180.0)), 1e-12);
    }
    /* A line of dipoles is silent at right angles to its vibration (any text on acoustics). */
    strike_from(ear_deg + 90.0);
    for (size_t m = 0; m < small.chime->tubes[0].n_bending; m++) {
        assert_true(struck.onset.re[0][m] < 1e-15);
    }
    small_set_finish(&small);
}

/* The wall goes oval toward the blow: two waves round it have a rest at 45 degrees, three at 30. */
static void ovalling_is_silent_between_its_waves(void **state)
{
    (void)state;
    prepare(0.005, 1, WP_HEARER_HEAD, RATE_HZ);
    const struct wp_tube *tube = &small.chime->tubes[0];
    const size_t m = 2 * tube->n_bending;
    assert_int_equal(excitation.source[m], tube->n_bending);
    assert_int_equal(tube->partials[tube->n_bending].order, 2);
    const double ear_deg = excitation.head.bearing_deg;
    strike_from(ear_deg);
    const double full = struck.onset.re[0][m];
    assert_true(full > 0.0);
    for (double turn_deg = 0.0; turn_deg < 360.0; turn_deg += 15.0) {
        strike_from(ear_deg + turn_deg);
        const double wanted = full * fabs(cos(2.0 * turn_deg * M_PI / 180.0));
        assert_near(struck.onset.re[0][m], wanted, 1e-9 * full);
    }
    small_set_finish(&small);
}

static void split_partials_share_the_blow(void **state)
{
    (void)state;
    prepare(0.005, 1, WP_HEARER_HEAD, RATE_HZ);
    const struct wp_tube *tube = &small.chime->tubes[0];
    assert_int_equal(excitation.n_partials, tube->n_partials + tube->n_bending);
    for (size_t m = 0; m < 2 * tube->n_bending; m++) {
        assert_true(excitation.partials[m].freq_hz == tube->partials[m / 2].polarised_hz[m % 2]);
    }
    /* Along the axis only the first of a pair sounds, across it only the second. */
    strike_from(tube->axis_deg);
    assert_near(struck.onset.re[0][3], 0.0, 1e-15);
    assert_true(fabs(struck.onset.re[0][2]) > 0.0);
    strike_from(tube->axis_deg + 90.0);
    assert_near(struck.onset.re[0][2], 0.0, 1e-15);
    assert_true(fabs(struck.onset.re[0][3]) > 0.0);
    /* Together they start as the partial of a perfect tube. */
    strike_from(excitation.head.bearing_deg);
    const double shape = wp_shape_at(&tube->partials[1].shape, 0.95);
    const double pa = wp_tube_pressure(tube, &tube->partials[1], excitation.head.ear) * shape *
                      0.005 / tube->mass_kg;
    assert_near(struck.onset.re[0][2] + struck.onset.re[0][3], pa / 20.0, 1e-12);
    small_set_finish(&small);
}

/* Mean square over the bearings of a circle round the tube of what one who stands there hears. */
static double mean_power_around(size_t partial)
{
    enum { N_BEARINGS = 24 };
    double power = 0.0;
    small.layout.x_m[0] = 0.0; /* in the middle, at the same distance from every bearing */
    small.layout.y_m[0] = 0.0;
    for (int i = 0; i < N_BEARINGS; i++) {
        small.set.listener_bearing_deg = 360.0 / N_BEARINGS * i;
        wp_excitation_init(&excitation, &small.set, &small.chime->tubes[0], &small.layout, 0,
                           WP_HEARER_HEAD, RATE_HZ);
        strike_from(77.0);
        power += struck.onset.re[0][partial] * struck.onset.re[0][partial] / N_BEARINGS;
    }
    return power;
}

static void loudspeaker_gets_the_mean_power_of_all_bearings(void **state)
{
    (void)state;
    for (size_t partial = 0; partial < 4; partial++) {
        prepare(0.0, 1, WP_HEARER_LOUDSPEAKER, RATE_HZ);
        strike_from(0.0);
        const double north = struck.onset.re[0][partial];
        strike_from(200.0);
        assert_near(struck.onset.re[0][partial], north, 1e-12 * north);
        assert_near(north * north, mean_power_around(partial), 1e-9 * north * north);
        small_set_finish(&small);
    }
}

/* Two that beat start in phase, whatever the direction of the blow. */
static void loudspeaker_of_a_split_tube_starts_like_that_of_a_perfect_one(void **state)
{
    (void)state;
    prepare(0.0, 1, WP_HEARER_LOUDSPEAKER, RATE_HZ);
    strike_from(0.0);
    const double perfect = struck.onset.re[0][1];
    small_set_finish(&small);
    prepare(0.005, 1, WP_HEARER_LOUDSPEAKER, RATE_HZ);
    for (double blow_deg = 0.0; blow_deg < 360.0; blow_deg += 45.0) {
        strike_from(blow_deg);
        assert_true(struck.onset.re[0][2] >= 0.0 && struck.onset.re[0][3] >= 0.0);
        /* Ovality changes sizes by its square. */
        assert_near(struck.onset.re[0][2] + struck.onset.re[0][3], perfect, 1e-3 * perfect);
    }
    small_set_finish(&small);
}

static void partials_past_half_the_rate_are_left_out(void **state)
{
    (void)state;
    prepare(0.0, 1, WP_HEARER_HEAD, 24000);
    const struct wp_tube *tube = &small.chime->tubes[0];
    size_t n_below = 0;
    for (size_t i = 0; i < tube->n_partials; i++) {
        n_below += tube->partials[i].freq_hz < 12000.0;
    }
    assert_true(n_below < tube->n_partials);
    assert_int_equal(excitation.n_partials, n_below);
    small_set_finish(&small);
}

/* The level of a blow toward the listener: 20 log10(A / sqrt 2 / 20 uPa) of the amplitudes above.
 */
static void strike_levels_are_those_of_the_amplitudes(void **state)
{
    (void)state;
    double level_db[WP_PARTIALS_MAX];
    prepare(0.0, 0, WP_HEARER_HEAD, RATE_HZ);
    const struct wp_tube *tube = &small.chime->tubes[0];
    struct wp_contact contact;
    const double height_m = small.layout.strike_height_m[0];
    wp_contact_solve(&contact, &small.striker, tube, height_m, 0.3);
    const struct wp_strike strike = {
        0.0, 0, 0.3, excitation.head.bearing_deg, height_m, contact.impulse_n_s};
    wp_excitation_strike(&excitation, &small.striker, &strike, 0.0, &struck);
    wp_strike_levels(&small.context, 0, 0.3, level_db);
    for (size_t i = 0; i < tube->n_partials; i++) {
        const double size = hypot(struck.onset.re[0][i], struck.onset.im[0][i]);
        const double pa = size * 20.0 / sqrt(2.0);
        /* The sound has died away since the middle of the contact; its force is summed at other
         * places. */
        const double died_db = 60.0 * 0.5 * contact.duration_s / tube->partials[i].t60_s;
        assert_near(level_db[i] - died_db, 20.0 * log10(pa / 20e-6), 0.2);
    }
    /* A tone of 1 Pa peak is 91 dB: the loudest partial of a light blow at 3 m is far below, and
     * well above the threshold of hearing (common practice, no source). */
    double loudest_db = 0.0;
    for (size_t i = 0; i < tube->n_partials; i++) {
        loudest_db = fmax(loudest_db, level_db[i]);
    }
    assert_true(loudest_db > 30.0 && loudest_db < 90.0);
    small_set_finish(&small);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ideal_blow_gives_shape_times_impulse_over_mass),
        cmocka_unit_test(soft_blow_weighs_partials_by_its_spectrum),
        cmocka_unit_test(transfer_turns_a_partial),
        cmocka_unit_test(perfect_tube_radiates_as_a_cosine),
        cmocka_unit_test(ovalling_is_silent_between_its_waves),
        cmocka_unit_test(split_partials_share_the_blow),
        cmocka_unit_test(loudspeaker_gets_the_mean_power_of_all_bearings),
        cmocka_unit_test(loudspeaker_of_a_split_tube_starts_like_that_of_a_perfect_one),
        cmocka_unit_test(partials_past_half_the_rate_are_left_out),
        cmocka_unit_test(strike_levels_are_those_of_the_amplitudes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
