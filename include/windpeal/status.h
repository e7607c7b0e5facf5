/* SPDX-License-Identifier: MIT */
#ifndef WINDPEAL_STATUS_H
#define WINDPEAL_STATUS_H

#include <stdbool.h>
#include <stddef.h>

#include "windpeal/attributes.h"

/* What can go wrong, and where in the user's files it did. */

/** Outcome of every call that can fail. WP_OK is 0. */
enum wp_status {
    WP_OK = 0,
    /* The user's input is wrong: the program exits with 2. */
    WP_E_SYNTAX,       /**< text that cannot be read */
    WP_E_UNKNOWN_KEY,  /**< a key, option or command that does not exist */
    WP_E_UNKNOWN_NAME, /**< a material, note or preset that does not exist */
    WP_E_UNIT,         /**< a missing or unsuitable unit */
    WP_E_RANGE,        /**< a value outside of what is possible */
    WP_E_MISSING,      /**< something required is absent */
    WP_E_CONFLICT,     /**< two entries exclude each other */
    WP_E_AMBIGUOUS,    /**< more than one meaning fits */
    WP_E_EMPTY,        /**< a file with nothing usable */
    WP_E_NOT_BUILT,    /**< known, but not in this version */
    WP_E_NO_FILE,      /**< an input file that does not exist */
    WP_E_EXISTS,       /**< an output file that exists already */
    /* The system could not: the program exits with 1. */
    WP_E_NO_MEMORY,
    WP_E_IO,
    WP_E_NO_SPACE,
    WP_E_DEVICE, /**< a loudspeaker that cannot be used */
    /* Stopped from outside: the program exits with 130 or 143. */
    WP_E_INTERRUPTED,
};

/** One plain phrase for a status, for example "value out of range". Static text, never NULL. */
WP_API const char *wp_status_text(enum wp_status status);

/** The word that JSON output uses for a status, for example "range". Static text, never NULL. */
WP_API const char *wp_status_code(enum wp_status status);

/** True when the status means that the user's input is wrong (as opposed to the system failing). */
WP_API bool wp_status_is_input(enum wp_status status);

/** A place in a user's text file; line and column count from 1, 0 means unknown. */
struct wp_mark {
    int line;
    int column;
};

/** One finding about the user's input. Owns its text. */
struct wp_diag {
    enum wp_status status; /**< WP_OK for a warning */
    char file[256];        /**< empty: not about a file */
    struct wp_mark mark;
    char message[320]; /**< what is wrong; what was expected */
    char hint[320];    /**< what to do, may be empty */
};

enum { WP_DIAGS_MAX = 32 };

/** Findings in the order in which they were made; errors past WP_DIAGS_MAX are only counted. */
struct wp_diags {
    struct wp_diag items[WP_DIAGS_MAX];
    size_t n_items;
    size_t n_errors;   /**< of all findings, left-out ones included */
    size_t n_left_out; /**< findings that found no room */
};

/** Empties the list. */
WP_API void wp_diags_init(struct wp_diags *diags);

/**
 * Adds an error (or, with WP_OK, a warning) and returns status, so that a caller can return it in
 * the same breath. diags may be NULL: then only the status is handed on. file and hint may be NULL.
 */
WP_API enum wp_status wp_diags_add(struct wp_diags *diags, enum wp_status status, const char *file,
                                   struct wp_mark mark, const char *hint, const char *format, ...)
    WP_PRINTF(6, 7);

/** Status of the first error in the list, or WP_OK when it holds only warnings. */
WP_API enum wp_status wp_diags_status(const struct wp_diags *diags);

/**
 * The candidate that is closest to word (fewest single-letter edits, case ignored), or NULL when
 * none is close enough to be meant.
 *
 * @param candidates  n_candidates strings; NULL entries are skipped
 */
WP_API const char *wp_nearest_word(const char *word, const char *const *candidates,
                                   size_t n_candidates);

#endif
