/* SPDX-License-Identifier: MIT */
/* Reads JSON: objects one after the other, each a report, flat or nested, values perhaps as text.
 */
#include "weather/json_lines.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "weather/keyed.h"
#include "weather/line_format.h"

enum { DEPTH_MAX = 6 };

/* An object that is being walked through, and the path to it. */
struct level {
    json_t *object;
    void *iterator;
    size_t path_length;
};

/* Appends a key to the path; false when the path is too long to mean anything. */
static bool extend(char path[WP_KEY_SIZE], size_t path_length, const char *name)
{
    const size_t at = path_length > 0 ? path_length + 1 : 0;
    const size_t length = strlen(name);
    if (at + length >= WP_KEY_SIZE) {
        return false;
    }
    path[path_length] = '.';
    memcpy(path + at, name, length + 1);
    return at + length > 0;
}

/* Every value in the object and the objects in it. */
static void walk(struct wp_intake *intake, json_t *object, struct wp_keyed_values *values, int line)
{
    struct level levels[DEPTH_MAX] = {{object, json_object_iter(object), 0}};
    char path[WP_KEY_SIZE] = "";
    size_t depth = 1;
    while (depth > 0 && !intake->status) {
        struct level *const level = &levels[depth - 1];
        if (!level->iterator) {
            depth--;
            path[level->path_length] = '\0';
            wp_keyed_check_object(intake, intake->state, values, path, line);
            continue;
        }
        json_t *const value = json_object_iter_value(level->iterator);
        const char *const name = json_object_iter_key(level->iterator);
        level->iterator = json_object_iter_next(level->object, level->iterator);
        if (!extend(path, level->path_length, name)) {
            continue;
        }
        if (json_is_object(value) && depth < DEPTH_MAX) {
            levels[depth++] = (struct level){value, json_object_iter(value), strlen(path)};
        } else if (json_is_string(value)) {
            const struct wp_slice text = {json_string_value(value), json_string_length(value)};
            wp_keyed_take(intake, intake->state, values, path, text, line);
        } else if (json_is_number(value)) {
            wp_keyed_take_number(intake, intake->state, values, path, json_number_value(value),
                                 line);
        } else if (json_array_size(value) > 0 && !json_is_object(json_array_get(value, 0))) {
            wp_keyed_take_array(intake, intake->state, values, path, line);
        }
    }
}

/* The units that an object tells hold for those within it, too. */
static enum wp_line_outcome read_object(struct wp_intake *intake, json_t *object,
                                        enum wp_unit units[WP_MEANING_COUNT], int line,
                                        struct wp_record *record)
{
    struct wp_keyed_values values = {.best = {NULL}};
    memcpy(values.unit, units, sizeof values.unit);
    walk(intake, object, &values, line);
    memcpy(units, values.unit, sizeof values.unit);
    return wp_keyed_read(intake, &values, line, record);
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
    json_error_t error;
    enum wp_unit units[WP_MEANING_COUNT] = {WP_UNIT_NONE};
    line = skip_front(line);
    json_t *const object = json_loadb(line.at, line.length, 0, &error);
    if (!json_is_object(object)) {
        json_decref(object);
        return wp_intake_reject(intake, WP_REPAIR_FORM, number, line);
    }
    const enum wp_line_outcome outcome = read_object(intake, object, units, number, record);
    json_decref(object);
    return outcome;
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

/* True when the object told something. */
static bool add_object(struct wp_intake *intake, json_t *object,
                       enum wp_unit units[WP_MEANING_COUNT], int line)
{
    struct wp_record record = wp_record_unknown();
    const enum wp_line_outcome outcome = read_object(intake, object, units, line, &record);
    if (outcome == WP_LINE_RECORD) {
        wp_intake_add(intake, &record, line);
    }
    return outcome != WP_LINE_NOTHING;
}

/* A report, or an object that wraps reports in an array ("observations"). */
static void add_value(struct wp_intake *intake, json_t *value, int line)
{
    enum wp_unit units[WP_MEANING_COUNT] = {WP_UNIT_NONE};
    const char *name;
    json_t *member;
    if (add_object(intake, value, units, line)) {
        return;
    }
    json_object_foreach(value, name, member)
    {
        for (size_t i = 0; i < json_array_size(member) && !intake->status; i++) {
            if (json_is_object(json_array_get(member, i))) {
                enum wp_unit own[WP_MEANING_COUNT];
                memcpy(own, units, sizeof own);
                (void)add_object(intake, json_array_get(member, i), own, line);
            }
        }
    }
}

/* The value at the cursor; after one that is broken, reading goes on in the next line. */
static void read_next(struct wp_intake *intake, struct cursor *cursor)
{
    json_error_t error;
    size_t left = (size_t)(cursor->end - cursor->at);
    const char *const feed = memchr(cursor->at, '\n', left);
    const size_t line_length = feed ? (size_t)(feed - cursor->at) : left;
    if (memchr(cursor->at, '\0', line_length)) {
        advance(cursor, line_length); /* counted before */
        return;
    }
    const struct wp_slice front = skip_front((struct wp_slice){cursor->at, line_length});
    left -= (size_t)(front.at - cursor->at);
    advance(cursor, (size_t)(front.at - cursor->at));
    json_t *const value =
        json_loadb(cursor->at, left, JSON_DISABLE_EOF_CHECK | JSON_DECODE_ANY, &error);
    if (!json_is_object(value)) {
        (void)wp_intake_reject(intake, WP_REPAIR_FORM, cursor->line, front);
        advance(cursor, front.length);
    } else {
        add_value(intake, value, cursor->line);
        advance(cursor, error.position > 0 ? (size_t)error.position : front.length);
    }
    json_decref(value);
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
