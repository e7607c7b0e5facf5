/* SPDX-License-Identifier: MIT */
/* Runs the built program in a folder of its own. */
#include "program.h"

#include <dirent.h>
#include <fcntl.h>
#include <limits.h>
#include <setjmp.h>
#include <signal.h>
#include <spawn.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

extern char **environ;

enum { WORDS_MAX = 32 };

static const char set_text[] =
    "name: Four of a kind\n"
    "tubes:\n"
    "  material: aluminium 6063-T6\n"
    "  outer_diameter: 32 mm\n"
    "  wall: 1.6 mm\n"
    "  notes: [A4, C5, D5, E5]\n"
    "layout:\n"
    "  ring: {radius: 75 mm}\n"
    "striker:\n"
    "  material: hardwood\n"
    "  diameter: 70 mm\n"
    "  mass: 60 g\n"
    "drive:\n"
    "  statistical: {calm_below: 0.5 m/s, busiest: 6 /s, full_at: 12 m/s}\n"
    "site: {height: 2 m, roughness: garden}\n"
    "listener: {distance: 3 m}\n";

/* A wind that swells and falls within the half hour. */
static void write_weather(void)
{
    FILE *file = fopen(PROGRAM_WEATHER, "w");
    assert_non_null(file);
    fputs("time,wind_speed_m_s,wind_gust_m_s,wind_dir_deg\n", file);
    for (int minute = 0; minute < 30; minute++) {
        const int swell = minute < 15 ? minute : 30 - minute;
        fprintf(file, "2026-04-11T14:%02d:00Z,%.1f,%.1f,%d\n", minute, 3.0 + 0.3 * swell,
                5.0 + 0.6 * swell, 230 + minute);
    }
    assert_int_equal(fclose(file), 0);
}

int program_enter_folder(void **state)
{
    /* Whoever runs the tests may ignore these, and the program would rightly go on doing so. */
    signal(SIGHUP, SIG_DFL);
    signal(SIGINT, SIG_DFL);
    char *folder = strdup("/tmp/windpeal-cli-XXXXXX");
    assert_non_null(getenv("WINDPEAL_PROGRAM"));
    assert_non_null(folder);
    assert_non_null(mkdtemp(folder));
    assert_int_equal(chdir(folder), 0);
    setenv("NO_COLOR", "1", 1);
    program_write_file(PROGRAM_SET, set_text);
    write_weather();
    *state = folder;
    return 0;
}

/* Removes a folder of files and of folders of files. */
static void remove_folder(const char *path, bool is_outer)
{
    DIR *dir = opendir(path);
    assert_non_null(dir);
    const struct dirent *entry;
    while ((entry = readdir(dir))) {
        char inner[PATH_MAX];
        snprintf(inner, sizeof inner, "%s/%s", path, entry->d_name);
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0) {
            continue;
        }
        if (remove(inner) != 0 && is_outer) {
            remove_folder(inner, false);
        }
    }
    closedir(dir);
    rmdir(path);
}

int program_leave_folder(void **state)
{
    assert_int_equal(chdir("/"), 0);
    remove_folder(*state, true);
    free(*state);
    return 0;
}

pid_t program_start(const char *name, const char *const words[])
{
    char out[64];
    char err[64];
    snprintf(out, sizeof out, "%s.out", name);
    snprintf(err, sizeof err, "%s.err", name);
    char *argv[WORDS_MAX + 2] = {getenv("WINDPEAL_PROGRAM")};
    for (size_t i = 0; words[i]; i++) {
        assert_true(i < WORDS_MAX);
        argv[i + 1] = (char *)(uintptr_t)words[i]; /* posix_spawn does not write to them */
    }
    posix_spawn_file_actions_t actions;
    assert_int_equal(posix_spawn_file_actions_init(&actions), 0);
    const int flags = O_WRONLY | O_CREAT | O_TRUNC;
    posix_spawn_file_actions_addopen(&actions, 0, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&actions, 1, out, flags, 0600);
    posix_spawn_file_actions_addopen(&actions, 2, err, flags, 0600);
    pid_t pid = 0;
    assert_int_equal(posix_spawn(&pid, argv[0], &actions, NULL, argv, environ), 0);
    posix_spawn_file_actions_destroy(&actions);
    return pid;
}

int program_wait(pid_t pid)
{
    int state = 0;
    assert_int_equal(waitpid(pid, &state, 0), pid);
    return WIFEXITED(state) ? WEXITSTATUS(state) : -1;
}

void program_collect(struct program_run *run, pid_t pid, const char *name)
{
    char path[64];
    run->exit_code = program_wait(pid);
    snprintf(path, sizeof path, "%s.out", name);
    run->out = program_read_file(path, NULL);
    snprintf(path, sizeof path, "%s.err", name);
    run->err = program_read_file(path, NULL);
}

void program_run(struct program_run *run, const char *const words[])
{
    program_collect(run, program_start("run", words), "run");
}

void program_run_finish(struct program_run *run)
{
    free(run->out);
    free(run->err);
}

json_t *program_json(const struct program_run *run)
{
    json_error_t error;
    json_t *root = json_loads(run->out, JSON_REJECT_DUPLICATES, &error);
    if (!root) {
        print_error("no JSON (%s): %s\n%s\n", error.text, run->out, run->err);
    }
    assert_non_null(root);
    return root;
}

void program_write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

char *program_read_file(const char *path, size_t *size)
{
    FILE *file = fopen(path, "rb");
    assert_non_null(file);
    struct stat facts;
    assert_int_equal(fstat(fileno(file), &facts), 0);
    const size_t n = (size_t)facts.st_size;
    char *text = malloc(n + 1);
    assert_non_null(text);
    assert_int_equal(fread(text, 1, n, file), n);
    fclose(file);
    text[n] = '\0';
    if (size) {
        *size = n;
    }
    return text;
}

bool program_has_file(const char *path)
{
    return access(path, F_OK) == 0;
}

size_t program_count_lines(const char *text)
{
    size_t n = 0;
    for (; *text; text++) {
        n += *text == '\n';
    }
    return n;
}
