/* SPDX-License-Identifier: MIT */
/* Tubes solved a second: frequencies only, lengths for notes, and whole with all losses. */
#include <stdio.h>
#include <time.h>

#include "windpeal/tube.h"

enum { N_TUBES = 6 };

/* Runs for about this long each. */
static const double SPAN_S = 0.5;

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Six aluminium tubes of 32 mm by 1.6 mm, A3 to A4. */
static void fill(struct wp_tube_spec specs[N_TUBES])
{
    static const double notes_hz[N_TUBES] = {220.0, 261.6256, 293.6648, 329.6276, 391.9954, 440.0};
    for (int i = 0; i < N_TUBES; i++) {
        specs[i] = (struct wp_tube_spec){
            .material = *wp_material_find("aluminium 6063-T6"),
            .outer_diameter_m = 0.032,
            .wall_m = 0.0016,
            .temperature_c = 20.0,
            .is_supported_at_node = true,
            .cord_kg_m = 1e-3,
        };
        if (wp_tube_length_for(&specs[i], WP_TUNED_FIRST_PARTIAL, notes_hz[i],
                               &specs[i].length_m)) {
            fprintf(stderr, "no length for %g Hz\n", notes_hz[i]);
        }
    }
}

typedef double job(const struct wp_tube_spec *spec);

static double frequencies(const struct wp_tube_spec *spec)
{
    double freqs_hz[12];
    wp_tube_frequencies(spec, freqs_hz, 12);
    return freqs_hz[11];
}

static double length(const struct wp_tube_spec *spec)
{
    double length_m = 0.0;
    wp_tube_length_for(spec, WP_TUNED_FIRST_PARTIAL, 333.0, &length_m);
    return length_m;
}

static double whole(const struct wp_tube_spec *spec)
{
    struct wp_tube tube;
    wp_tube_solve(&tube, spec, 16000.0);
    return tube.partials[0].t60_s;
}

static double pressures(const struct wp_tube_spec *spec)
{
    struct wp_tube tube;
    const struct wp_ear ear = {3.0, 0.4};
    double sum = 0.0;
    wp_tube_solve(&tube, spec, 16000.0);
    for (size_t i = 0; i < tube.n_partials; i++) {
        sum += wp_tube_pressure(&tube, &tube.partials[i], ear);
    }
    return sum;
}

static void report(const char *name, job *run, const struct wp_tube_spec specs[N_TUBES])
{
    const double start_s = now_s();
    double sum = 0.0;
    long n = 0;
    while (now_s() - start_s < SPAN_S) {
        sum += run(&specs[n % N_TUBES]);
        n++;
    }
    const double each_s = (now_s() - start_s) / (double)n;
    printf("%-36s %9.0f /s   %8.3f ms each   (sum %.6g)\n", name, 1.0 / each_s, 1e3 * each_s, sum);
}

int main(void)
{
    struct wp_tube_spec specs[N_TUBES];
    fill(specs);
    report("frequencies of 12 partials", frequencies, specs);
    report("length for a note", length, specs);
    report("whole tube to 16 kHz, with losses", whole, specs);
    report("the same and pressure at one ear", pressures, specs);
    return 0;
}
