/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_QUANTITY_H
#define WINDPEAL_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>

#include "windpeal/attributes.h"
#include "windpeal/status.h"

/* Numbers with units as people write them ("32 mm", "1 1/4 in", "9 mph"), and note names. */

/** What a quantity measures; decides which units fit. */
enum wp_dimension {
    WP_LENGTH,          /**< m, cm, mm, um, km, in, ft; -> m */
    WP_AREA,            /**< m2, cm2, mm2, in2; -> m2 */
    WP_MASS,            /**< kg, g, mg, oz, lb; -> kg */
    WP_LINEAR_DENSITY,  /**< kg/m, g/m, mg/m, oz/ft; -> kg/m */
    WP_DENSITY,         /**< kg/m3, g/cm3, lb/in3; -> kg/m3 */
    WP_PRESSURE,        /**< Pa, kPa, MPa, GPa, hPa, psi, ksi, Mpsi; -> Pa */
    WP_SPEED,           /**< m/s, km/h, mph, kt, ft/s, cm/s; -> m/s */
    WP_DURATION,        /**< s, ms, min, h, d; -> s */
    WP_RESISTANCE,      /**< kg/s, g/s, Ns/m; -> kg/s */
    WP_FORCE,           /**< N, mN; -> N */
    WP_VOLTAGE,         /**< V, mV; -> V */
    WP_CURRENT,         /**< A, mA; -> A */
    WP_OHM,             /**< ohm, mohm, kohm, also with the sign; -> ohm */
    WP_INDUCTANCE,      /**< H, mH, uH; -> H */
    WP_HEAT_CAPACITY,   /**< J/K; -> J/K */
    WP_HEAT_RESISTANCE, /**< K/W; -> K/W */
    WP_RATE,            /**< /s, /min, /h; -> 1/s */
    WP_FREQUENCY,       /**< Hz, kHz; -> Hz */
    WP_TEMPERATURE,     /**< C, F, K; -> degrees Celsius */
    WP_PER_KELVIN,      /**< /K, ppm/K; -> 1/K */
    WP_CONDUCTIVITY,    /**< W/mK, W/m/K; -> W/(m K) */
    WP_SPECIFIC_HEAT,   /**< J/kgK, J/kg/K; -> J/(kg K) */
    WP_SHARE,           /**< %, never a bare number: 0.3 may mean 0.3 % or 30 %; -> 1 */
    WP_ANGLE,           /**< deg, or a bare number of degrees; -> degrees */
    WP_DECIBELS,        /**< dB, or a bare number; -> dB */
    WP_NUMBER,          /**< a bare number */
};

/**
 * Reads a whole string as one quantity: a decimal number, or a whole number and a fraction
 * ("47 1/2 in"), a blank or none, and a unit of the dimension. Decimal point only; no locale.
 *
 * @param value  out: in the SI unit named at the dimension; untouched on failure
 * @param why    out: what was expected, for the message, with why_size bytes; may be NULL
 * @return WP_OK, WP_E_SYNTAX (no number, text left over), WP_E_UNIT (missing or unsuitable unit)
 */
WP_API enum wp_status wp_quantity_parse(const char *text, enum wp_dimension dimension,
                                        double *value, char *why, size_t why_size);

/** Writes a length as millimetres with one decimal ("1210.4 mm"). */
WP_API void wp_length_format_mm(double length_m, char *text, size_t text_size);

/** Writes a length in inches, as a fraction with the given denominator ("47 21/32 in"). */
WP_API void wp_length_format_inch(double length_m, int denominator, char *text, size_t text_size);

/**
 * Reads a note in scientific pitch notation (C4 is middle C): letter, # or b (also doubled),
 * octave -1 to 10, optional cents: "A3", "C#4", "Bb2 -14". Equal temperament on A4 = reference_hz.
 *
 * @param freq_hz  out; untouched on failure
 * @return WP_OK, or WP_E_SYNTAX
 */
WP_API enum wp_status wp_note_parse(const char *text, double reference_hz, double *freq_hz);

/**
 * The note that was probably meant by a spelling that wp_note_parse refuses: small letters ("g4"),
 * the German H, blanks inside the name ("C# 4"), cents without a blank or with a unit ("A4+12c").
 *
 * @param note  out: a spelling that wp_note_parse takes; "" when there is none
 * @return whether there is one
 */
WP_API bool wp_note_suggest(const char *text, char *note, size_t note_size);

/** How the black keys are called. */
enum wp_spelling { WP_SPELLING_SHARPS, WP_SPELLING_FLATS };

/** Semitones by which a name's signs move it: -1 for "Bb4", 1 for "C#4 -14", 0 for other text. */
WP_API int wp_note_accidental(const char *text);

/** Names the nearest note and the deviation in whole cents: "A3", "C#4 -14". freq_hz > 0. */
WP_API void wp_note_format(double freq_hz, double reference_hz, enum wp_spelling spelling,
                           char *text, size_t text_size);

#endif
