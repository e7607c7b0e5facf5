/* SPDX-License-Identifier: MIT */
/* Feeds committed inputs to a fuzz target, so that every compiler runs them as an ordinary test. */

#include <dirent.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>

#include "fuzz_target.h"

/* The target sees a heap block of exactly the file's size, so that a sanitizer sees every overrun.
 */
static bool replay_file(const char *path)
{
    FILE *file = fopen(path, "rb");
    struct stat info;
    if (!file || fstat(fileno(file), &info)) {
        perror(path);
        if (file) {
            fclose(file);
        }
        return false;
    }
    const size_t size = (size_t)info.st_size;
    uint8_t *data = malloc(size ? size : 1);
    const bool is_read = data && fread(data, 1, size, file) == size;
    fclose(file);
    if (is_read) {
        LLVMFuzzerTestOneInput(data, size);
    } else {
        fprintf(stderr, "%s: cannot be read\n", path);
    }
    free(data);
    return is_read;
}

/* Inputs replayed, or -1 when one of them could not be. */
static int replay_folder(const char *folder)
{
    DIR *entries = opendir(folder);
    if (!entries) {
        perror(folder);
        return -1;
    }
    int n_replayed = 0;
    const struct dirent *entry;
    while (n_replayed >= 0 && (entry = readdir(entries))) {
        char path[4096];
        if (entry->d_name[0] == '.') {
            continue;
        }
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        n_replayed = replay_file(path) ? n_replayed + 1 : -1;
    }
    closedir(entries);
    return n_replayed;
}

/* Arguments are folders. A folder without inputs is a failure: it would test nothing. */
int main(int argc, char **argv)
{
    for (int i = 1; i < argc; i++) {
        const int n_replayed = replay_folder(argv[i]);
        if (n_replayed <= 0) {
            fprintf(stderr, "%s: no inputs replayed\n", argv[i]);
            return 1;
        }
        printf("%s: %d inputs replayed\n", argv[i], n_replayed);
    }
    return argc > 1 ? 0 : 1;
}
