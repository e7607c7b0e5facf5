/* SPDX-License-Identifier: MIT */
/* Reads a command line by the option table. */
#include "app/arguments.h"

#include <ctype.h>
#include <errno.h>
#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum wp_status app_refuse(struct wp_diags *diags, enum wp_status status, const char *hint,
                          const char *format, ...)
{
    char message[320];
    va_list values;
    va_start(values, format);
    vsnprintf(message, sizeof message, format, values);
    va_end(values);
    return wp_diags_add(diags, status, NULL, (struct wp_mark){0, 0}, hint, "%s", message);
}

enum wp_status app_refuse_both(const struct app_arguments *arguments, enum app_option_id one,
                               enum app_option_id other, struct wp_diags *diags)
{
    if (!arguments->is_given[one] || !arguments->is_given[other]) {
        return WP_OK;
    }
    return app_refuse(diags, WP_E_CONFLICT, "leave out one of them",
                      "--%s and --%s exclude each other", app_option(one)->name,
                      app_option(other)->name);
}

bool app_arguments_want_json(int argc, char *const argv[])
{
    for (int i = 1; i < argc && strcmp(argv[i], "--") != 0; i++) {
        if (strcmp(argv[i], "--json") == 0) {
            return true;
        }
    }
    return false;
}

/* "did you mean X?", or a place to look when nothing is near. */
static const char *near_hint(const char *prefix, const char *near, const char *otherwise,
                             char hint[320])
{
    if (near) {
        snprintf(hint, 320, "did you mean %s%s?", prefix, near);
    } else {
        snprintf(hint, 320, "%s", otherwise);
    }
    return hint;
}

static enum wp_status parse_command(struct app_arguments *arguments, const char *word,
                                    struct wp_diags *diags)
{
    const char *names[APP_N_COMMANDS];
    for (int i = 0; i < APP_N_COMMANDS; i++) {
        const struct app_command *command = app_command((enum app_command_id)i);
        names[i] = command->name;
        if (strcmp(word, command->name) != 0) {
            continue;
        }
        if (command->is_later) {
            return app_refuse(diags, WP_E_NOT_BUILT, "windpeal --help lists what there is",
                              "the command %s is not in this version", word);
        }
        arguments->command = (enum app_command_id)i;
        return WP_OK;
    }
    char hint[320];
    near_hint("", wp_nearest_word(word, names, APP_N_COMMANDS),
              word[0] == '-' ? "the command stands first, its options behind it"
                             : "windpeal --help lists the commands",
              hint);
    return app_refuse(diags, WP_E_UNKNOWN_KEY, hint, "there is no command '%s'", word);
}

/* An unknown option: perhaps it belongs to another command, perhaps it is misspelt. */
static enum wp_status refuse_unknown(enum app_command_id command, const char *word,
                                     struct wp_diags *diags)
{
    const char *name = word + strspn(word, "-");
    const char *names[APP_N_OPTIONS];
    char typed[80];
    char hint[320];
    const int length = (int)strcspn(name, "=");
    snprintf(typed, sizeof typed, "%.*s", length, name);
    for (int i = 0; i < APP_N_OPTIONS; i++) {
        const struct app_option *option = app_option((enum app_option_id)i);
        names[i] = app_option_fits(option, command) && !option->is_later ? option->name : NULL;
    }
    char help[96];
    snprintf(help, sizeof help, "windpeal %s --help lists its options", app_command(command)->name);
    near_hint("--", wp_nearest_word(typed, names, APP_N_OPTIONS), help, hint);
    return app_refuse(diags, WP_E_UNKNOWN_KEY, hint, "%s has no option %.*s%s",
                      app_command(command)->name, (int)(name - word), word, typed);
}

/* Finds the option of a command by name of given length, or by letter with length 0. */
static int find_option(enum app_command_id command, const char *name, size_t length, char letter)
{
    for (int i = 0; i < APP_N_OPTIONS; i++) {
        const struct app_option *option = app_option((enum app_option_id)i);
        const bool is_named = length > 0 && strlen(option->name) == length &&
                              strncmp(option->name, name, length) == 0;
        const bool is_lettered = length == 0 && option->letter == letter;
        if (app_option_fits(option, command) && (is_named || is_lettered)) {
            return i;
        }
    }
    return -1;
}

static enum wp_status parse_choice(struct app_arguments *arguments, enum app_option_id id,
                                   const char *value, struct wp_diags *diags)
{
    const struct app_option *option = app_option(id);
    const size_t n_choices = app_option_n_choices(option);
    for (size_t i = 0; i < n_choices; i++) {
        if (strcmp(value, option->choices[i]) == 0) {
            arguments->choice[id] = i;
            return WP_OK;
        }
    }
    if (option->later_choice && strcmp(value, option->later_choice) == 0) {
        return app_refuse(diags, WP_E_NOT_BUILT, NULL, "--%s %s is not in this version",
                          option->name, value);
    }
    char expected[128];
    char hint[320];
    app_option_value_text(option, expected, sizeof expected);
    const char *near = wp_nearest_word(value, option->choices, n_choices);
    near_hint("", near, "", hint);
    return app_refuse(diags, WP_E_UNKNOWN_NAME, hint, "--%s cannot be '%s'; expected %s",
                      option->name, value, expected);
}

static bool is_out_of_bounds(const struct app_option *option, double value)
{
    const bool is_bounded = option->least != 0.0 || option->most != 0.0;
    return is_bounded && !(value >= option->least && value <= option->most);
}

static enum wp_status refuse_bounds(const struct app_option *option, const char *value,
                                    struct wp_diags *diags)
{
    return app_refuse(diags, WP_E_RANGE, NULL, "--%s %s is out of range; expected %s", option->name,
                      value, option->range);
}

static enum wp_status parse_quantity(struct app_arguments *arguments, enum app_option_id id,
                                     const char *value, struct wp_diags *diags)
{
    const struct app_option *option = app_option(id);
    double number;
    char why[200] = "";
    const enum wp_status status =
        wp_quantity_parse(value, option->dimension, &arguments->number[id], why, sizeof why);
    if (status) {
        const bool is_bare =
            status == WP_E_UNIT && wp_quantity_parse(value, WP_NUMBER, &number, NULL, 0) == WP_OK;
        return app_refuse(diags, status, is_bare ? "write the unit behind the number" : NULL,
                          "--%s cannot be '%s'; expected %s", option->name, value, why);
    }
    return is_out_of_bounds(option, arguments->number[id]) ? refuse_bounds(option, value, diags)
                                                           : WP_OK;
}

static enum wp_status parse_whole(struct app_arguments *arguments, enum app_option_id id,
                                  const char *value, struct wp_diags *diags)
{
    const struct app_option *option = app_option(id);
    char *end = NULL;
    errno = 0;
    const unsigned long long whole = strtoull(value, &end, 10);
    if (!isdigit((unsigned char)value[0]) || *end || errno) {
        return app_refuse(diags, WP_E_SYNTAX, NULL,
                          "--%s cannot be '%s'; expected a whole number, not negative",
                          option->name, value);
    }
    if (is_out_of_bounds(option, (double)whole)) {
        return refuse_bounds(option, value, diags);
    }
    arguments->whole[id] = whole;
    return WP_OK;
}

static enum wp_status parse_value(struct app_arguments *arguments, enum app_option_id id,
                                  const char *value, struct wp_diags *diags)
{
    const struct app_option *option = app_option(id);
    if (arguments->is_given[id] && option->is_twice && !arguments->again[id] && *value) {
        arguments->again[id] = value;
        return WP_OK;
    }
    if (arguments->is_given[id]) {
        return app_refuse(diags, WP_E_CONFLICT, NULL, "--%s is given %s", option->name,
                          arguments->again[id] ? "more than twice" : "twice");
    }
    arguments->is_given[id] = true;
    arguments->text[id] = value;
    switch (option->kind) {
    case APP_CHOICE:
        return parse_choice(arguments, id, value, diags);
    case APP_QUANTITY:
        return parse_quantity(arguments, id, value, diags);
    case APP_WHOLE:
        return parse_whole(arguments, id, value, diags);
    case APP_FLAG:
        return WP_OK;
    case APP_TEXT:
    case APP_FILE:
    case APP_FOLDER:
        break;
    }
    if (!*value) {
        return app_refuse(diags, WP_E_SYNTAX, NULL, "--%s is empty; expected %s", option->name,
                          option->value);
    }
    return WP_OK;
}

/* One option at argv[*at] of the form --name, --name=value, -x or -xvalue; moves *at past it. */
static enum wp_status parse_option(struct app_arguments *arguments, int argc, char *const argv[],
                                   int *at, struct wp_diags *diags)
{
    const char *word = argv[(*at)++];
    const bool is_long = word[1] == '-';
    const size_t length = is_long ? strcspn(word + 2, "=") : 0;
    const char *attached = is_long ? word + 2 + length : word + 2;
    if (is_long && length == 0) {
        return app_refuse(diags, WP_E_SYNTAX, NULL, "'%s' is no option", word);
    }
    const int found = find_option(arguments->command, word + 2, length, word[1]);
    if (found < 0) {
        return refuse_unknown(arguments->command, word, diags);
    }
    const enum app_option_id id = (enum app_option_id)found;
    const struct app_option *option = app_option(id);
    if (option->is_later) {
        return app_refuse(diags, WP_E_NOT_BUILT, NULL, "--%s is not in this version", option->name);
    }
    if (option->kind == APP_FLAG) {
        return *attached ? app_refuse(diags, WP_E_SYNTAX, NULL, "--%s takes no value", option->name)
                         : parse_value(arguments, id, "", diags);
    }
    if (*attached) {
        return parse_value(arguments, id, attached + (is_long ? 1 : 0), diags);
    }
    if (*at >= argc || strncmp(argv[*at], "--", 2) == 0) {
        char expected[128];
        app_option_value_text(option, expected, sizeof expected);
        return app_refuse(diags, WP_E_MISSING, NULL, "--%s needs a value; expected %s",
                          option->name, expected);
    }
    return parse_value(arguments, id, argv[(*at)++], diags);
}

static enum wp_status check_operands(const struct app_arguments *arguments, size_t n_words,
                                     const char *first_extra, struct wp_diags *diags)
{
    const struct app_command *command = app_command(arguments->command);
    char hint[160];
    snprintf(hint, sizeof hint, "windpeal %s --help has examples", command->name);
    if (n_words < command->least_operands) {
        return app_refuse(diags, WP_E_MISSING, hint, "%s needs a set; expected windpeal %s %s",
                          command->name, command->name, command->operands);
    }
    if (n_words > command->most_operands) {
        return app_refuse(diags, WP_E_SYNTAX, hint,
                          "'%s' is one word too many; expected windpeal %s %s", first_extra,
                          command->name, command->operands);
    }
    return WP_OK;
}

enum wp_status app_arguments_parse(struct app_arguments *arguments, int argc, char *const argv[],
                                   struct wp_diags *diags)
{
    *arguments = (struct app_arguments){0};
    enum wp_status status = parse_command(arguments, argv[1], diags);
    if (status) {
        return status;
    }
    const size_t most = app_command(arguments->command)->most_operands;
    const char *first_extra = "";
    size_t n_words = 0;
    bool is_past_options = false;
    for (int at = 2; at < argc;) {
        if (!is_past_options && strcmp(argv[at], "--") == 0) {
            is_past_options = true;
            at++;
        } else if (!is_past_options && argv[at][0] == '-' && argv[at][1]) {
            parse_option(arguments, argc, argv, &at, diags);
        } else {
            if (n_words < most) {
                arguments->operands[n_words] = argv[at];
            } else if (n_words == most) {
                first_extra = argv[at];
            }
            n_words++;
            at++;
        }
    }
    arguments->n_operands = n_words < most ? n_words : most;
    status = wp_diags_status(diags);
    if (!status && !arguments->is_given[APP_HELP]) {
        status = check_operands(arguments, n_words, first_extra, diags);
    }
    return status;
}
