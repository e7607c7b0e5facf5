/* SPDX-License-Identifier: MIT */
/* Writes kicks for a controller. */
#include "app/pulse_list.h"

#include <inttypes.h>
#include <math.h>

#include "app/report.h"

static const char *const cautions[] = {
    "coil heat: the temperature is a model's; measure it on the finished coil, fit a thermal "
    "cut-out, and limit pulses in hardware, since a controller that hangs leaves the coil on",
    "supply: fuse it for the coil's full current and give the coil a freewheeling diode, without "
    "which switching off raises hundreds of volts",
    "strong magnets: keep coils and iron from pacemakers, cards and loose steel, and fingers out "
    "of the gap",
    "eye level: hang striker, foot and cords where no face meets them, and secure every part "
    "against falling",
    "local codes and the advice of licensed practice go before this list",
};

enum { N_CAUTIONS = sizeof cautions / sizeof cautions[0] };

void app_pulse_cautions(void)
{
    for (size_t i = 0; i < N_CAUTIONS; i++) {
        app_note("%s", cautions[i]);
    }
}

void app_pulse_print_heading(struct app_text_file *text)
{
    for (size_t i = 0; i < N_CAUTIONS; i++) {
        app_text_file_printed(text, fprintf(text->file, "# %s\n", cautions[i]));
    }
    app_text_file_printed(
        text, fprintf(text->file, "t_s,coil,duty,length_s,mean_m_s,wind_m_s,delay_s,coil_c\n"));
}

/* A number as thousandths of whole ones, whatever the locale. */
static void print_thousandths(struct app_text_file *text, uint64_t thousandths)
{
    app_text_file_printed(text, fprintf(text->file, ",%" PRIu64 ".%03u", thousandths / 1000,
                                        (unsigned int)(thousandths % 1000)));
}

void app_pulse_print(struct app_text_file *text, const struct wp_kick *kick)
{
    const long long micros = llround(1e6 * kick->t_s);
    const unsigned int ten_thousandths = (kick->duty_4096 * 10000u + 2048u) / 4096u;
    app_text_file_printed(text, fprintf(text->file, "%lld.%06lld,1,%u.%04u", micros / 1000000,
                                        micros % 1000000, ten_thousandths / 10000u,
                                        ten_thousandths % 10000u));
    print_thousandths(text, (uint64_t)llround(1000.0 * kick->length_s));
    print_thousandths(text, kick->mean_mm_s);
    print_thousandths(text, kick->now_mm_s);
    print_thousandths(text, kick->delay_ms);
    print_thousandths(text, (uint64_t)llround(1000.0 * fmax(kick->temperature_c, 0.0)));
    app_text_file_printed(text, fprintf(text->file, "\n"));
}

static void print_table(struct app_text_file *text, const char *name, const uint32_t *values)
{
    static const size_t a_line = 12;
    app_text_file_printed(
        text, fprintf(text->file, "\nstatic const uint32_t %s[KICK_CELLS + 1] = {", name));
    for (size_t i = 0; i <= WP_KICK_CELLS; i++) {
        app_text_file_printed(text, fprintf(text->file, "%s%" PRIu32 ",",
                                            i % a_line == 0 ? "\n    " : " ", values[i]));
    }
    app_text_file_printed(text, fprintf(text->file, "\n};\n"));
}

static void print_comment(struct app_text_file *text, const struct wp_set_coils *coils)
{
    app_text_file_printed(
        text,
        fprintf(text->file,
                "/*\n"
                " * When and how hard to kick, in whole numbers. Each time the wind is read:\n"
                " * average it over %.0f s; once kick_delay_ms of that mean has passed since\n"
                " * the last kick, and if kick_duty_4096 of the wind now is not 0, switch the\n"
                " * supply on for KICK_LENGTH_MS at that duty in 4096ths. Delay longer by\n"
                " * yourself when the coil is hot: no table knows its temperature.\n"
                " *\n",
                coils->mean_over_s));
    for (size_t i = 0; i < N_CAUTIONS; i++) {
        app_text_file_printed(text, fprintf(text->file, " * Caution, %s.\n", cautions[i]));
    }
    app_text_file_printed(text, fprintf(text->file, " */\n"));
}

static const char look_up[] =
    "\n"
    "static inline uint32_t kick_look_up(const uint32_t *table, uint32_t wind_mm_s)\n"
    "{\n"
    "    const uint32_t span = KICK_FULL_MM_S - KICK_CALM_MM_S;\n"
    "    if (wind_mm_s <= KICK_CALM_MM_S) {\n"
    "        return table[0];\n"
    "    }\n"
    "    if (wind_mm_s >= KICK_FULL_MM_S) {\n"
    "        return table[KICK_CELLS];\n"
    "    }\n"
    "    const uint32_t along = (wind_mm_s - KICK_CALM_MM_S) * KICK_CELLS;\n"
    "    const int64_t left = table[along / span];\n"
    "    const int64_t right = table[along / span + 1u];\n"
    "    return (uint32_t)(left + (right - left) * (int64_t)(along % span) / (int64_t)span);\n"
    "}\n"
    "\n"
    "/* Milliseconds from one kick to the next in this mean wind. */\n"
    "static inline uint32_t kick_delay_ms(uint32_t mean_mm_s)\n"
    "{\n"
    "    return kick_look_up(kick_delays_ms, mean_mm_s);\n"
    "}\n"
    "\n"
    "/* Duty times 4096 in the wind now; 0: no kick. */\n"
    "static inline uint32_t kick_duty_4096(uint32_t now_mm_s)\n"
    "{\n"
    "    return now_mm_s < KICK_CALM_MM_S ? 0u : kick_look_up(kick_duties_4096, now_mm_s);\n"
    "}\n"
    "\n"
    "#endif\n";

void app_pulse_print_header(struct app_text_file *text, const struct wp_set *set)
{
    struct wp_kick_table table;
    wp_kick_table_init(&table, &set->drive.coils);
    print_comment(text, &set->drive.coils);
    app_text_file_printed(
        text, fprintf(text->file,
                      "#ifndef KICK_TABLES_H\n#define KICK_TABLES_H\n\n#include <stdint.h>\n\n"
                      "#define KICK_CELLS %du\n"
                      "#define KICK_CALM_MM_S %" PRIu32 "u\n"
                      "#define KICK_FULL_MM_S %" PRIu32 "u\n"
                      "#define KICK_LENGTH_MS %lldu\n",
                      WP_KICK_CELLS, table.calm_mm_s, table.full_mm_s,
                      llround(1000.0 * set->drive.coils.pulse_s)));
    print_table(text, "kick_delays_ms", table.delay_ms);
    print_table(text, "kick_duties_4096", table.duty_4096);
    app_text_file_printed(text, fprintf(text->file, "%s", look_up));
}
