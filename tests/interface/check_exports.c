/* SPDX-License-Identifier: MIT */
/* Lists a shared library's exports with nm and refuses every name that is not the library's. */

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

/* Names with a leading underscore belong to compiler and linker (C17, 7.1.3). */
static bool is_allowed(const char *symbol)
{
    return strncmp(symbol, "wp_", 3) == 0 || symbol[0] == '_';
}

/* Lines of nm -P: name, type, value, size. Counts the library's own; -1 after a stranger. */
static int count_exports(FILE *listing)
{
    char line[512];
    int n_own = 0;
    int n_strange = 0;
    while (fgets(line, sizeof line, listing)) {
        line[strcspn(line, " @\n")] = '\0';
        if (!is_allowed(line)) {
            fprintf(stderr, "exported by mistake: %s\n", line);
            n_strange++;
        }
        n_own += strncmp(line, "wp_", 3) == 0;
    }
    return n_strange ? -1 : n_own;
}

int main(int argc, char **argv)
{
    char command[4096];
    if (argc != 3) {
        fprintf(stderr, "usage: check_exports NM LIBRARY\n");
        return 2;
    }
    const int length =
        snprintf(command, sizeof command, "'%s' -D -P --defined-only '%s'", argv[1], argv[2]);
    FILE *listing = length > 0 && (size_t)length < sizeof command ? popen(command, "r") : NULL;
    if (!listing) {
        perror("nm");
        return 1;
    }
    const int n_own = count_exports(listing);
    const int nm_result = pclose(listing);
    printf("%d exported functions\n", n_own);
    return nm_result == 0 && n_own > 0 ? 0 : 1;
}
