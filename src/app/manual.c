/* SPDX-License-Identifier: MIT */
/* Build-time generator: writes the manual page or a shell completion from the option table. */
#include <stdio.h>
#include <string.h>

#include "app/options.h"

/* Text for roff: hyphens and backslashes escaped, no line taken for a request. */
static void print_roff(const char *text)
{
    if (*text == '.' || *text == '\'') {
        fputs("\\&", stdout);
    }
    for (; *text; text++) {
        if (*text == '-') {
            fputs("\\-", stdout);
        } else if (*text == '\\') {
            fputs("\\e", stdout);
        } else if (*text == '\'') {
            fputs("\\(aq", stdout);
        } else {
            putchar(*text);
        }
    }
}

static void print_roff_line(const char *text)
{
    print_roff(text);
    putchar('\n');
}

static void print_roff_option(const struct app_option *option)
{
    char value[128];
    app_option_value_text(option, value, sizeof value);
    fputs(".TP\n.B ", stdout);
    if (option->letter) {
        printf("\\-%c, ", option->letter);
    }
    fputs("\\-\\-", stdout);
    print_roff(option->name);
    if (*value) {
        fputs("\\fR \\fI", stdout);
        print_roff(value);
        fputs("\\fR", stdout);
    }
    putchar('\n');
    print_roff(option->text);
    fputs(" (", stdout);
    const char *separator = "";
    for (int i = 0; i < APP_N_COMMANDS; i++) {
        if (app_option_fits(option, (enum app_command_id)i)) {
            printf("%s%s", separator, app_command((enum app_command_id)i)->name);
            separator = ", ";
        }
    }
    fputs(")\n", stdout);
}

static void print_roff_commands(void)
{
    puts(".SH COMMANDS");
    for (int i = 0; i < APP_N_COMMANDS; i++) {
        const struct app_command *command = app_command((enum app_command_id)i);
        if (!command->is_later) {
            printf(".TP\n\\fBwindpeal %s\\fR \\fI", command->name);
            print_roff(command->operands);
            puts("\\fR");
            print_roff_line(command->description);
        }
    }
}

static void print_roff_options(void)
{
    const char *heading = NULL;
    bool is_printed[APP_N_OPTIONS] = {false};
    puts(".SH OPTIONS");
    for (int i = 0; i < APP_N_OPTIONS; i++) {
        heading = app_option((enum app_option_id)i)->heading;
        if (!is_printed[i] && !app_option((enum app_option_id)i)->is_later) {
            printf(".SS %s\n", heading);
        }
        for (int j = i; j < APP_N_OPTIONS; j++) {
            const struct app_option *option = app_option((enum app_option_id)j);
            if (option->heading == heading && !is_printed[j] && !option->is_later) {
                print_roff_option(option);
                is_printed[j] = true;
            }
        }
    }
}

static void print_roff_examples(void)
{
    puts(".SH EXAMPLES");
    for (int i = 0; i < APP_N_COMMANDS; i++) {
        const struct app_command *command = app_command((enum app_command_id)i);
        for (size_t j = 0; j < APP_EXAMPLES_MAX && command->examples[j].line; j++) {
            fputs(".TP\n.B windpeal ", stdout);
            print_roff_line(command->examples[j].line);
            print_roff_line(command->examples[j].purpose);
        }
    }
}

/* Copies the README's list of keys: the first block of YAML under "The set file". */
static int print_roff_set_file(const char *readme)
{
    enum { ELSEWHERE, UNDER_HEADING, IN_BLOCK, BEHIND } place = ELSEWHERE;
    char line[256];
    FILE *file = fopen(readme, "r");
    if (!file) {
        perror(readme);
        return 1;
    }
    puts(".SH SET FILE\n"
         "YAML with plain values. Every key with its default, unless the remark says otherwise:\n"
         ".PP\n.nf");
    while (place != BEHIND && fgets(line, sizeof line, file)) {
        line[strcspn(line, "\n")] = '\0';
        if (place == ELSEWHERE && strcmp(line, "## The set file") == 0) {
            place = UNDER_HEADING;
        } else if (place == UNDER_HEADING && strcmp(line, "```yaml") == 0) {
            place = IN_BLOCK;
        } else if (place == IN_BLOCK && strcmp(line, "```") == 0) {
            place = BEHIND;
        } else if (place == IN_BLOCK) {
            print_roff_line(line);
        }
    }
    puts(".fi");
    fclose(file);
    if (place != BEHIND) {
        fprintf(stderr, "%s: no list of keys under 'The set file'\n", readme);
    }
    return place != BEHIND;
}

static int print_manual(const char *version, const char *readme)
{
    printf(".TH WINDPEAL 1 \"\" \"windpeal %s\" \"User Commands\"\n", version);
    puts(".SH NAME\nwindpeal \\- render the sound of a chime set from weather data\n"
         ".SH SYNOPSIS\n.B windpeal\n.I COMMAND SET \\fR[\\fIWEATHER\\fR] [\\fIoptions\\fR]\n"
         ".SH DESCRIPTION\n"
         "windpeal computes what a set of hanging metal tubes or rods, struck by one swinging\n"
         "striker, sounds like in a given weather, so that a tuning can be heard before metal is\n"
         "cut. SET is a set file, or the bare name of a preset, which is looked for in\n"
         ".I ./presets\nand then in the installed data. WEATHER is a weather file, the bare name "
         "of\n"
         "a sample (likewise from\n.IR ./weather\\-samples ),\nor \\- for standard input; "
         "\\-\\-wind, \\-\\-beaufort or \\-\\-metar stand in for it.\n"
         "Quantities carry their unit, as in \\(aq32 mm\\(aq or \\(aq1 1/4 in\\(aq.");
    print_roff_commands();
    print_roff_options();
    const int failed = print_roff_set_file(readme);
    print_roff_examples();
    puts(".SH EXIT STATUS\n"
         ".TP\n.B 0\ndone\n.TP\n.B 1\nthe system could not (disk, memory)\n"
         ".TP\n.B 2\nthe input is wrong\n.TP\n.B 130, 143\nstopped by a signal; what was written\n"
         "so far stays in a playable FILE.part\n"
         ".SH ENVIRONMENT\n.TP\n.B NO_COLOR\nwhen set, messages on a terminal have no colour\n"
         ".SH CAUTIONS\n"
         "Start playback quietly: the program cannot know how loud your loudspeakers are. Hanging\n"
         "tubes are loads over people; cutting metal hurts eyes and ears. Local codes and\n"
         "licensed practice go before anything printed here.");
    return failed;
}

/* What a command's operands are, by their place: sets first, where it takes one, then weather. */
static bool takes_set(const struct app_command *command)
{
    return strncmp(command->operands, "SET", 3) == 0;
}

static bool takes_weather(const struct app_command *command)
{
    return strstr(command->operands, "WEATHER") != NULL;
}

static bool has_value(const struct app_option *option)
{
    return option->kind != APP_FLAG && !option->is_later;
}

/* Completion of an option's value, as a bash command line that fills COMPREPLY. */
static void print_bash_value(const struct app_option *option)
{
    const size_t n_choices = app_option_n_choices(option);
    printf("    --%s", option->name);
    if (option->letter) {
        printf("|-%c", option->letter);
    }
    if (n_choices == 0 && option->kind != APP_FILE && option->kind != APP_FOLDER) {
        puts(") return ;;");
        return;
    }
    fputs(") COMPREPLY=($(compgen ", stdout);
    if (n_choices > 0) {
        fputs("-W '", stdout);
        for (size_t i = 0; i < n_choices; i++) {
            printf("%s%s", i ? " " : "", option->choices[i]);
        }
        fputs("'", stdout);
    } else {
        fputs(option->kind == APP_FOLDER ? "-d" : "-f", stdout);
    }
    puts(" -- \"$word\")); return ;;");
}

static void print_bash_commands(void)
{
    for (int i = 0; i < APP_N_COMMANDS; i++) {
        const struct app_command *command = app_command((enum app_command_id)i);
        if (command->is_later) {
            continue;
        }
        printf("    %s) operands=(%s%s) options='", command->name,
               takes_set(command) ? "presets/.yaml " : "",
               takes_weather(command) ? "weather-samples/.csv" : "");
        for (int j = 0; j < APP_N_OPTIONS; j++) {
            const struct app_option *option = app_option((enum app_option_id)j);
            if (app_option_fits(option, (enum app_command_id)i) && !option->is_later) {
                printf("--%s ", option->name);
            }
        }
        puts("' ;;");
    }
}

/* Files, and what may be named without folder and ending at the operand's place. */
static void print_bash_operands(void)
{
    fputs("  for ((i = 2; i < COMP_CWORD; i++)); do\n"
          "    case ${COMP_WORDS[i]} in\n"
          "      ",
          stdout);
    const char *separator = "";
    for (int i = 0; i < APP_N_OPTIONS; i++) {
        const struct app_option *option = app_option((enum app_option_id)i);
        if (has_value(option)) {
            printf("%s--%s", separator, option->name);
            separator = "|";
        }
        if (has_value(option) && option->letter) {
            printf("|-%c", option->letter);
        }
    }
    puts(") [[ ${COMP_WORDS[i + 1]} == = ]] && ((i++))\n"
         "        ((i++)) ;;\n"
         "      -?*) ;;\n"
         "      *) ((place++)) ;;\n"
         "    esac\n"
         "  done\n"
         "  kind=${operands[place]}\n"
         "  for folder in . '" WINDPEAL_DATA_DIR "'; do\n"
         "    for file in \"$folder/${kind%/*}\"/*\"${kind#*/}\"; do\n"
         "      [[ -n $kind && -e $file ]] && file=${file##*/} && names+=(\"${file%.*}\")\n"
         "    done\n"
         "  done\n"
         "  COMPREPLY=($(compgen -W \"${names[*]}\" -- \"$word\") $(compgen -f -- \"$word\"))");
}

static void print_command_names(void)
{
    for (int i = 0; i < APP_N_COMMANDS; i++) {
        const struct app_command *command = app_command((enum app_command_id)i);
        if (!command->is_later) {
            printf("%s ", command->name);
        }
    }
}

static void print_bash(void)
{
    fputs("# bash completion for windpeal\n"
          "_windpeal()\n{\n"
          "  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options=\n"
          "  local operands=() names=() place=0 i kind folder file\n"
          "  COMPREPLY=()\n"
          "  [[ $before == = ]] && before=${COMP_WORDS[COMP_CWORD-2]}\n"
          "  if ((COMP_CWORD == 1)); then\n"
          "    COMPREPLY=($(compgen -W '",
          stdout);
    print_command_names();
    puts("--help --version' -- \"$word\"))\n    return\n  fi\n  case $before in");
    for (int i = 0; i < APP_N_OPTIONS; i++) {
        if (has_value(app_option((enum app_option_id)i))) {
            print_bash_value(app_option((enum app_option_id)i));
        }
    }
    puts("  esac\n  case ${COMP_WORDS[1]} in");
    print_bash_commands();
    puts("  esac\n"
         "  if [[ $word == -* ]]; then\n"
         "    COMPREPLY=($(compgen -W \"$options\" -- \"$word\"))\n"
         "    return\n"
         "  fi");
    print_bash_operands();
    puts("}\ncomplete -o filenames -F _windpeal windpeal");
}

/* Quotes and brackets have a meaning in a zsh option description. */
static void print_zsh_text(const char *text)
{
    for (; *text; text++) {
        if (*text == '\'') {
            fputs("'\\''", stdout);
        } else if (strchr("[]:\\", *text)) {
            printf("\\%c", *text);
        } else {
            putchar(*text);
        }
    }
}

static void print_zsh_option(const struct app_option *option)
{
    const size_t n_choices = app_option_n_choices(option);
    printf("        '--%s%s[", option->name, option->kind == APP_FLAG ? "" : "=");
    print_zsh_text(option->text);
    putchar(']');
    if (option->kind == APP_FILE || option->kind == APP_FOLDER) {
        printf(":%s:%s", option->value, option->kind == APP_FILE ? "_files" : "_files -/");
    } else if (n_choices > 0) {
        printf(":%s:(", option->name);
        for (size_t i = 0; i < n_choices; i++) {
            printf("%s%s", i ? " " : "", option->choices[i]);
        }
        putchar(')');
    } else if (option->kind != APP_FLAG) {
        printf(":%s:", option->value);
    }
    puts("' \\");
}

/* The operands of a command by their place. */
static void print_zsh_operands(const struct app_command *command)
{
    int place = 1;
    if (takes_set(command)) {
        printf("        '%d:set: _windpeal_named presets yaml' \\\n", place++);
    }
    if (takes_weather(command)) {
        printf("        '%d:weather: _windpeal_named weather-samples csv' \\\n", place);
    }
    puts("        '*:file:_files' ;;");
}

static void print_zsh(void)
{
    fputs("#compdef windpeal\n"
          "_windpeal_named() {\n"
          "  compadd -- {.,'" WINDPEAL_DATA_DIR "'}/$1/*.$2(N:t:r)\n"
          "  _files\n"
          "}\n"
          "if ((CURRENT == 2)); then\n  compadd -- ",
          stdout);
    print_command_names();
    puts("--help --version\n  return\nfi\ncase $words[2] in");
    for (int i = 0; i < APP_N_COMMANDS; i++) {
        const struct app_command *command = app_command((enum app_command_id)i);
        if (command->is_later) {
            continue;
        }
        printf("  %s)\n    shift words; ((CURRENT--))\n    _arguments \\\n", command->name);
        for (int j = 0; j < APP_N_OPTIONS; j++) {
            const struct app_option *option = app_option((enum app_option_id)j);
            if (app_option_fits(option, (enum app_command_id)i) && !option->is_later) {
                print_zsh_option(option);
            }
        }
        print_zsh_operands(command);
    }
    puts("esac");
}

int main(int argc, char **argv)
{
    int failed = 0;
    if (argc == 4 && strcmp(argv[1], "man") == 0) {
        failed = print_manual(argv[2], argv[3]);
    } else if (argc == 2 && strcmp(argv[1], "bash") == 0) {
        print_bash();
    } else if (argc == 2 && strcmp(argv[1], "zsh") == 0) {
        print_zsh();
    } else {
        fputs("expected: man VERSION README, bash or zsh\n", stderr);
        return 2;
    }
    return fflush(stdout) == 0 && !ferror(stdout) ? failed : 1;
}
