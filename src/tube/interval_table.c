/* SPDX-License-Identifier: MIT */
/* The intervals of a set, how rough they are, and smoother ones near them. */
#include "windpeal/hearing.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "tube/roughness.h"

enum { N_MOVES = 2 * WP_SMOOTHER_WITHIN_CENTS + 1, FINE_STEPS = 40 };

/* A move that a maker neither cuts nor hears. */
static const double LEAST_MOVE_CENTS = 1.0;

/* Less is not worth the telling: of scale, and of what the pair has now. */
static const double LEAST_GAIN = 0.002;
static const double LEAST_GAIN_SHARE = 0.05;

/* Places closer than this are one for a maker. */
static const double ONE_PLACE_CENTS = 5.0;

/* A length that differs more after so small a move belongs to another kind of heard pitch. */
static const double LENGTH_SHARE_MAX = 0.1;

/* Two tubes of which the upper one is retuned. */
struct pair {
    const struct wp_voice *lower;
    const struct wp_voice *upper;
    double follow[WP_BENDING_MAX]; /* cents by which a partial of it moves with a cent of pitch */
    double own;   /* weighted pairs within either tube; a retuned tube's hardly change */
    double power; /* sum of squares of both */
};

/* All tones of some tubes, in no order. */
struct mixture {
    size_t n_tones;
    struct wp_tone tones[WP_TUBES_MAX * WP_PARTIALS_MAX];
};

static void mix(struct mixture *mixture, const struct wp_voice *voice)
{
    memcpy(mixture->tones + mixture->n_tones, voice->tones,
           voice->n_tones * sizeof voice->tones[0]);
    mixture->n_tones += voice->n_tones;
}

static double pitch_of(const struct wp_tube *tube, enum wp_tuned_to tuned_to)
{
    return tuned_to == WP_TUNED_HEARD_PITCH ? tube->heard_hz : tube->partials[0].freq_hz;
}

static double cents_between(double from_hz, double to_hz)
{
    return 1200.0 * log2(to_hz / from_hz);
}

static double own_sum(const struct wp_voice *voice)
{
    return wp_roughness(voice->tones, voice->n_tones) *
           wp_tones_power(voice->tones, voice->n_tones);
}

/* Length of a tube whose pitch goes up by some cents; NAN where none near its own does it. */
static double retuned_length(const struct wp_tube *tube, enum wp_tuned_to tuned_to, double cents)
{
    const double target_hz = pitch_of(tube, tuned_to) * exp2(cents / 1200.0);
    double length_m;
    if (wp_tube_length_for(&tube->spec, tuned_to, target_hz, &length_m) ||
        fabs(length_m / tube->spec.length_m - 1.0) > LENGTH_SHARE_MAX) {
        return NAN;
    }
    return length_m;
}

/*
 * A shorter tube is a stiffer one for its shear: its upper partials rise less than its pitch. How
 * far each follows is taken from the tube retuned to the end of the span.
 */
static void find_follow(struct pair *pair, const struct wp_tube *tube, enum wp_tuned_to tuned_to)
{
    double moved_cents = WP_SMOOTHER_WITHIN_CENTS;
    struct wp_tube_spec spec = tube->spec;
    double freqs_hz[WP_BENDING_MAX];
    for (size_t i = 0; i < tube->n_bending; i++) {
        pair->follow[i] = 1.0;
    }
    spec.length_m = retuned_length(tube, tuned_to, moved_cents);
    if (isnan(spec.length_m)) {
        moved_cents = -moved_cents;
        spec.length_m = retuned_length(tube, tuned_to, moved_cents);
    }
    if (isnan(spec.length_m) || wp_tube_frequencies(&spec, freqs_hz, tube->n_bending)) {
        return;
    }
    for (size_t i = 0; i < tube->n_bending; i++) {
        pair->follow[i] = cents_between(tube->partials[i].freq_hz, freqs_hz[i]) / moved_cents;
    }
}

static void pair_init(struct pair *pair, const struct wp_voice *lower, const struct wp_voice *upper)
{
    pair->lower = lower;
    pair->upper = upper;
    pair->own = own_sum(lower) + own_sum(upper);
    pair->power =
        wp_tones_power(lower->tones, lower->n_tones) + wp_tones_power(upper->tones, upper->n_tones);
}

/* Roughness of the pair with the upper tube retuned. */
static double roughness_moved(const struct pair *pair, double cents)
{
    double sum = pair->own;
    for (size_t j = 0; j < pair->upper->n_tones; j++) {
        const struct wp_tone *upper = &pair->upper->tones[j];
        const double upper_hz = upper->freq_hz * exp2(pair->follow[j] * cents / 1200.0);
        for (size_t i = 0; i < pair->lower->n_tones; i++) {
            const struct wp_tone *lower = &pair->lower->tones[i];
            sum += lower->amplitude * upper->amplitude *
                   wp_roughness_of_pair(lower->freq_hz, upper_hz);
        }
    }
    return pair->power > 0.0 ? sum / pair->power : 0.0;
}

/* The least roughness between two moves that hold one minimum, by golden sections. */
static double minimum_between(const struct pair *pair, double low, double high)
{
    const double section = 0.5 * (sqrt(5.0) - 1.0);
    for (int i = 0; i < FINE_STEPS && high - low > 1e-3; i++) {
        const double a = high - section * (high - low);
        const double b = low + section * (high - low);
        if (roughness_moved(pair, a) < roughness_moved(pair, b)) {
            high = b;
        } else {
            low = a;
        }
    }
    return 0.5 * (low + high);
}

/* Takes out kept places that the found one stands for; false when one of them stands for it. */
static bool make_way(struct wp_interval *interval, const struct wp_smoother *found)
{
    size_t n = 0;
    for (size_t i = 0; i < interval->n_smoother; i++) {
        const struct wp_smoother *kept = &interval->smoother[i];
        const bool is_near = fabs(kept->move_cents - found->move_cents) < ONE_PLACE_CENTS;
        if (is_near && kept->roughness <= found->roughness) {
            return false;
        }
        if (!is_near) {
            interval->smoother[n++] = *kept;
        }
    }
    interval->n_smoother = n;
    return true;
}

/* Keeps the smoothest places, smoothest first. */
static void keep(struct wp_interval *interval, const struct wp_smoother *found)
{
    size_t at = interval->n_smoother;
    while (at > 0 && interval->smoother[at - 1].roughness > found->roughness) {
        at--;
    }
    if (at == WP_SMOOTHER_MAX) {
        return;
    }
    const size_t n_after = interval->n_smoother - at;
    const size_t n_kept = n_after + at == WP_SMOOTHER_MAX ? n_after - 1 : n_after;
    memmove(&interval->smoother[at + 1], &interval->smoother[at], n_kept * sizeof *found);
    interval->smoother[at] = *found;
    interval->n_smoother = at + 1 + n_kept;
}

static void search(struct wp_interval *interval, const struct pair *pair)
{
    double at_move[N_MOVES];
    for (int i = 0; i < N_MOVES; i++) {
        at_move[i] = roughness_moved(pair, i - WP_SMOOTHER_WITHIN_CENTS);
    }
    for (int i = 1; i + 1 < N_MOVES; i++) {
        if (!(at_move[i] < at_move[i - 1] && at_move[i] <= at_move[i + 1])) {
            continue;
        }
        const double middle = i - WP_SMOOTHER_WITHIN_CENTS;
        const double move = minimum_between(pair, middle - 1.0, middle + 1.0);
        const struct wp_smoother found = {
            .cents = interval->cents + move,
            .move_cents = move,
            .roughness = roughness_moved(pair, move),
            .length_m = NAN,
        };
        const double gain = interval->roughness - found.roughness;
        const bool is_worth_it = gain >= fmax(LEAST_GAIN, LEAST_GAIN_SHARE * interval->roughness);
        if (fabs(move) >= LEAST_MOVE_CENTS && is_worth_it && make_way(interval, &found)) {
            keep(interval, &found);
        }
    }
}

/* Tubes by rising pitch; those of one pitch stay in their order. */
static void sort_by_pitch(size_t *order, const struct wp_chime *chime, enum wp_tuned_to tuned_to)
{
    for (size_t i = 0; i < chime->n_tubes; i++) {
        const double hz = pitch_of(&chime->tubes[i], tuned_to);
        size_t at = i;
        while (at > 0 && pitch_of(&chime->tubes[order[at - 1]], tuned_to) > hz) {
            order[at] = order[at - 1];
            at--;
        }
        order[at] = i;
    }
}

static void solve_lengths(struct wp_interval *interval, const struct wp_tube *tube,
                          enum wp_tuned_to tuned_to)
{
    for (size_t i = 0; i < interval->n_smoother; i++) {
        struct wp_smoother *smoother = &interval->smoother[i];
        smoother->length_m = retuned_length(tube, tuned_to, smoother->move_cents);
    }
}

static void solve_interval(struct wp_interval *interval, const struct wp_chime *chime,
                           enum wp_tuned_to tuned_to, const struct wp_voice *voices)
{
    const struct wp_tube *lower = &chime->tubes[interval->lower];
    const struct wp_tube *upper = &chime->tubes[interval->upper];
    struct mixture mixture = {.n_tones = 0};
    struct pair pair;
    mix(&mixture, &voices[interval->lower]);
    mix(&mixture, &voices[interval->upper]);
    interval->cents = cents_between(pitch_of(lower, tuned_to), pitch_of(upper, tuned_to));
    interval->roughness = wp_roughness(mixture.tones, mixture.n_tones);
    interval->dissonance = wp_dissonance(mixture.tones, mixture.n_tones);
    wp_tones_decay(mixture.tones, mixture.n_tones, WP_ROUGH_LATER_S);
    interval->later = wp_roughness(mixture.tones, mixture.n_tones);
    interval->n_smoother = 0;
    pair_init(&pair, &voices[interval->lower], &voices[interval->upper]);
    find_follow(&pair, upper, tuned_to);
    search(interval, &pair);
    solve_lengths(interval, upper, tuned_to);
}

void wp_interval_table_init(struct wp_interval_table *table, const struct wp_chime *chime,
                            enum wp_tuned_to tuned_to, const struct wp_voice *voices)
{
    size_t order[WP_TUBES_MAX];
    struct mixture mixture = {.n_tones = 0};
    sort_by_pitch(order, chime, tuned_to);
    table->n_intervals = chime->n_tubes - 1;
    for (size_t i = 0; i < table->n_intervals; i++) {
        table->intervals[i].lower = order[i];
        table->intervals[i].upper = order[i + 1];
        solve_interval(&table->intervals[i], chime, tuned_to, voices);
    }
    for (size_t i = 0; i < chime->n_tubes; i++) {
        mix(&mixture, &voices[i]);
    }
    table->roughness = wp_roughness(mixture.tones, mixture.n_tones);
    table->dissonance = wp_dissonance(mixture.tones, mixture.n_tones);
    wp_tones_decay(mixture.tones, mixture.n_tones, WP_ROUGH_LATER_S);
    table->later = wp_roughness(mixture.tones, mixture.n_tones);
}
