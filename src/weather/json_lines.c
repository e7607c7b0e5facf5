/* SPDX-License-Identifier: MIT */
/* Reads JSON: objects one after the other, each a report, flat or nested, values perhaps as text.
 */
#include "weather/json_lines.h"

#include <stdlib.h>
#include <string.h>

#include <yajl/yajl_parse.h>

#include "base/decimal.h"
#include "weather/keyed.h"
#include "weather/line_format.h"

/* Objects within a report that are read, and all that may be open at a place: what nests deeper
 * counts as broken. */
enum { DEPTH_MAX = 6, NESTING_MAX = 512 };

/* Where the reports of a value are. */
enum place {
    IT_IS_ONE,        /* the object itself */
    WITHIN_ITS_ARRAYS /* the objects in the arrays that are its members ("observations") */
};

/* A value as its parts come in. */
struct reading {
    struct wp_intake *intake;
    int line;
    enum place place;
    enum wp_unit units[WP_MEANING_COUNT]; /* told around the report, hold within it, too */
    struct wp_keyed_values values;        /* of the report at hand */
    size_t n_around;                      /* containers open around it */
    size_t depth;                         /* its objects that are open; 0: no report is */
    size_t n_skipped;                     /* containers open within those that mean nothing */
    char path[WP_KEY_SIZE];               /* of the key at hand: "wind.speed" */
    size_t lengths[DEPTH_MAX];            /* of the paths to the open objects */
    bool is_named;                        /* the path is the key's, not too long to mean anything */
    bool is_in_array;                     /* before the first element of one under the key */
    bool has_arrays_of_objects;           /* among the members of the report */
    bool is_whole;                        /* the value has come to its end */
};

static void begin_report(struct reading *reading)
{
    reading->values = (struct wp_keyed_values){.best = {NULL}};
    memcpy(reading->values.unit, reading->units, sizeof reading->units);
    reading->depth = 1;
    reading->lengths[0] = 0;
    reading->path[0] = '\0';
}

/* Adds the report at hand; how much it told. */
static enum wp_line_outcome add_report(struct reading *reading)
{
    struct wp_intake *const intake = reading->intake;
    struct wp_record record = wp_record_unknown();
    const enum wp_line_outcome outcome =
        wp_keyed_read(intake, &reading->values, reading->line, &record);
    if (outcome == WP_LINE_RECORD) {
        wp_intake_add(intake, &record, reading->line);
    }
    return outcome;
}

/* True when the value that begins stands under a key of the report. */
static bool is_taken(struct reading *reading)
{
    return reading->depth > 0 && reading->n_skipped == 0 && reading->is_named;
}

/* The first element of an array tells what to make of the array. */
static void leave_array(struct reading *reading, bool is_object)
{
    if (reading->is_in_array && !is_object) {
        wp_keyed_take_array(reading->intake, reading->intake->state, &reading->values,
                            reading->path);
    }
    reading->is_in_array = false;
}

/* What follows is called for each part; 0 breaks the reading off. */

static int take_nothing(void *context)
{
    leave_array(context, false);
    return 1;
}

static int take_truth(void *context, int is_true)
{
    (void)is_true;
    return take_nothing(context);
}

/* One that no double holds is none, nor is one without end. */
static int take_number(void *context, const char *at, size_t length)
{
    struct reading *const reading = context;
    char text[128];
    double number;
    leave_array(reading, false);
    if (length >= sizeof text) {
        return 0;
    }
    memcpy(text, at, length);
    text[length] = '\0';
    if (!wp_decimal_parse(text, &number)) {
        return 0;
    }
    if (is_taken(reading)) {
        wp_keyed_take_number(reading->intake, reading->intake->state, &reading->values,
                             reading->path, number);
    }
    return 1;
}

/* Text with a zero byte is none. */
static int take_text(void *context, const unsigned char *bytes, size_t length)
{
    struct reading *const reading = context;
    const struct wp_slice text = {(const char *)bytes, length};
    leave_array(reading, false);
    if (is_taken(reading)) {
        wp_keyed_take(reading->intake, reading->intake->state, &reading->values, reading->path,
                      text);
    }
    return !memchr(bytes, '\0', length);
}

static int take_key(void *context, const unsigned char *name, size_t length)
{
    struct reading *const reading = context;
    if (reading->depth > 0 && reading->n_skipped == 0) {
        const size_t above = reading->lengths[reading->depth - 1];
        const size_t at = above > 0 ? above + 1 : 0;
        reading->is_named = at + length < WP_KEY_SIZE && at + length > 0;
        if (reading->is_named) {
            reading->path[above] = '.';
            memcpy(reading->path + at, name, length);
            reading->path[at + length] = '\0';
        }
    }
    return !memchr(name, '\0', length);
}

static bool is_nested_deeply(const struct reading *reading)
{
    return reading->n_around + reading->depth + reading->n_skipped > NESTING_MAX;
}

static int begin_object(void *context)
{
    struct reading *const reading = context;
    const size_t n_around = reading->place == IT_IS_ONE ? 0 : 2;
    leave_array(reading, true);
    if (reading->depth == 0 && reading->n_skipped == 0 && reading->n_around == n_around) {
        begin_report(reading);
    } else if (reading->n_around == 0 && reading->depth == 0) {
        reading->n_around = 1;
    } else if (is_taken(reading) && reading->depth < DEPTH_MAX) {
        reading->lengths[reading->depth++] = strlen(reading->path);
    } else {
        reading->has_arrays_of_objects |= reading->depth == 1 && reading->n_skipped == 1;
        reading->n_skipped++;
    }
    return !is_nested_deeply(reading);
}

static int end_object(void *context)
{
    struct reading *const reading = context;
    if (reading->n_skipped > 0) {
        reading->n_skipped--;
    } else if (reading->depth > 0) {
        reading->path[reading->lengths[--reading->depth]] = '\0';
        wp_keyed_check_object(reading->intake, reading->intake->state, &reading->values,
                              reading->path);
        if (reading->depth == 0 && reading->place == WITHIN_ITS_ARRAYS) {
            (void)add_report(reading);
        }
    } else {
        reading->n_around--;
    }
    reading->is_whole = reading->depth == 0 && reading->n_around == 0;
    return 1;
}

static int begin_array(void *context)
{
    struct reading *const reading = context;
    leave_array(reading, false);
    if (reading->depth == 0 && reading->n_around == 1 && reading->n_skipped == 0) {
        reading->n_around = 2;
    } else {
        reading->is_in_array = is_taken(reading);
        reading->n_skipped++;
    }
    return !is_nested_deeply(reading);
}

static int end_array(void *context)
{
    struct reading *const reading = context;
    reading->is_in_array = false;
    if (reading->n_skipped > 0) {
        reading->n_skipped--;
    } else {
        reading->n_around--;
    }
    return 1;
}

/* Reads the object that a text begins with. Returns how long it is; 0: it is broken. */
static size_t read_object(struct reading *reading, struct wp_slice text)
{
    static const yajl_callbacks callbacks = {
        .yajl_null = take_nothing,
        .yajl_boolean = take_truth,
        .yajl_number = take_number,
        .yajl_string = take_text,
        .yajl_start_map = begin_object,
        .yajl_map_key = take_key,
        .yajl_end_map = end_object,
        .yajl_start_array = begin_array,
        .yajl_end_array = end_array,
    };
    if (text.length == 0 || text.at[0] != '{') {
        return 0;
    }
    yajl_handle parser = yajl_alloc(&callbacks, NULL, reading);
    if (!parser) {
        (void)wp_intake_fail(reading->intake, WP_E_NO_MEMORY, 0, NULL,
                             "not enough memory to read the values");
        return 0;
    }
    (void)yajl_config(parser, yajl_allow_trailing_garbage, 1);
    const yajl_status status = yajl_parse(parser, (const unsigned char *)text.at, text.length);
    const size_t length = yajl_get_bytes_consumed(parser);
    yajl_free(parser);
    return status == yajl_status_ok && reading->is_whole ? length : 0;
}

/* Some programs put a topic or a word in front of each object. */
static struct wp_slice skip_front(struct wp_slice line)
{
    const char *const mark = memchr(line.at, '{', line.length);
    const size_t n = mark ? (size_t)(mark - line.at) : 0;
    return (struct wp_slice){line.at + n, line.length - n};
}

static enum wp_line_outcome read_line(struct wp_intake *intake, struct wp_slice line, int number,
                                      struct wp_record *record)
{
    struct reading reading = {.intake = intake, .line = number};
    const struct wp_slice text = skip_front(line);
    const size_t length = read_object(&reading, text);
    const struct wp_slice rest = {text.at + length, text.length - length};
    if (length == 0 || wp_slice_trim(rest).length > 0) {
        return wp_intake_reject(intake, WP_REPAIR_FORM, number, text);
    }
    return wp_keyed_read(intake, &reading.values, number, record);
}

/* A place in the text that knows its line. */
struct cursor {
    const char *at;
    const char *end;
    int line;
};

static void advance(struct cursor *cursor, size_t n)
{
    const char *const end = cursor->at + n;
    for (const char *feed; (feed = memchr(cursor->at, '\n', (size_t)(end - cursor->at)));) {
        cursor->line++;
        cursor->at = feed + 1;
    }
    cursor->at = end;
}

/* Blanks, and the marks of arrays: their elements are read like values in lines of their own. */
static void skip_marks(struct cursor *cursor)
{
    while (cursor->at < cursor->end && *cursor->at != '\0' &&
           strchr(" \t\r\n,[]\x1E", *cursor->at)) {
        advance(cursor, 1);
    }
}

/* A report, or an object that wraps reports in an array. Returns how long it is; 0: broken. */
static size_t read_value(struct wp_intake *intake, struct wp_slice text, int line)
{
    struct reading reading = {.intake = intake, .line = line};
    const size_t length = read_object(&reading, text);
    if (length > 0 && add_report(&reading) == WP_LINE_NOTHING && reading.has_arrays_of_objects) {
        struct reading again = {.intake = intake, .line = line, .place = WITHIN_ITS_ARRAYS};
        memcpy(again.units, reading.values.unit, sizeof again.units);
        (void)read_object(&again, text);
    }
    return length;
}

/* The value at the cursor; after one that is broken, reading goes on in the next line. */
static void read_next(struct wp_intake *intake, struct cursor *cursor)
{
    const size_t left = (size_t)(cursor->end - cursor->at);
    const char *const feed = memchr(cursor->at, '\n', left);
    const size_t line_length = feed ? (size_t)(feed - cursor->at) : left;
    if (memchr(cursor->at, '\0', line_length)) {
        advance(cursor, line_length); /* counted before */
        return;
    }
    const struct wp_slice front = skip_front((struct wp_slice){cursor->at, line_length});
    const struct wp_slice rest = {front.at, (size_t)(cursor->end - front.at)};
    const size_t length = read_value(intake, rest, cursor->line);
    if (length == 0) {
        (void)wp_intake_reject(intake, WP_REPAIR_FORM, cursor->line, front);
    }
    advance(cursor, (size_t)(front.at - cursor->at) + (length > 0 ? length : front.length));
}

static enum wp_status read_all(struct wp_intake *intake)
{
    struct cursor cursor = {intake->source.text, intake->source.text + intake->source.size, 1};
    if (intake->source.size >= 3 && memcmp(cursor.at, "\xEF\xBB\xBF", 3) == 0) {
        cursor.at += 3;
    }
    skip_marks(&cursor);
    while (cursor.at < cursor.end && !intake->status) {
        if (*cursor.at == '#') {
            const char *const feed = memchr(cursor.at, '\n', (size_t)(cursor.end - cursor.at));
            cursor.at = feed ? feed : cursor.end;
        } else {
            read_next(intake, &cursor);
        }
        skip_marks(&cursor);
    }
    return wp_intake_finish(intake);
}

enum wp_status wp_json_read(const struct wp_source *source, const struct wp_weather_config *config,
                            struct wp_weather *weather, struct wp_diags *diags)
{
    struct wp_intake intake;
    enum wp_status status = wp_intake_init(&intake, source, config, weather, diags);
    intake.state = calloc(1, sizeof(struct wp_keyed));
    if (!status && !intake.state) {
        status = wp_diags_add(diags, WP_E_NO_MEMORY, source->name, (struct wp_mark){0, 0}, NULL,
                              "not enough memory to read the file");
    }
    if (!status) {
        status = read_all(&intake);
    }
    free(intake.state);
    wp_intake_free(&intake);
    return status;
}

const struct wp_line_format *wp_json_format(void)
{
    static const struct wp_line_format format = {"JSON", sizeof(struct wp_keyed), read_line, NULL};
    return &format;
}
