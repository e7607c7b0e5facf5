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
    enum wp_stock_kind stock;
    struct wp_material_uncertainty uncertainty;
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
 * an entry there are estimates.
 *
 * Uncertainties: of E, of the density (limits of the analysis; estimates), and the factor by which
 * the loss factor may be off (estimates from the ranges above). That of E covers what handbooks
 * disagree in and what batches differ by; the texts name the span (from memory, but those of EN
 * 10088-1, EN 572-1, ISO 3585 and ASME B31.3 as above). Temper and the texture of drawn brass and
 * copper decide theirs.
 */
static const struct entry table[] = {
    {"aluminium 6061-T6",
     {"aluminum 6061-T6", "aluminium 6061", "aluminum 6061", "6061-T6", "6061"},
     {68.9e9, 2700.0, 0.33, 1.0e-4, 23.6e-6, -5.0e-4, 167.0, 896.0, NAN},
     WP_STOCK_ALUMINIUM,
     {0.02, 0.005, 3.0, "68.9 GPa (ASM) to 70 GPa (EN 1999-1-1)"}},
    {"aluminium 6063-T6",
     {"aluminum 6063-T6", "aluminium 6063", "aluminum 6063", "6063-T6", "aluminium", "aluminum"},
     {68.9e9, 2700.0, 0.33, 1.0e-4, 23.4e-6, -5.0e-4, 200.0, 900.0, NAN},
     WP_STOCK_ALUMINIUM,
     {0.02, 0.005, 3.0, "68.3 to 68.9 GPa (ASM), 70 GPa (EN 1999-1-1)"}},
    {"carbon steel",
     {"steel", "mild steel", "steel tube", "steel S235", "steel 1020"},
     {200.0e9, 7850.0, 0.29, 2.0e-4, 12.0e-6, -2.9e-4, 50.0, 480.0, NAN},
     WP_STOCK_STEEL,
     {0.03, 0.005, 3.0, "200 GPa (ASM), 203 GPa (ASME B31.3), cold drawn less; estimate"}},
    {"stainless steel",
     {"stainless", "stainless steel 304", "steel 1.4301", "inox"},
     {200.0e9, 7900.0, 0.30, 2.0e-4, 16.0e-6, -3.75e-4, 15.0, 500.0, NAN},
     WP_STOCK_STAINLESS,
     {0.04, 0.005, 3.0, "193 GPa (ASM), 200 GPa (EN 10088-1)"}},
    {"copper",
     {"copper, hard", "hard copper", "copper tube", "copper C12200"},
     {117.0e9, 8940.0, 0.34, 6.0e-4, 16.8e-6, -3.5e-4, 330.0, 385.0, NAN},
     WP_STOCK_COPPER,
     {0.05, 0.005, 3.0, "111 to 123 GPa by temper and texture; estimate"}},
    {"brass",
     {"brass CuZn37", "brass C26000", "yellow brass", "CuZn37"},
     {105.0e9, 8450.0, 0.34, 3.0e-4, 20.0e-6, -3.9e-4, 120.0, 380.0, NAN},
     WP_STOCK_COPPER_ALLOY,
     {0.05, 0.01, 3.0, "100 to 110 GPa by zinc, temper and texture (ASM)"}},
    {"bronze",
     {"tin bronze", "phosphor bronze", "bronze CuSn8", "CuSn8"},
     {110.0e9, 8800.0, 0.34, 3.0e-4, 18.2e-6, -3.8e-4, 62.0, 377.0, NAN},
     WP_STOCK_COPPER_ALLOY,
     {0.05, 0.01, 3.0, "105 to 115 GPa by tin and temper; estimate"}},
    {"bell bronze",
     {"bell metal", "bronze CuSn20", "CuSn20"},
     {98.0e9, 8650.0, 0.34, 2.0e-4, 18.0e-6, -3.8e-4, 50.0, 370.0, NAN},
     WP_STOCK_OTHER,
     {0.08, 0.02, 3.0, "by tin, casting and pores; estimate"}},
    {"titanium",
     {"titanium grade 2", "pure titanium"},
     {105.0e9, 4510.0, 0.34, 3.0e-4, 8.6e-6, -5.5e-4, 20.0, 523.0, NAN},
     WP_STOCK_TITANIUM,
     {0.03, 0.005, 3.0, "103 to 107 GPa (ASM), texture; estimate"}},
    {"titanium 6Al-4V",
     {"titanium grade 5", "Ti-6Al-4V"},
     {113.8e9, 4430.0, 0.34, 2.0e-4, 8.6e-6, -5.0e-4, 6.7, 526.0, NAN},
     WP_STOCK_TITANIUM,
     {0.04, 0.005, 3.0, "110 to 118 GPa by texture (ASM)"}},
    {"glass",
     {"soda-lime glass", "float glass"},
     {70.0e9, 2500.0, 0.20, 1.0e-3, 9.0e-6, -1.5e-4, 1.0, 720.0, NAN},
     WP_STOCK_OTHER,
     {0.04, 0.01, 2.0, "70 GPa (EN 572-1), 69 to 73 GPa by composition; estimate"}},
    {"borosilicate glass",
     {"glass 3.3", "laboratory glass"},
     {64.0e9, 2230.0, 0.20, 1.0e-3, 3.3e-6, 0.6e-4, 1.2, 800.0, NAN},
     WP_STOCK_OTHER,
     {0.02, 0.005, 2.0, "64 GPa (ISO 3585); spread an estimate"}},
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

static const struct entry *find_entry(const char *name)
{
    for (size_t i = 0; i < N_ENTRIES; i++) {
        if (is_entry_named(&table[i], name)) {
            return &table[i];
        }
    }
    return NULL;
}

const struct wp_material *wp_material_find(const char *name)
{
    const struct entry *entry = find_entry(name);
    return entry ? &entry->values : NULL;
}

const struct wp_material_uncertainty *wp_material_uncertainty(const char *name)
{
    const struct entry *entry = find_entry(name);
    return entry ? &entry->uncertainty : NULL;
}

enum wp_stock_kind wp_stock_kind_of(const struct wp_set_material *material)
{
    const struct entry *entry = material->is_custom ? NULL : find_entry(material->name);
    return entry ? entry->stock : WP_STOCK_OTHER;
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
