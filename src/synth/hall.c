/* SPDX-License-Identifier: MIT */
/* A room round set and listener. */

#include "synth/hall.h"

#include <assert.h>
#include <complex.h>
#include <math.h>
#include <stdlib.h>

#include "base/clones.h"
#include "synth/air_loss.h"
#include "synth/reverb.h"
#include "tube/air.h"

static const double RADIAN = M_PI / 180.0;

/* ln(1000): a fall of the amplitude by 60 dB. */
static const double LN_60_DB = 6.907755278982137;

/* Level of 1 Np. */
static const double DB_A_NEPER = 8.685889638065037;

/* The direct sound of a recorded response begins so long before its peak, and is faded out from
 * and until so long after it: the ways of the first reflections are some 0.7 m longer (estimate).
 */
static const double DIRECT_BEFORE_S = 0.001;
static const double DIRECT_FADE_S = 0.002;
static const double DIRECT_END_S = 0.003;

/* The level of a direct sound is the mean from LEVEL_STEP_HZ on to LEVEL_LAST_HZ: what all usual
 * rates and recordings hold, in steps as fine as the few milliseconds can tell apart. */
static const double LEVEL_STEP_HZ = 250.0;
static const double LEVEL_LAST_HZ = 8000.0;

/* Most that a valley of the response is raised by. */
static const double LIFT_MAX = 2.0;

/* Frames that share a table of phases, and those that are summed side by side. Responses are
 * filled up with zeros to whole stretches. */
enum { STRETCH = 256, LANES = 16 };

struct wp_hall {
    size_t n_ears;
    int rate_hz;
    size_t n_frames;
    float *responses[WP_CONVOLVER_EARS_MAX];
    struct wp_reverb reverb; /* of a room of a size; else with a decay of NAN */
};

static struct wp_reverb reverb_of(const struct wp_set *set, int rate_hz)
{
    const double *size_m = set->room.size_m;
    return (struct wp_reverb){
        .volume_m3 = size_m[0] * size_m[1] * size_m[2],
        .decay_s = set->room.decay_s,
        .temperature_c = set->temperature_c,
        .humidity_01 = set->room.humidity_01,
        .distance_m = hypot(set->listener_distance_m, set->listener_height_m),
        .rate_hz = rate_hz,
    };
}

/* The smallest box round tubes and listener, with sides along the room's. */
static void reach_of(const struct wp_set *set, const struct wp_chime *chime,
                     const struct wp_layout *layout, double reach_m[WP_SIDES])
{
    const double bearing = set->listener_bearing_deg * RADIAN;
    const double listener[WP_SIDES] = {set->listener_distance_m * sin(bearing),
                                       set->listener_distance_m * cos(bearing),
                                       set->listener_height_m};
    for (size_t side = 0; side < WP_SIDES; side++) {
        double low = listener[side];
        double high = listener[side];
        for (size_t i = 0; i < layout->n_tubes; i++) {
            const struct wp_tube_spec *spec = &chime->tubes[i].spec;
            const double middle[WP_SIDES] = {layout->x_m[i], layout->y_m[i], layout->middle_m[i]};
            const double half = 0.5 * (side == 2 ? spec->length_m : spec->outer_diameter_m);
            low = fmin(low, middle[side] - half);
            high = fmax(high, middle[side] + half);
        }
        reach_m[side] = high - low;
    }
}

/* What walls must swallow, as a share by Sabine's formula, for a decay that air shares in. */
static enum wp_status check_decay(const struct wp_set *set, struct wp_diags *diags)
{
    const double *side = set->room.size_m;
    const double surface_m2 = 2.0 * (side[0] * side[1] + side[1] * side[2] + side[2] * side[0]);
    const double volume_m3 = side[0] * side[1] * side[2];
    struct wp_air air;
    wp_air_init(&air, set->temperature_c);
    const double c = air.sound_speed_m_s;
    const double air_per_s =
        c * wp_air_loss_db_m(1000.0, set->temperature_c, set->room.humidity_01) / DB_A_NEPER;
    const double walls_per_s = LN_60_DB / set->room.decay_s - air_per_s;
    /* Sabine: the amplitude falls by c A / 8 V in a second. */
    const double share = 8.0 * volume_m3 * walls_per_s / (c * surface_m2);
    if (share > 1.0) {
        const double least_s = LN_60_DB / (air_per_s + c * surface_m2 / (8.0 * volume_m3));
        return wp_diags_add(diags, WP_E_RANGE, set->file, set->room.mark,
                            "a furnished living room has about 0.4 s",
                            "a decay of %.3g s is too short for this room: its walls would have to "
                            "swallow %.0f %% of the sound; expected at least %.3g s",
                            set->room.decay_s, 100.0 * share, ceil(1e3 * least_s) / 1e3);
    }
    if (walls_per_s <= 0.0) {
        return wp_diags_add(diags, WP_E_RANGE, set->file, set->room.mark,
                            "large stone halls have some 10 s",
                            "a decay of %.3g s is too long: the air alone swallows sound within "
                            "%.3g s; expected less",
                            set->room.decay_s, LN_60_DB / air_per_s);
    }
    return WP_OK;
}

static enum wp_status check_floor(const struct wp_set *set, const struct wp_chime *chime,
                                  const struct wp_layout *layout, struct wp_diags *diags)
{
    for (size_t i = 0; i < layout->n_tubes; i++) {
        const double below_m = 0.5 * chime->tubes[i].spec.length_m - layout->middle_m[i];
        if (below_m > set->site_height_m) {
            return wp_diags_add(diags, WP_E_CONFLICT, set->file, set->room.mark,
                                "raise the height of the site",
                                "tube %zu hangs into the ground: its end is %.3g m below the "
                                "middle of the longest tube, and that %.3g m above the ground",
                                i + 1, below_m, set->site_height_m);
        }
    }
    return WP_OK;
}

enum wp_status wp_hall_check(const struct wp_set *set, const struct wp_chime *chime,
                             const struct wp_layout *layout, struct wp_diags *diags)
{
    static const char *const words[WP_SIDES] = {"from west to east", "from south to north", "high"};
    double reach_m[WP_SIDES];
    if (set->room.kind == WP_ROOM_OUTDOORS) {
        return check_floor(set, chime, layout, diags);
    }
    if (set->room.kind != WP_ROOM_OF_SIZE) {
        return WP_OK;
    }
    reach_of(set, chime, layout, reach_m);
    for (size_t side = 0; side < WP_SIDES; side++) {
        if (reach_m[side] > set->room.size_m[side]) {
            return wp_diags_add(diags, WP_E_CONFLICT, set->file, set->room.mark,
                                "choose a larger room, or move the listener closer",
                                "set and listener do not fit into the room: together they are "
                                "%.3g m %s; expected at most the room's %.3g m",
                                reach_m[side], words[side], set->room.size_m[side]);
        }
    }
    return check_decay(set, diags);
}

static enum wp_status allocate(struct wp_hall *hall, size_t n_frames)
{
    hall->n_frames = n_frames;
    for (size_t ear = 0; ear < hall->n_ears; ear++) {
        hall->responses[ear] =
            calloc((n_frames / STRETCH + 1) * STRETCH, sizeof *hall->responses[ear]);
        if (!hall->responses[ear]) {
            return WP_E_NO_MEMORY;
        }
    }
    return WP_OK;
}

static size_t find_peak(const struct wp_impulse *impulse)
{
    size_t peak = 0;
    const size_t n_samples = impulse->n_frames * (size_t)impulse->n_channels;
    for (size_t i = 1; i < n_samples; i++) {
        if (fabsf(impulse->frames[i]) > fabsf(impulse->frames[peak])) {
            peak = i;
        }
    }
    return peak / (size_t)impulse->n_channels;
}

/* Share of a sample of a recorded response that belongs to the direct sound. */
static double direct_share(double after_s)
{
    const double faded = (after_s - DIRECT_FADE_S) / (DIRECT_END_S - DIRECT_FADE_S);
    if (after_s < -DIRECT_BEFORE_S || faded >= 1.0) {
        return 0.0;
    }
    return faded > 0.0 ? 0.5 + 0.5 * cos(M_PI * faded) : 1.0;
}

/* Power of the direct sound's transform at a frequency, the mean of the channels. */
static double direct_power_at(const struct wp_impulse *impulse, size_t peak, double freq_hz)
{
    const size_t before = (size_t)(DIRECT_BEFORE_S * impulse->rate_hz);
    const size_t end = peak + (size_t)(DIRECT_END_S * impulse->rate_hz) + 1;
    double sum = 0.0;
    for (int channel = 0; channel < impulse->n_channels; channel++) {
        double complex answer = 0.0;
        for (size_t i = peak > before ? peak - before : 0; i < end && i < impulse->n_frames; i++) {
            const double at_s = ((double)i - (double)peak) / impulse->rate_hz;
            const double sample =
                (double)impulse->frames[i * (size_t)impulse->n_channels + (size_t)channel];
            answer += direct_share(at_s) * sample *
                      cexp(-(double complex)I * 2.0 * M_PI * freq_hz * at_s);
        }
        sum +=
            (creal(answer) * creal(answer) + cimag(answer) * cimag(answer)) / impulse->n_channels;
    }
    return sum;
}

/* Mean size of the direct sound's transform. */
static double direct_size(const struct wp_impulse *impulse, size_t peak)
{
    const double end_hz = fmin(LEVEL_LAST_HZ + 1.0, 0.5 * impulse->rate_hz);
    double sum = 0.0;
    double n = 0.0;
    for (double hz = LEVEL_STEP_HZ; hz < end_hz; hz += LEVEL_STEP_HZ) {
        sum += direct_power_at(impulse, peak, hz);
        n += 1.0;
    }
    return sqrt(sum / n);
}

/* Takes the response from its peak on, without and relative to its direct sound. */
static enum wp_status take_recording(struct wp_hall *hall, const struct wp_impulse *impulse,
                                     double distance_m)
{
    const size_t peak = find_peak(impulse);
    const double scale = 1.0 / (distance_m * direct_size(impulse, peak));
    const size_t n_channels = (size_t)impulse->n_channels;
    const enum wp_status status = allocate(hall, impulse->n_frames - peak);
    for (size_t ear = 0; ear < hall->n_ears && !status; ear++) {
        const size_t channel = n_channels == 2 ? ear : 0;
        for (size_t i = 0; i < hall->n_frames; i++) {
            const double kept = 1.0 - direct_share((double)i / impulse->rate_hz);
            hall->responses[ear][i] =
                (float)(scale * kept * (double)impulse->frames[(peak + i) * n_channels + channel]);
        }
    }
    return status;
}

enum wp_status wp_hall_create(struct wp_hall **out, const struct wp_hall_config *config)
{
    const struct wp_set *set = config->set;
    *out = NULL;
    struct wp_hall *hall = calloc(1, sizeof *hall);
    if (!hall) {
        return WP_E_NO_MEMORY;
    }
    hall->n_ears = config->n_ears;
    hall->rate_hz = config->rate_hz;
    hall->reverb = reverb_of(set, config->rate_hz);
    enum wp_status status = WP_OK;
    if (set->room.kind == WP_ROOM_OF_SIZE) {
        status = allocate(hall, wp_reverb_count(&hall->reverb));
        if (!status) {
            status = wp_reverb_make(&hall->reverb, hall->responses, hall->n_ears);
        }
    } else {
        assert(config->impulse && config->impulse->rate_hz == config->rate_hz);
        hall->reverb.decay_s = NAN;
        status = take_recording(hall, config->impulse, hall->reverb.distance_m);
    }
    if (status) {
        wp_hall_destroy(hall);
        return status;
    }
    *out = hall;
    return WP_OK;
}

void wp_hall_destroy(struct wp_hall *hall)
{
    if (!hall) {
        return;
    }
    for (size_t ear = 0; ear < hall->n_ears; ear++) {
        free(hall->responses[ear]);
    }
    free(hall);
}

enum wp_status wp_hall_convolver(const struct wp_hall *hall, size_t block,
                                 struct wp_convolver **out)
{
    const float *const responses[WP_CONVOLVER_EARS_MAX] = {hall->responses[0], hall->responses[1]};
    return wp_convolver_create(out, responses, hall->n_ears, hall->n_frames, block);
}

size_t wp_hall_count(const struct wp_hall *hall)
{
    return hall->n_frames;
}

/* Sum of a stretch of a response times phases. */
WP_CLONED
static void sum_stretch(const float *restrict response, const float *restrict phase_re,
                        const float *restrict phase_im, double sum[2])
{
    float re[LANES] = {0.0f};
    float im[LANES] = {0.0f};
    for (int i = 0; i < STRETCH; i += LANES) {
        for (int lane = 0; lane < LANES; lane++) {
            re[lane] += response[i + lane] * phase_re[i + lane];
            im[lane] += response[i + lane] * phase_im[i + lane];
        }
    }
    sum[0] = 0.0;
    sum[1] = 0.0;
    for (int lane = 0; lane < LANES; lane++) {
        sum[0] += (double)re[lane];
        sum[1] += (double)im[lane];
    }
}

/* Transform of an ear's response at a frequency of so many radians a frame: stretch by stretch,
 * each with the same float phases, turned on in double. */
static double complex answer_at(const struct wp_hall *hall, size_t ear, double radians)
{
    float phase_re[STRETCH];
    float phase_im[STRETCH];
    for (int i = 0; i < STRETCH; i++) {
        phase_re[i] = (float)cos(radians * i);
        phase_im[i] = (float)-sin(radians * i);
    }
    const double complex step = cos(radians * STRETCH) - (double complex)I * sin(radians * STRETCH);
    double complex turn = 1.0;
    double complex sum = 0.0;
    for (size_t first = 0; first < hall->n_frames; first += STRETCH) {
        double stretch[2];
        sum_stretch(hall->responses[ear] + first, phase_re, phase_im, stretch);
        sum += turn * (stretch[0] + (double complex)I * stretch[1]);
        turn *= step;
    }
    return sum;
}

/* Mean power of the ears' answers. */
static double power_at(const struct wp_hall *hall, double radians)
{
    double sum = 0.0;
    for (size_t ear = 0; ear < hall->n_ears; ear++) {
        const double size = cabs(answer_at(hall, ear, radians));
        sum += size * size / (double)hall->n_ears;
    }
    return sum;
}

/* The same over a partial's line. A line much narrower than the response's hills is a point; of
 * another, three points stand for thirds of its power, which falls from the middle as that of a
 * resonance does. */
static double power_of_line(const struct wp_hall *hall, const struct wp_bank_partial *partial)
{
    const double fall_per_s = LN_60_DB / partial->t60_s;
    const double radians = 2.0 * M_PI * partial->freq_hz / hall->rate_hz;
    double power = power_at(hall, radians);
    if (fall_per_s > 0.1 * wp_reverb_fall_per_s(&hall->reverb, partial->freq_hz)) {
        const double aside = tan(M_PI / 3.0) * fall_per_s / hall->rate_hz;
        power = (power + power_at(hall, radians - aside) + power_at(hall, radians + aside)) / 3.0;
    }
    return power;
}

struct wp_transfer wp_hall_feed(const struct wp_hall *hall, const struct wp_bank_partial *partial,
                                const struct wp_transfer *direct)
{
    if (isnan(hall->reverb.decay_s)) {
        return (struct wp_transfer){1.0, 0.0};
    }
    const double wanted = wp_reverb_power(&hall->reverb, partial->freq_hz);
    const double found = power_of_line(hall, partial);
    const double size = fmin(sqrt(wanted / fmax(found, 1e-30)), LIFT_MAX);
    /* |D + g H|^2 summed over the ears has no mixed term when g sum(conj(D) H) is imaginary. */
    double complex mixed = 0.0;
    for (size_t ear = 0; ear < hall->n_ears; ear++) {
        const double complex d = direct[ear].re - (double complex)I * direct[ear].im;
        mixed += d * answer_at(hall, ear, 2.0 * M_PI * partial->freq_hz / hall->rate_hz);
    }
    const double turn = M_PI_2 - carg(mixed);
    return (struct wp_transfer){size * cos(turn), size * sin(turn)};
}

double wp_hall_ring_out_s(const struct wp_hall *hall, double drop_db)
{
    const double whole_s = (double)hall->n_frames / hall->rate_hz;
    if (isnan(hall->reverb.decay_s)) {
        return whole_s;
    }
    const double falls = drop_db / DB_A_NEPER;
    return fmin(falls / wp_reverb_fall_per_s(&hall->reverb, 0.0), whole_s);
}
