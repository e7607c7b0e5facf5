/* SPDX-License-Identifier: MIT */
/* Writes a file under a temporary name beside its place and renames it when it is whole. */

#define _GNU_SOURCE /* fallocate */
#include "output/part_file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

/* Bytes that a disk has room ready for, ahead of those that are written. */
static const uint64_t AHEAD = 16 << 20;

static const struct wp_mark NOWHERE = {0, 0};

/* A full disk, a used-up quota, a size that the file system or a limit does not allow. */
static enum wp_status status_of(int error)
{
    if (error == 0) {
        return WP_OK;
    }
    if (error == ENOSPC || error == EDQUOT || error == EFBIG) {
        return WP_E_NO_SPACE;
    }
    return error == ENOMEM ? WP_E_NO_MEMORY : WP_E_IO;
}

static enum wp_status report_taken(const char *path, struct wp_diags *diags)
{
    struct stat info;
    if (stat(path, &info) == 0 && S_ISDIR(info.st_mode)) {
        return wp_diags_add(diags, WP_E_EXISTS, path, NOWHERE, "give the file another name",
                            "is a folder; expected the name of a new file");
    }
    if (stat(path, &info) == 0 && !S_ISREG(info.st_mode)) {
        return wp_diags_add(diags, WP_E_EXISTS, path, NOWHERE,
                            "-o - writes WAV to standard output, which may be a pipe or device",
                            "is a pipe or device; expected the name of a new file");
    }
    return wp_diags_add(diags, WP_E_EXISTS, path, NOWHERE, "--overwrite replaces it",
                        "exists already; expected the name of a new file");
}

/* Only an ordinary file may be replaced: renaming over a device or pipe would destroy it. */
static enum wp_status check_name(const char *path, bool is_overwriting, struct wp_diags *diags)
{
    struct stat info;
    if (lstat(path, &info) != 0) {
        return WP_OK;
    }
    const bool is_replaceable = stat(path, &info) == 0 && S_ISREG(info.st_mode);
    return is_overwriting && is_replaceable ? WP_OK : report_taken(path, diags);
}

static enum wp_status report_open(const char *path, int error, struct wp_diags *diags)
{
    switch (error) {
    case ENOENT:
        return wp_diags_add(diags, WP_E_IO, path, NOWHERE, "make the folder first",
                            "the folder does not exist; expected a folder for the file");
    case ENOTDIR:
        return wp_diags_add(diags, WP_E_IO, path, NOWHERE, "choose another place",
                            "a part of the path is not a folder; expected a folder for the file");
    case EACCES:
    case EPERM:
    case EROFS:
        return wp_diags_add(diags, WP_E_IO, path, NOWHERE, "choose another place",
                            "no permission to write here; expected a writable folder");
    default:
        return wp_diags_add(diags, status_of(error), path, NOWHERE, "choose another place",
                            "cannot be created (%s); expected a writable place", strerror(error));
    }
}

static enum wp_status report_busy(const char *path, struct wp_diags *diags)
{
    return wp_diags_add(diags, WP_E_EXISTS, path, NOWHERE,
                        "wait for it to end, or give the file another name",
                        "is being written already; expected the name of a new file");
}

/* Whether the open file still has the name under which it was opened. */
static bool is_named(int descriptor, const char *path)
{
    struct stat opened;
    struct stat named;
    return fstat(descriptor, &opened) == 0 && stat(path, &named) == 0 &&
           opened.st_dev == named.st_dev && opened.st_ino == named.st_ino;
}

/* A file that is empty already is left alone: some file systems write a file that was emptied to
 * the disk at once when it is closed. */
static bool make_empty(int descriptor)
{
    struct stat info;
    const bool is_empty =
        fstat(descriptor, &info) == 0 && S_ISREG(info.st_mode) && info.st_size == 0;
    return is_empty || ftruncate(descriptor, 0) == 0;
}

/* The lock keeps two renderings from writing one file; where locks do not work, they are done
 * without. A file that lost its name before the lock was had is another process's finished work. */
static enum wp_status open_part(struct wp_part_file *file, struct wp_diags *diags)
{
    file->descriptor = open(file->part_path, O_WRONLY | O_CREAT | O_CLOEXEC | O_NONBLOCK, 0666);
    if (file->descriptor < 0) {
        return report_open(file->path, errno, diags);
    }
    if ((flock(file->descriptor, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK) ||
        !is_named(file->descriptor, file->part_path)) {
        return report_busy(file->path, diags);
    }
    if (!make_empty(file->descriptor)) {
        return report_open(file->path, errno, diags);
    }
    return WP_OK;
}

static enum wp_status set_paths(struct wp_part_file *file, const char *path)
{
    const size_t length = strlen(path);
    file->path = malloc(length + 1);
    file->part_path = malloc(length + sizeof ".part");
    if (!file->path || !file->part_path) {
        return WP_E_NO_MEMORY;
    }
    memcpy(file->path, path, length + 1);
    memcpy(file->part_path, path, length);
    memcpy(file->part_path + length, ".part", sizeof ".part");
    return WP_OK;
}

/* The slash stays: a link to a folder is one, a file before the slash is none. */
static void find_folder(const char *path, char folder[PATH_MAX])
{
    const char *slash = strrchr(path, '/');
    const int length = slash ? (int)(slash - path) + 1 : 1;
    (void)snprintf(folder, PATH_MAX, "%.*s", length, slash ? path : ".");
}

enum wp_status wp_part_file_check(const char *path, bool is_overwriting, struct wp_diags *diags)
{
    char folder[PATH_MAX];
    if (strcmp(path, "-") == 0) {
        return WP_OK;
    }
    const enum wp_status status = check_name(path, is_overwriting, diags);
    if (status) {
        return status;
    }
    find_folder(path, folder);
    return access(folder, W_OK | X_OK) == 0 ? WP_OK : report_open(path, errno, diags);
}

enum wp_status wp_part_file_init(struct wp_part_file *file, const char *path, bool is_overwriting,
                                 struct wp_diags *diags)
{
    *file = (struct wp_part_file){.descriptor = -1, .is_overwriting = is_overwriting};
    if (strcmp(path, "-") == 0) {
        file->is_stream = true;
        file->descriptor = STDOUT_FILENO;
        return WP_OK;
    }
    enum wp_status status = check_name(path, is_overwriting, diags);
    if (!status) {
        status = set_paths(file, path);
    }
    if (!status) {
        status = open_part(file, diags);
    }
    if (status) {
        wp_part_file_finish(file, true);
    }
    return status;
}

/* "172.8 MB" or "24.9 GB". */
struct size_text {
    char text[32];
};

static struct size_text size_text(uint64_t n_bytes)
{
    struct size_text size;
    const bool is_large = n_bytes >= 1000000000;
    (void)snprintf(size.text, sizeof size.text, "%.1f %s", (double)n_bytes / (is_large ? 1e9 : 1e6),
                   is_large ? "GB" : "MB");
    return size;
}

/* Bytes that an unprivileged user may still write on a disk; UINT64_MAX: it does not tell. */
static uint64_t free_bytes(const struct statvfs *disk)
{
    return disk->f_blocks == 0 ? UINT64_MAX : (uint64_t)disk->f_bavail * disk->f_frsize;
}

static enum wp_status report_full(const char *name, uint64_t n_bytes, uint64_t n_files,
                                  uint64_t n_free, struct wp_diags *diags)
{
    static const char hint[] = "make room, write to another disk or render less";
    if (n_files == 1) {
        return wp_diags_add(diags, WP_E_NO_SPACE, name, NOWHERE, hint,
                            "not enough space; the file takes at least %s, %s are free",
                            size_text(n_bytes).text, size_text(n_free).text);
    }
    return wp_diags_add(diags, WP_E_NO_SPACE, name, NOWHERE, hint,
                        "not enough space; %llu files of at least %s each, %s are free",
                        (unsigned long long)n_files, size_text(n_bytes).text,
                        size_text(n_free).text);
}

static enum wp_status compare(const char *name, uint64_t n_bytes, uint64_t n_files, uint64_t n_free,
                              struct wp_diags *diags)
{
    if (n_bytes > n_free / n_files) {
        return report_full(name, n_bytes, n_files, n_free, diags);
    }
    struct rlimit limit;
    if (getrlimit(RLIMIT_FSIZE, &limit) == 0 && limit.rlim_cur != RLIM_INFINITY &&
        n_bytes > limit.rlim_cur) {
        return wp_diags_add(diags, WP_E_NO_SPACE, name, NOWHERE,
                            "raise the limit (ulimit -f) or render less",
                            "files may not be that large; the file takes at least %s, the limit is "
                            "%s",
                            size_text(n_bytes).text, size_text(limit.rlim_cur).text);
    }
    return WP_OK;
}

enum wp_status wp_part_file_check_room(const char *path, uint64_t n_bytes, uint64_t n_files,
                                       struct wp_diags *diags)
{
    char folder[PATH_MAX];
    char part_path[PATH_MAX + sizeof ".part"];
    struct stat part;
    struct statvfs disk;
    find_folder(path, folder);
    if (strcmp(path, "-") == 0 || statvfs(folder, &disk) != 0) {
        return WP_OK;
    }
    uint64_t n_free = free_bytes(&disk);
    (void)snprintf(part_path, sizeof part_path, "%s.part", path);
    if (n_free != UINT64_MAX && stat(part_path, &part) == 0 && S_ISREG(part.st_mode)) {
        n_free += (uint64_t)part.st_blocks * 512; /* POSIX leaves the unit open, Linux does not */
    }
    return compare(path, n_bytes, n_files, n_free, diags);
}

enum wp_status wp_part_file_reserve(const struct wp_part_file *file, uint64_t n_bytes,
                                    uint64_t n_files, struct wp_diags *diags)
{
    struct stat info;
    struct statvfs disk;
    if (fstat(file->descriptor, &info) != 0 || !S_ISREG(info.st_mode) ||
        fstatvfs(file->descriptor, &disk) != 0) {
        return WP_OK; /* a pipe or device has no size */
    }
    return compare(file->is_stream ? "standard output" : file->path, n_bytes, n_files,
                   free_bytes(&disk), diags);
}

/* A write that transfers nothing is counted as a full disk, or the loop might never end. */
static enum wp_status note_failure(struct wp_part_file *file, ssize_t n_written)
{
    if (!file->error) {
        file->error = n_written == 0 ? ENOSPC : errno;
    }
    return status_of(file->error);
}

void wp_part_file_expect(struct wp_part_file *file, uint64_t n_bytes)
{
    file->n_expected = file->is_stream ? 0 : n_bytes;
}

/* Where this cannot be done, or the disk is full, writing tells. */
static void make_ready(struct wp_part_file *file, size_t n_bytes)
{
    if (file->n_bytes + n_bytes <= file->n_ready || file->n_ready >= file->n_expected) {
        return;
    }
    const uint64_t n_left = file->n_expected - file->n_ready;
    const uint64_t n_more = n_left < AHEAD ? n_left : AHEAD;
#ifdef __linux__
    (void)fallocate(file->descriptor, FALLOC_FL_KEEP_SIZE, (off_t)file->n_ready, (off_t)n_more);
#endif
    file->n_ready += n_more;
}

enum wp_status wp_part_file_append(struct wp_part_file *file, const void *bytes, size_t n_bytes)
{
    const char *rest = bytes;
    make_ready(file, n_bytes);
    while (n_bytes > 0 && !file->error) {
        const ssize_t n_written = write(file->descriptor, rest, n_bytes);
        if (n_written > 0) {
            rest += n_written;
            n_bytes -= (size_t)n_written;
            file->n_bytes += (uint64_t)n_written;
        } else if (n_written == 0 || errno != EINTR) {
            return note_failure(file, n_written);
        }
    }
    return wp_part_file_status(file);
}

enum wp_status wp_part_file_write_at(struct wp_part_file *file, uint64_t offset, const void *bytes,
                                     size_t n_bytes)
{
    const char *rest = bytes;
    while (n_bytes > 0) {
        const ssize_t n_written = pwrite(file->descriptor, rest, n_bytes, (off_t)offset);
        if (n_written > 0) {
            rest += n_written;
            offset += (uint64_t)n_written;
            n_bytes -= (size_t)n_written;
        } else if (n_written == 0 || errno != EINTR) {
            return note_failure(file, n_written);
        }
    }
    return WP_OK;
}

enum wp_status wp_part_file_cut(struct wp_part_file *file, uint64_t n_bytes)
{
    const bool is_cut = file->is_stream || ftruncate(file->descriptor, (off_t)n_bytes) == 0;
    return is_cut ? WP_OK : WP_E_IO;
}

enum wp_status wp_part_file_status(const struct wp_part_file *file)
{
    return status_of(file->error);
}

/* Network disks report a full disk when a descriptor is closed at the latest; a copy keeps the lock
 * until the file has its name. */
enum wp_status wp_part_file_settle(struct wp_part_file *file)
{
    const int copy = file->error || file->is_stream ? -1 : dup(file->descriptor);
    if (copy >= 0 && close(copy) != 0) {
        file->error = errno;
    }
    return wp_part_file_status(file);
}

/* A hard link fails when the name is taken, with no moment in between; a file system without hard
 * links gets a check and a rename. */
static int give_name(const struct wp_part_file *file)
{
    if (!file->is_overwriting) {
        if (link(file->part_path, file->path) == 0) {
            return unlink(file->part_path) == 0 ? 0 : errno;
        }
        if (errno == EEXIST || access(file->path, F_OK) == 0) {
            return EEXIST;
        }
    }
    return rename(file->part_path, file->path) == 0 ? 0 : errno;
}

enum wp_status wp_part_file_commit(struct wp_part_file *file)
{
    const enum wp_status status = wp_part_file_settle(file);
    if (status || file->is_stream) {
        return status;
    }
    const int name_error = give_name(file);
    return name_error == EEXIST ? WP_E_EXISTS : status_of(name_error);
}

void wp_part_file_finish(struct wp_part_file *file, bool is_keeping_part)
{
    if (file->descriptor >= 0 && !file->is_stream) {
        if (!is_keeping_part) {
            unlink(file->part_path);
        }
        close(file->descriptor);
    }
    free(file->path);
    free(file->part_path);
    *file = (struct wp_part_file){.descriptor = -1};
}
