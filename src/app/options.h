/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_APP_OPTIONS_H
#define WINDPEAL_APP_OPTIONS_H

#include <stdbool.h>
#include <stddef.h>

#include "windpeal/quantity.h"

/* The one table of commands and options: parsing, help, manual and completions all read it. */

enum app_command_id {
    APP_RENDER,
    APP_TUBES,
    APP_WIND,
    APP_STRIKES,
    APP_PLAY,
    APP_SHEET,
    APP_TAP,
    APP_PREVIEW,
    APP_DEVICES,
    APP_N_COMMANDS,
};

enum { APP_EXAMPLES_MAX = 6 };

/* A command line after the program's name, and what it is good for. */
struct app_example {
    const char *line;
    const char *purpose;
};

struct app_command {
    const char *name;
    const char *summary;  /* completes "windpeal COMMAND: ..." */
    const char *operands; /* as in a synopsis */
    const char *description;
    size_t least_operands;
    size_t most_operands;
    bool is_later; /* known, but not in this version */
    struct app_example examples[APP_EXAMPLES_MAX];
};

enum app_option_id {
    APP_OUTPUT,
    APP_OVERWRITE,
    APP_JSON,
    APP_HELP,
    APP_RATE,
    APP_BITS,
    APP_CHANNELS,
    APP_LEVEL,
    APP_KERNEL,
    APP_STEMS,
    APP_STRIKE_LIST,
    APP_EACH,
    APP_DRY_RUN,
    APP_RULE,
    APP_UNITS,
    APP_PARTIALS,
    APP_NO_AIR_MASS,
    APP_INTERVALS,
    APP_TOLERANCE,
    APP_SAMPLE,
    APP_OUT_DIR,
    APP_RECORDS,
    APP_EVERY,
    APP_FIXED_WIND, /* from here to APP_START: about weather */
    APP_GUST,
    APP_FROM,
    APP_BEAUFORT,
    APP_METAR,
    APP_INTENSITY,
    APP_HEIGHT,
    APP_NO_HEIGHT_CHANGE,
    APP_SPEED_UNIT,
    APP_SCALE,
    APP_ZONE,
    APP_DATE_ORDER,
    APP_YEAR,
    APP_COLUMNS,
    APP_STATION,
    APP_SAME_TIME,
    APP_DATE,
    APP_TIME_UNIT,
    APP_LETTER_O,
    APP_MISSING,
    APP_INTERVAL,
    APP_STAMPS,
    APP_AVERAGING,
    APP_GUST_TIME,
    APP_GUST_WINDOW,
    APP_EXACT_GUSTS,
    APP_STATION_HEIGHT,
    APP_STATION_ROUGHNESS,
    APP_WHEN_SILENT,
    APP_START,
    APP_DURATION,
    APP_SEED,
    APP_PULSES,
    APP_VARY,
    APP_STEPS,
    APP_WANTED_RATE,
    APP_THREADS,
    APP_DEVICE,
    APP_GAIN,
    APP_CALIBRATED,
    APP_LATENCY,
    APP_LOOP,
    APP_LOG,
    APP_JSON_LINES,
    APP_VERBOSE,
    APP_N_OPTIONS,
};

/* What follows an option. */
enum app_option_kind {
    APP_FLAG,     /* nothing */
    APP_TEXT,     /* any text */
    APP_FILE,     /* a file name */
    APP_FOLDER,   /* a folder name */
    APP_CHOICE,   /* one of a few words */
    APP_QUANTITY, /* a number with a unit */
    APP_WHOLE,    /* a whole number */
};

enum { APP_CHOICES_MAX = 6 };

/* One option. The heading groups options in help and manual. */
struct app_option {
    const char *name; /* without the leading -- */
    const char *heading;
    const char *value; /* how help names the value; NULL for a flag and for choices */
    const char *text;
    const char *choices[APP_CHOICES_MAX];
    const char *later_choice; /* known, but not in this version */
    double least;             /* of a quantity, in the SI unit of its dimension, or whole number */
    double most;              /* 0 with least 0: no bounds */
    const char *range;        /* the bounds in words */
    unsigned int commands;    /* bits 1 << enum app_command_id */
    enum app_option_kind kind;
    enum wp_dimension dimension;
    char letter; /* short form, or 0 */
    bool is_later;
    bool is_twice; /* may be given twice */
};

/* The entry of a command. */
const struct app_command *app_command(enum app_command_id id);

/* The entry of an option. */
const struct app_option *app_option(enum app_option_id id);

/* True when the command takes the option. */
bool app_option_fits(const struct app_option *option, enum app_command_id command);

/* Choices of an option that has some. */
size_t app_option_n_choices(const struct app_option *option);

/* Writes what stands for the option's value in help: "FILE", "web|broadcast|calibrated", or "". */
void app_option_value_text(const struct app_option *option, char *text, size_t text_size);

#endif
