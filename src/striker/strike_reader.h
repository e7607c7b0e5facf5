/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STRIKER_STRIKE_READER_H
#define WINDPEAL_STRIKER_STRIKE_READER_H

#include <stddef.h>

#include "windpeal/strike.h"

/* Columns of a strike list, in the order in which it is printed. */
enum strike_column {
    COLUMN_TIME,
    COLUMN_TUBE,
    COLUMN_SPEED,
    COLUMN_BEARING,
    COLUMN_HEIGHT,
    COLUMN_IMPULSE,
    N_COLUMNS,
    N_NEEDED = COLUMN_BEARING,
};

enum { FIELDS_MAX = 16 };

/* Part of a line; column counts from 1. */
struct strike_field {
    const char *text;
    size_t size;
    int column;
};

/* What reading a list needs from line to line. */
struct strike_reader {
    const char *name; /* of the file, for findings */
    const struct wp_strike_context *context;
    struct wp_diags *diags;
    int line;                /* of the line at hand, from 1 */
    size_t n_fields;         /* of the heading */
    int field_of[N_COLUMNS]; /* place of a column in a line; -1: not in this list */
};

/* Understands the heading. */
enum wp_status wp_strike_read_heading(struct strike_reader *reader, const char *line,
                                      size_t line_size);

/* Reads one strike and fills in what the list leaves out. */
enum wp_status wp_strike_read_line(struct strike_reader *reader, const char *line, size_t line_size,
                                   struct wp_strike *strike);

#endif
