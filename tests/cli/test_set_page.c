/* SPDX-License-Identifier: MIT */
/* The README's list of every key of a set file: complete, and the defaults are those in use. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "claims.h"

/* The first block of YAML under the heading "The set file"; the caller frees it. */
static char *read_page(void)
{
    char *text = program_read_file(getenv("WINDPEAL_README"), NULL);
    const char *heading = strstr(text, "\n## The set file\n");
    assert_non_null(heading);
    const char *start = strstr(heading, "\n```yaml\n");
    assert_non_null(start);
    start += strlen("\n```yaml\n");
    const char *end = strstr(start, "```\n");
    assert_non_null(end);
    char *page = strndup(start, (size_t)(end - start));
    free(text);
    return page;
}

/* The page gives dimensions and notes, which have no default; the rest must change nothing. */
static void keys_shown_are_read_and_have_their_defaults(void **state)
{
    (void)state;
    struct program_run shown;
    struct program_run least;
    char *page = read_page();
    program_write_file("page.yaml", page);
    free(page);
    program_write_file("least.yaml", "tubes: {outer_diameter: 32 mm, wall: 1.6 mm, "
                                     "notes: [A3, C#4, E4 -14]}\n");
    RUN(&shown, "tubes", "page.yaml", "--json");
    RUN(&least, "tubes", "least.yaml", "--json");
    claim_exit(&shown, 0);
    assert_string_equal(shown.out, least.out);
    program_run_finish(&shown);
    program_run_finish(&least);
    RUN(&shown, "strikes", "page.yaml", PROGRAM_WEATHER, "-o", "-");
    RUN(&least, "strikes", "least.yaml", PROGRAM_WEATHER, "-o", "-");
    claim_exit(&shown, 0);
    assert_true(program_count_lines(shown.out) > 10);
    assert_string_equal(shown.out, least.out);
    program_run_finish(&shown);
    program_run_finish(&least);
}

/* Every key in a message's "expected one of a, b, c" stands on the page, but those not built yet.
 */
static void claim_keys_stand_on(const char *page, char *message)
{
    char *list = strstr(message, "expected one of ");
    assert_non_null(list);
    list += strlen("expected one of ");
    list[strcspn(list, ";\n")] = '\0';
    for (char *key = list; *key;) {
        const size_t length = strcspn(key, ",");
        char wanted[64];
        snprintf(wanted, sizeof wanted, "%.*s: ", (int)length, key);
        const bool is_later = strcmp(wanted, "sail: ") == 0 || strcmp(wanted, "coils: ") == 0;
        wanted[length + 1] = '\0'; /* a section has its values below it */
        if (!is_later && !strstr(page, wanted)) {
            fail_msg("README.md, The set file: no word of the key '%s'", wanted);
        }
        key += length + strspn(key + length, ", ");
    }
}

static void every_key_that_is_read_is_shown(void **state)
{
    (void)state;
    static const char *const sections[] = {
        "x: 1\n",
        "layout: {x: 1}\n",
        "layout: {rows: {x: 1}}\n",
        "layout: {line: {x: 1}}\n",
        "striker: {x: 1}\n",
        "drive: {x: 1}\n",
        "drive: {statistical: {x: 1}}\n",
        "site: {x: 1}\n",
        "listener: {x: 1}\n",
    };
    static const char tubes[] = "tubes: {outer_diameter: 32 mm, wall: 1.6 mm, notes: [A3]%s}\n";
    char *page = read_page();
    for (size_t i = 0; i <= sizeof sections / sizeof sections[0]; i++) {
        const bool is_tubes = i == sizeof sections / sizeof sections[0];
        struct program_run run;
        char text[256];
        const int length = snprintf(text, sizeof text, tubes, is_tubes ? ", x: 1" : "");
        snprintf(text + length, sizeof text - (size_t)length, "%s", is_tubes ? "" : sections[i]);
        program_write_file("unknown.yaml", text);
        RUN(&run, "tubes", "unknown.yaml");
        claim_exit(&run, 2);
        claim_keys_stand_on(page, run.err);
        program_run_finish(&run);
    }
    free(page);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_shown_are_read_and_have_their_defaults),
        cmocka_unit_test(every_key_that_is_read_is_shown),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
