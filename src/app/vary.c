/* SPDX-License-Identifier: MIT */
/* Reads ranges of values for keys of the set file. */
#include "app/vary.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "windpeal/quantity.h"

/* Values without --steps: enough to see a trend; two keys share the time. */
enum { STEPS_ALONE = 8, STEPS_EACH_OF_TWO = 6 };

static enum wp_status refuse(struct wp_diags *diags, const char *text, const char *why)
{
    return app_refuse(diags, WP_E_SYNTAX, "for instance --vary 'striker.diameter=30..80 mm'",
                      "--vary cannot be '%.100s': %s; expected KEY=FROM..TO UNIT", text, why);
}

/* A bare number of length bytes. */
static bool read_number(const char *text, size_t length, double *number)
{
    char copy[48];
    if (length == 0 || length >= sizeof copy) {
        return false;
    }
    memcpy(copy, text, length);
    copy[length] = '\0';
    return !wp_quantity_parse(copy, WP_NUMBER, number, NULL, 0) && isfinite(*number);
}

/* "30..80 mm" behind the key. The unit is kept as it stands: the set file's reader knows it. */
static enum wp_status read_range(struct app_vary_key *key, const char *range, const char *text,
                                 double ends[2], struct wp_diags *diags)
{
    const char *dots = strstr(range, "..");
    if (!dots) {
        return refuse(diags, text, "there is no '..' between two values");
    }
    const char *to = dots + 2 + strspn(dots + 2, " ");
    const size_t length = strspn(to, "+-.0123456789eE");
    if (!read_number(range, (size_t)(dots - range), &ends[0]) ||
        !read_number(to, length, &ends[1])) {
        return refuse(
            diags, text,
            "an end of the range is no bare number (a unit stands once, behind the second)");
    }
    const char *unit = to + length + strspn(to + length, " ");
    if (strlen(unit) >= sizeof key->unit) {
        return refuse(diags, text, "the unit is too long");
    }
    memcpy(key->unit, unit, strlen(unit) + 1);
    return ends[0] == ends[1] ? refuse(diags, text, "both ends of the range are alike") : WP_OK;
}

/* What is tried is exactly what is shown: the number is rounded to what is printed. */
static void fill(struct app_vary_key *key, const double ends[2], size_t n_values)
{
    key->n_values = n_values;
    for (size_t i = 0; i < n_values; i++) {
        const double share = (double)i / (double)(n_values - 1);
        char number[24];
        snprintf(number, sizeof number, "%.5g", ends[0] + share * (ends[1] - ends[0]));
        read_number(number, strlen(number), &key->number[i]);
        snprintf(key->value[i], sizeof key->value[i], "%s%s%s", number, *key->unit ? " " : "",
                 key->unit);
    }
}

static enum wp_status read_key(struct app_vary_key *key, const char *text, size_t n_values,
                               struct wp_diags *diags)
{
    const char *equals = strchr(text, '=');
    if (!equals || equals == text) {
        return refuse(diags, text, "there is no key before a '='");
    }
    const size_t length = (size_t)(equals - text);
    if (length >= sizeof key->path) {
        return refuse(diags, text, "the key is too long");
    }
    memcpy(key->path, text, length);
    key->path[length] = '\0';
    double ends[2];
    const enum wp_status status = read_range(key, equals + 1, text, ends, diags);
    if (!status) {
        fill(key, ends, n_values);
    }
    return status;
}

enum wp_status app_vary_parse(struct app_vary *vary, const struct app_arguments *arguments,
                              struct wp_diags *diags)
{
    const char *texts[APP_VARY_KEYS] = {arguments->text[APP_VARY], arguments->again[APP_VARY]};
    vary->n_keys = texts[1] ? 2 : 1;
    vary->n_settings = 1;
    size_t n_values = vary->n_keys == 1 ? STEPS_ALONE : STEPS_EACH_OF_TWO;
    if (arguments->is_given[APP_STEPS]) {
        n_values = (size_t)arguments->whole[APP_STEPS];
    }
    for (size_t i = 0; i < vary->n_keys; i++) {
        const enum wp_status status = read_key(&vary->keys[i], texts[i], n_values, diags);
        if (status) {
            return status;
        }
        vary->n_settings *= n_values;
    }
    if (vary->n_keys == 2 && strcmp(vary->keys[0].path, vary->keys[1].path) == 0) {
        return app_refuse(diags, WP_E_CONFLICT, "leave out one of the two", "--vary names %s twice",
                          vary->keys[0].path);
    }
    return WP_OK;
}

size_t app_vary_index(const struct app_vary *vary, size_t setting, size_t key)
{
    if (vary->n_keys == 1) {
        return setting;
    }
    const size_t n_last = vary->keys[1].n_values;
    return key == 0 ? setting / n_last : setting % n_last;
}

void app_vary_edits(const struct app_vary *vary, size_t setting,
                    struct wp_set_edit edits[APP_VARY_KEYS])
{
    for (size_t i = 0; i < vary->n_keys; i++) {
        const struct app_vary_key *key = &vary->keys[i];
        edits[i] = (struct wp_set_edit){key->path, key->value[app_vary_index(vary, setting, i)]};
    }
}
