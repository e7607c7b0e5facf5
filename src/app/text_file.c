/* SPDX-License-Identifier: MIT */
/* Writes a text under a temporary name and renames it when whole. */
#include "app/text_file.h"

#include <errno.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include <unistd.h>

static const struct wp_mark nowhere = {0, 0};

bool app_is_stdout(const char *path)
{
    return path && strcmp(path, "-") == 0;
}

enum wp_status app_refuse_errno(struct wp_diags *diags, const char *path, const char *doing,
                                int reason)
{
    const bool is_full = reason == ENOSPC || reason == EDQUOT || reason == EFBIG;
    return wp_diags_add(diags, is_full ? WP_E_NO_SPACE : WP_E_IO, path, nowhere,
                        is_full ? "make room or write elsewhere" : NULL, "cannot %s; %s", doing,
                        strerror(reason));
}

static bool is_table_name(const char *path)
{
    static const char ending[] = ".csv";
    const size_t length = strlen(path);
    const size_t n = sizeof ending - 1;
    return length > n && strcasecmp(path + length - n, ending) == 0;
}

enum wp_status app_text_file_open(struct app_text_file *text, const char *path, bool is_overwriting,
                                  struct wp_diags *diags)
{
    *text = (struct app_text_file){.path = path, .is_stdout = app_is_stdout(path)};
    if (text->is_stdout) {
        text->file = stdout;
        return WP_OK;
    }
    struct stat facts;
    const bool is_there = stat(path, &facts) == 0;
    text->is_direct = is_there && !S_ISREG(facts.st_mode);
    if (is_there && !text->is_direct && !is_overwriting) {
        return wp_diags_add(diags, WP_E_EXISTS, path, nowhere, "--overwrite replaces it",
                            "exists already; expected the name of a new file");
    }
    const int length =
        snprintf(text->part, sizeof text->part, "%s%s", path, text->is_direct ? "" : ".part");
    if ((size_t)length >= sizeof text->part) {
        return wp_diags_add(diags, WP_E_RANGE, path, nowhere, NULL, "the file name is too long");
    }
    text->file = fopen(text->part, "w");
    return text->file ? WP_OK : app_refuse_errno(diags, path, "create the file", errno);
}

enum wp_status app_table_file_open(struct app_text_file *text, const char *path,
                                   bool is_overwriting, struct wp_diags *diags)
{
    struct stat facts;
    const bool is_direct = stat(path, &facts) == 0 && !S_ISREG(facts.st_mode);
    *text = (struct app_text_file){.path = path};
    if (!app_is_stdout(path) && !is_direct && !is_table_name(path)) {
        return wp_diags_add(diags, WP_E_RANGE, path, nowhere, "for example list.csv",
                            "the file would hold a table; expected a name that ends in .csv");
    }
    return app_text_file_open(text, path, is_overwriting, diags);
}

bool app_text_file_printed(struct app_text_file *text, int result)
{
    if (result < 0 && !text->reason) {
        text->reason = errno ? errno : EIO;
    }
    return !text->reason;
}

/* Flushes and closes; false with the reason set when any byte may be lost. */
static bool close_whole(struct app_text_file *text)
{
    app_text_file_printed(text, fflush(text->file));
    if (!text->is_stdout && !text->is_direct && !text->reason) {
        /* A delayed error of the disk shows here at the latest. */
        app_text_file_printed(text, fsync(fileno(text->file)));
    }
    if (!text->is_stdout) {
        app_text_file_printed(text, fclose(text->file));
    }
    text->file = NULL;
    return !text->reason;
}

enum wp_status app_text_file_commit(struct app_text_file *text, struct wp_diags *diags)
{
    const bool is_renamed = !text->is_stdout && !text->is_direct;
    if (close_whole(text) &&
        (!is_renamed || app_text_file_printed(text, rename(text->part, text->path)))) {
        return WP_OK;
    }
    const char *name = text->is_stdout ? "standard output" : text->path;
    const enum wp_status status = app_refuse_errno(diags, name, "write the file", text->reason);
    if (is_renamed) {
        remove(text->part);
    }
    return status;
}

void app_text_file_abandon(struct app_text_file *text, bool is_kept)
{
    if (!text->file || text->is_stdout) {
        return;
    }
    fclose(text->file);
    text->file = NULL;
    if (!is_kept && !text->is_direct) {
        remove(text->part);
    }
}
