/* SPDX-License-Identifier: MIT */
/* Prints help from the option table. */
#include "app/help.h"

#include <string.h>

#include "app/preset.h"

enum { HELP_WIDTH = 80, OPTION_MARGIN = 8 };

int app_field_width(const char *text, int columns)
{
    for (; *text; text++) {
        columns += ((unsigned char)*text & 0xC0) == 0x80;
    }
    return columns;
}

void app_print_wrapped(FILE *out, const char *text, int margin)
{
    int column = 0;
    for (const char *word = text; *word;) {
        const int length = (int)strcspn(word, " ");
        if (column > 0 && column + 1 + length > HELP_WIDTH) {
            fputc('\n', out);
            column = 0;
        }
        const int gap = column > 0 ? 1 : margin;
        fprintf(out, "%*s%.*s", gap, "", length, word);
        column += gap + length;
        word += length;
        word += strspn(word, " ");
    }
    fputc('\n', out);
}

void app_help_print_short(FILE *out)
{
    fputs("usage: windpeal COMMAND SET [WEATHER] [options]\ncommands:", out);
    for (int i = 0; i < APP_N_COMMANDS; i++) {
        const struct app_command *command = app_command((enum app_command_id)i);
        if (!command->is_later) {
            fprintf(out, " %s", command->name);
        }
    }
    fputs("; windpeal --help tells more\n", out);
}

static void print_presets(FILE *out)
{
    struct app_presets presets;
    char list[400];
    char text[420];
    app_presets_list(&presets);
    app_presets_join(&presets, list, sizeof list);
    snprintf(text, sizeof text, "Presets: %s.", list);
    app_print_wrapped(out, text, 0);
}

void app_help_print(FILE *out)
{
    fputs("windpeal renders the sound of a chime set from weather data.\n\n"
          "usage: windpeal COMMAND SET [WEATHER] [options]\n\n",
          out);
    for (int i = 0; i < APP_N_COMMANDS; i++) {
        const struct app_command *command = app_command((enum app_command_id)i);
        if (!command->is_later) {
            fprintf(out, "  %-9s %s\n", command->name, command->summary);
        }
    }
    fputs("\n", out);
    app_print_wrapped(
        out,
        "SET is a set file, or the bare name of a preset (looked for in ./presets, "
        "then in the installed data). WEATHER is a weather file, the bare name of a "
        "sample, or - for standard input; --wind, --beaufort or --metar stand in for it.",
        0);
    print_presets(out);
    fputs("The manual page (man windpeal) lists every key of a set file.\n", out);
    fputs("\nexamples:\n", out);
    for (int i = 0; i < APP_N_COMMANDS; i++) {
        const struct app_example *example = &app_command((enum app_command_id)i)->examples[0];
        if (example->line) {
            fprintf(out, "  windpeal %s\n", example->line);
        }
    }
    fputs("\nwindpeal COMMAND --help shows a command's options and examples, --version the "
          "version.\n"
          "Exit code: 0 done, 1 the system could not, 2 the input is wrong, 130 or 143 stopped.\n",
          out);
}

static void print_option(FILE *out, const struct app_option *option)
{
    char value[128];
    app_option_value_text(option, value, sizeof value);
    fputs("  ", out);
    if (option->letter) {
        fprintf(out, "-%c, ", option->letter);
    }
    fprintf(out, "--%s%s%s\n", option->name, *value ? " " : "", value);
    app_print_wrapped(out, option->text, OPTION_MARGIN);
}

/* Options stand under their headings in the order of the table. */
static void print_options(FILE *out, enum app_command_id id)
{
    bool is_printed[APP_N_OPTIONS] = {false};
    for (int i = 0; i < APP_N_OPTIONS; i++) {
        const struct app_option *first = app_option((enum app_option_id)i);
        if (is_printed[i] || first->is_later || !app_option_fits(first, id)) {
            continue;
        }
        fprintf(out, "\n%s:\n", first->heading);
        for (int j = i; j < APP_N_OPTIONS; j++) {
            const struct app_option *option = app_option((enum app_option_id)j);
            if (option->heading == first->heading && !option->is_later &&
                app_option_fits(option, id)) {
                print_option(out, option);
                is_printed[j] = true;
            }
        }
    }
}

void app_help_print_command(FILE *out, enum app_command_id id)
{
    const struct app_command *command = app_command(id);
    fprintf(out, "windpeal %s: %s\n\nusage: windpeal %s %s [options]\n\n", command->name,
            command->summary, command->name, command->operands);
    app_print_wrapped(out, command->description, 0);
    if (strncmp(command->operands, "SET", 3) == 0) {
        fputc('\n', out);
        print_presets(out);
    }
    print_options(out, id);
    fputs("\nexamples:\n", out);
    for (size_t i = 0; i < APP_EXAMPLES_MAX && command->examples[i].line; i++) {
        const struct app_example *example = &command->examples[i];
        fprintf(out, "  windpeal %s\n      %s\n", example->line, example->purpose);
    }
}
