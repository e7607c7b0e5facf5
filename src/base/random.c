/* SPDX-License-Identifier: MIT */
/* Random streams: Philox4x32-10 blocks, and words, uniform and normal numbers made from them. */
#include "base/random.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "base/clones.h"
#include "base/exact.h"

enum { PHILOX_ROUNDS = 10 };

/* One round: two wide products, high halves mixed with the other words and the key (Salmon et al.
 * 2011, section 3.3; the constants are theirs). */
static void philox_round(uint32_t words[4], const uint32_t key[2])
{
    const uint64_t a = (uint64_t)0xD2511F53U * words[0];
    const uint64_t b = (uint64_t)0xCD9E8D57U * words[2];
    const uint32_t mixed[4] = {(uint32_t)(b >> 32) ^ words[1] ^ key[0], (uint32_t)b,
                               (uint32_t)(a >> 32) ^ words[3] ^ key[1], (uint32_t)a};
    for (size_t i = 0; i < 4; i++) {
        words[i] = mixed[i];
    }
}

void wp_philox(const uint32_t counter[4], const uint32_t key[2], uint32_t out[4])
{
    uint32_t round_key[2] = {key[0], key[1]};
    uint32_t words[4] = {counter[0], counter[1], counter[2], counter[3]};
    for (int round = 0; round < PHILOX_ROUNDS; round++) {
        philox_round(words, round_key);
        round_key[0] += 0x9E3779B9U; /* golden ratio */
        round_key[1] += 0xBB67AE85U; /* sqrt(3) - 1 */
    }
    for (size_t i = 0; i < 4; i++) {
        out[i] = words[i];
    }
}

/* Blocks side by side, so that the loops over them vectorise; few enough would be unrolled instead.
 */
enum { SIDE_BY_SIDE = WP_RUN_EVENTS };

/* The first four draws of as many events; those of one after another stand side by side. */
WP_CLONED
static void draw_four(const uint32_t key[2], enum wp_stream stream, uint64_t event,
                      uint32_t w[4][SIDE_BY_SIDE])
{
    for (int i = 0; i < SIDE_BY_SIDE; i++) {
        const uint64_t now = event + (uint64_t)i;
        w[0][i] = 0;
        w[1][i] = (uint32_t)stream;
        w[2][i] = (uint32_t)now;
        w[3][i] = (uint32_t)(now >> 32);
    }
    for (int round = 0; round < PHILOX_ROUNDS; round++) {
        const uint32_t key0 = key[0] + (uint32_t)round * 0x9E3779B9U;
        const uint32_t key1 = key[1] + (uint32_t)round * 0xBB67AE85U;
        for (int i = 0; i < SIDE_BY_SIDE; i++) {
            /* With the halves of the products apart, compilers find the vector instructions. */
            const uint32_t a_high = (uint32_t)((uint64_t)0xD2511F53U * w[0][i] >> 32);
            const uint32_t a_low = 0xD2511F53U * w[0][i];
            const uint32_t b_high = (uint32_t)((uint64_t)0xCD9E8D57U * w[2][i] >> 32);
            const uint32_t b_low = 0xCD9E8D57U * w[2][i];
            w[0][i] = b_high ^ w[1][i] ^ key0;
            w[1][i] = b_low;
            w[2][i] = a_high ^ w[3][i] ^ key1;
            w[3][i] = a_low;
        }
    }
}

void wp_philox_events(const uint32_t key[2], enum wp_stream stream, uint64_t event, size_t n,
                      uint32_t *restrict out)
{
    assert(n % SIDE_BY_SIDE == 0);
    for (size_t first = 0; first < n; first += SIDE_BY_SIDE) {
        uint32_t w[4][SIDE_BY_SIDE];
        draw_four(key, stream, event + first, w);
        for (size_t i = 0; i < SIDE_BY_SIDE; i++) {
            for (size_t draw = 0; draw < 4; draw++) {
                out[4 * (first + i) + draw] = w[draw][i];
            }
        }
    }
}

/* Generators in one register, and registers that take turns: a step waits for the one before. */
enum { LANES = 8, TURNS = 2, LANE_STEPS = WP_RUN_WORDS / WP_RUN_EVENTS };
typedef uint32_t lanes __attribute__((vector_size(LANES * sizeof(uint32_t)), aligned(4)));

static inline void rotate_left(lanes *x, int n)
{
    *x = *x << n | *x >> (32 - n);
}

/* Writes a word of every lane. */
static inline void lane_step(lanes s[4], uint32_t words[LANES])
{
    lanes word = s[0] + s[3];
    rotate_left(&word, 7);
    word += s[0];
    memcpy(words, &word, sizeof word);
    const lanes shifted = s[1] << 9;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= shifted;
    rotate_left(&s[3], 11);
}

WP_CLONED
void wp_random_run(const uint32_t key[2], enum wp_stream stream, uint64_t run,
                   uint32_t words[WP_RUN_WORDS])
{
    uint32_t seeds[4][SIDE_BY_SIDE];
    draw_four(key, stream, run * WP_RUN_EVENTS, seeds);
    for (size_t first = 0; first < WP_RUN_EVENTS; first += TURNS * LANES) {
        lanes s[TURNS][4];
        for (size_t turn = 0; turn < TURNS; turn++) {
            for (size_t i = 0; i < 4; i++) {
                memcpy(&s[turn][i], &seeds[i][first + turn * LANES], sizeof s[turn][i]);
            }
        }
        for (size_t step = 0; step < LANE_STEPS; step++) {
            for (size_t turn = 0; turn < TURNS; turn++) {
                const size_t place = (first + turn * LANES) * LANE_STEPS + step * LANES;
                lane_step(s[turn], &words[place]);
            }
        }
    }
}

void wp_random_init(struct wp_random *random, uint64_t seed, enum wp_stream stream, uint64_t event)
{
    *random = (struct wp_random){
        .key = {(uint32_t)seed, (uint32_t)(seed >> 32)},
        .counter = {0, (uint32_t)stream, (uint32_t)event, (uint32_t)(event >> 32)},
        .n_used = 4,
    };
}

uint32_t wp_random_word(struct wp_random *random)
{
    if (random->n_used == 4) {
        wp_philox(random->counter, random->key, random->words);
        random->counter[0]++;
        random->n_used = 0;
    }
    return random->words[random->n_used++];
}

static double uniform_of(uint32_t word)
{
    return ((double)word + 0.5) * 0x1p-32;
}

double wp_random_uniform(struct wp_random *random)
{
    return uniform_of(wp_random_word(random));
}

/* Ratio of two polynomials of degree 7, lowest coefficient first. */
static inline double rational(double x, const double numerator[8], const double denominator[8])
{
    double top = 0.0;
    double bottom = 0.0;
    for (size_t i = 8; i-- > 0;) {
        top = top * x + numerator[i];
        bottom = bottom * x + denominator[i];
    }
    return top / bottom;
}

/* Coefficients of PPND16, about 16 figures: M. J. Wichura, "Algorithm AS 241: the percentage points
 * of the normal distribution", Applied Statistics 37 (1988) 477-484. */
static const double central[2][8] = {
    {3.3871328727963666080e0, 1.3314166789178437745e+2, 1.9715909503065514427e+3,
     1.3731693765509461125e+4, 4.5921953931549871457e+4, 6.7265770927008700853e+4,
     3.3430575583588128105e+4, 2.5090809287301226727e+3},
    {1.0, 4.2313330701600911252e+1, 6.8718700749205790830e+2, 5.3941960214247511077e+3,
     2.1213794301586595867e+4, 3.9307895800092710610e+4, 2.8729085735721942674e+4,
     5.2264952788528545610e+3}};
static const double middle[2][8] = {
    {1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0,
     3.64784832476320460504e0, 1.27045825245236838258e0, 2.41780725177450611770e-1,
     2.27238449892691845833e-2, 7.74545014278341407640e-4},
    {1.0, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1,
     1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4,
     1.05075007164441684324e-9}};
static const double outer[2][8] = {
    {6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0,
     2.96560571828504891230e-1, 2.65321895265761230930e-2, 1.24266094738807843860e-3,
     2.71155556874348757815e-5, 2.01033439929228813265e-7},
    {1.0, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
     7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7,
     2.04426310338993978564e-15}};

/* Where the central polynomials hold. */
static const double central_to = 0.425;

double wp_normal_quantile(double probability)
{
    const double q = probability - 0.5;
    if (fabs(q) <= central_to) {
        return q * rational(0.180625 - q * q, central[0], central[1]);
    }
    const double tail = q < 0.0 ? probability : 1.0 - probability;
    const double r = sqrt(-wp_exact_log(tail));
    const double z =
        r <= 5.0 ? rational(r - 1.6, middle[0], middle[1]) : rational(r - 5.0, outer[0], outer[1]);
    return q < 0.0 ? -z : z;
}

double wp_random_normal(struct wp_random *random)
{
    return wp_normal_quantile(wp_random_uniform(random));
}

/* The central part for all of them, which the compiler can do side by side. */
WP_CLONED
static void central_quantiles(const double uniforms[2 * WP_NORMAL_EVENTS],
                              double normals[2 * WP_NORMAL_EVENTS])
{
    for (size_t i = 0; i < 2 * WP_NORMAL_EVENTS; i++) {
        const double q = uniforms[i] - 0.5;
        normals[i] = q * rational(0.180625 - q * q, central[0], central[1]);
    }
}

/* The upper quantiles of n numbers for the tails beyond them, likewise. No uniform number is so
 * near to 0 or 1 that it would need the outer polynomials. */
WP_CLONED
static void tail_quantiles(double *values, size_t n)
{
    double logs[2 * WP_NORMAL_EVENTS];
    wp_exact_log_each(values, logs, n);
    for (size_t i = 0; i < n; i++) {
        values[i] = rational(sqrt(-logs[i]) - 1.6, middle[0], middle[1]);
    }
}

void wp_random_normal_pairs(uint64_t seed, enum wp_stream stream, uint64_t event,
                            double normals[2 * WP_NORMAL_EVENTS])
{
    const uint32_t key[2] = {(uint32_t)seed, (uint32_t)(seed >> 32)};
    uint32_t words[4 * WP_NORMAL_EVENTS];
    double uniforms[2 * WP_NORMAL_EVENTS];
    wp_philox_events(key, stream, event, WP_NORMAL_EVENTS, words);
    for (size_t i = 0; i < 2 * WP_NORMAL_EVENTS; i++) {
        uniforms[i] = uniform_of(words[4 * (i / 2) + i % 2]);
    }
    central_quantiles(uniforms, normals);
    double tails[2 * WP_NORMAL_EVENTS];
    size_t places[2 * WP_NORMAL_EVENTS];
    size_t n = 0;
    for (size_t i = 0; i < 2 * WP_NORMAL_EVENTS; i++) {
        const double off = fabs(uniforms[i] - 0.5);
        places[n] = i;
        tails[n] = 0.5 - off; /* exact: multiples of 2^-33 */
        n += off > central_to;
    }
    tail_quantiles(tails, n);
    for (size_t k = 0; k < n; k++) {
        const size_t i = places[k];
        normals[i] = copysign(tails[k], uniforms[i] - 0.5);
    }
}
