/* SPDX-License-Identifier: MIT */
/* What a tube is made of: the built-in table, and what stands in for values left out. */
#include "tube/material.h"

#include <ctype.h>
#include <math.h>
#include <stdbool.h>
#include <string.h>

#include "windpeal/tube.h"

struct entry {
    const char *name;
    const char *aliases[6];
    struct wp_material values;
};

/*
 * Room temperature values. E, density, Poisson's ratio, loss factor, expansion, (1/E) dE/dT,
 * conductivity, specific heat; restitution belongs to strikers.
 *
 * Stiffness, density, expansion and heat of metals: ASM Metals Handbook, 10th ed., vol. 1 and 2,
 * typical values (from memory), except stainless steel: EN 10088-1 (1.4301), and glass: EN 572-1
 * and ISO 3585. dE/dT of steel: ASME B31.3, table C-6 (203.4 GPa at 21 C, 198.6 GPa at 93 C), of
 * stainless steel: EN 10088-1 (200 GPa at 20 C, 194 GPa at 100 C); others from memory, +-20 %.
 * Loss factors are the least certain: within the ranges of Cremer & Heckl, Structure-Borne Sound
 * (1988), aluminium 1e-4, iron 2e-4 to 6e-4, copper up to 2e-3, brass below 1e-3; alloys without
 * an entry there are estimates. E of drawn brass and copper varies by 5 % with temper.
 */
static const struct entry table[] = {
    {"aluminium 6061-T6",
     {"aluminum 6061-T6", "aluminium 6061", "aluminum 6061", "6061-T6", "6061"},
     {68.9e9, 2700.0, 0.33, 1.0e-4, 23.6e-6, -5.0e-4, 167.0, 896.0, NAN}},
    {"aluminium 6063-T6",
     {"aluminum 6063-T6", "aluminium 6063", "aluminum 6063", "6063-T6", "aluminium", "aluminum"},
     {68.9e9, 2700.0, 0.33, 1.0e-4, 23.4e-6, -5.0e-4, 200.0, 900.0, NAN}},
    {"carbon steel",
     {"steel", "mild steel", "steel tube", "steel S235", "steel 1020"},
     {200.0e9, 7850.0, 0.29, 2.0e-4, 12.0e-6, -2.9e-4, 50.0, 480.0, NAN}},
    {"stainless steel",
     {"stainless", "stainless steel 304", "steel 1.4301", "inox"},
     {200.0e9, 7900.0, 0.30, 2.0e-4, 16.0e-6, -3.75e-4, 15.0, 500.0, NAN}},
    {"copper",
     {"copper, hard", "hard copper", "copper tube", "copper C12200"},
     {117.0e9, 8940.0, 0.34, 6.0e-4, 16.8e-6, -3.5e-4, 330.0, 385.0, NAN}},
    {"brass",
     {"brass CuZn37", "brass C26000", "yellow brass", "CuZn37"},
     {105.0e9, 8450.0, 0.34, 3.0e-4, 20.0e-6, -3.9e-4, 120.0, 380.0, NAN}},
    {"bronze",
     {"tin bronze", "phosphor bronze", "bronze CuSn8", "CuSn8"},
     {110.0e9, 8800.0, 0.34, 3.0e-4, 18.2e-6, -3.8e-4, 62.0, 377.0, NAN}},
    {"bell bronze",
     {"bell metal", "bronze CuSn20", "CuSn20"},
     {98.0e9, 8650.0, 0.34, 2.0e-4, 18.0e-6, -3.8e-4, 50.0, 370.0, NAN}},
    {"titanium",
     {"titanium grade 2", "pure titanium"},
     {105.0e9, 4510.0, 0.34, 3.0e-4, 8.6e-6, -5.5e-4, 20.0, 523.0, NAN}},
    {"titanium 6Al-4V",
     {"titanium grade 5", "Ti-6Al-4V"},
     {113.8e9, 4430.0, 0.34, 2.0e-4, 8.6e-6, -5.0e-4, 6.7, 526.0, NAN}},
    {"glass",
     {"soda-lime glass", "float glass"},
     {70.0e9, 2500.0, 0.20, 1.0e-3, 9.0e-6, -1.5e-4, 1.0, 720.0, NAN}},
    {"borosilicate glass",
     {"glass 3.3", "laboratory glass"},
     {64.0e9, 2230.0, 0.20, 1.0e-3, 3.3e-6, 0.6e-4, 1.2, 800.0, NAN}},
};

enum { N_ENTRIES = sizeof table / sizeof table[0], N_ALIASES = 6 };

/* Steps over blanks, and says whether there were any. */
static bool skip_blanks(const char **text)
{
    const char *start = *text;
    while (**text && isspace((unsigned char)**text)) {
        (*text)++;
    }
    return *text != start;
}

/* Same words, without regard to case, outer blanks and how many blanks stand between. */
static bool is_same_name(const char *a, const char *b)
{
    skip_blanks(&a);
    skip_blanks(&b);
    while (*a || *b) {
        if (tolower((unsigned char)*a) != tolower((unsigned char)*b)) {
            return false;
        }
        a++;
        b++;
        const bool had_blank_a = skip_blanks(&a);
        const bool had_blank_b = skip_blanks(&b);
        if (had_blank_a != had_blank_b && *a && *b) {
            return false;
        }
    }
    return true;
}

static bool is_entry_named(const struct entry *entry, const char *name)
{
    if (is_same_name(entry->name, name)) {
        return true;
    }
    for (size_t i = 0; i < N_ALIASES; i++) {
        if (entry->aliases[i] && is_same_name(entry->aliases[i], name)) {
            return true;
        }
    }
    return false;
}

const struct wp_material *wp_material_find(const char *name)
{
    for (size_t i = 0; i < N_ENTRIES; i++) {
        if (is_entry_named(&table[i], name)) {
            return &table[i].values;
        }
    }
    return NULL;
}

const char *wp_material_name(size_t index)
{
    return index < N_ENTRIES ? table[index].name : NULL;
}

size_t wp_material_words(const char **words)
{
    _Static_assert(N_ENTRIES * (1 + N_ALIASES) <= WP_MATERIAL_WORDS_MAX, "raise the room");
    size_t n_words = 0;
    for (size_t i = 0; i < N_ENTRIES; i++) {
        words[n_words++] = table[i].name;
        for (size_t j = 0; j < N_ALIASES; j++) {
            if (table[i].aliases[j]) {
                words[n_words++] = table[i].aliases[j];
            }
        }
    }
    return n_words;
}

static void fill_in(double *value, double stand_in)
{
    if (isnan(*value)) {
        *value = stand_in;
    }
}

void wp_material_complete(struct wp_material *material)
{
    fill_in(&material->poisson_ratio, 0.33); /* most metals lie between 0.29 and 0.35 */
    fill_in(&material->loss_factor, 2.0e-4); /* between aluminium and iron of the table */
    fill_in(&material->thermal_expansion_per_k, 0.0);
    fill_in(&material->stiffness_per_k, 0.0);
}
