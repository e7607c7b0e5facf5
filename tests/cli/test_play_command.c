/* SPDX-License-Identifier: MIT */
/*
 * windpeal play without any loudspeaker: weather and strikes go on, so feed, log, keys, set file
 * and signals can be watched. On a machine that has a loudspeaker all but the wrong command lines
 * is skipped, for it would be heard.
 */
#define _GNU_SOURCE /* asprintf, the functions of pseudo-terminals */

#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <cmocka.h>

#include "claims.h"
#include "sound_server.h"
#include "watching.h"

static bool has_loudspeakers(void)
{
    struct program_run run;
    RUN(&run, "devices");
    const bool has_none = strstr(run.out, "There is no loudspeaker") != NULL;
    program_run_finish(&run);
    return !has_none;
}

static void skip_with_loudspeakers(void)
{
    if (has_loudspeakers()) {
        skip();
    }
}

static void wrong_command_lines_are_refused(void **state)
{
    (void)state;
    claim_fails(2, WORDS("play", PROGRAM_SET), WORDS("no weather given"));
    claim_fails(2, WORDS("play", PROGRAM_SET, PROGRAM_WEATHER, "--log", "a.csv"),
                WORDS("--log keeps a feed"));
    claim_fails(2, WORDS("play", PROGRAM_SET, "-", "--loop"), WORDS("--loop needs a weather file"));
    claim_fails(2, WORDS("play", PROGRAM_SET, "-", "--start", "now"), WORDS("begins now"));
    claim_fails(2, WORDS("play", PROGRAM_SET, "--beaufort", "3", "--gain", "3 dB"),
                WORDS("--gain", "-100 dB to 0 dB"));
    claim_fails(2, WORDS("play", PROGRAM_SET, "--beaufort", "3", "--latency", "5 s"),
                WORDS("--latency", "20 ms to 2 s"));
    claim_fails(2, WORDS("play", "nothing.yaml", "--beaufort", "3"), WORDS("no such set file"));
}

/* Sessions of some seconds, all at the same time from the beginning of the tests on. */
enum session { STEADY, WEATHER, LINES, LOOP, ONCE, N_SESSIONS };

struct asked {
    const char *name;
    const char *words[10];
};

static const struct asked sessions[N_SESSIONS] = {
    [STEADY] = {"steady", {"play", PROGRAM_SET, "--wind", "9 m/s", "--duration", "4 s"}},
    [WEATHER] = {"weather",
                 {"play", PROGRAM_SET, PROGRAM_WEATHER, "--start", "14:12", "--duration", "5 s",
                  "--json-lines"}},
    [LINES] = {"lines",
               {"play", PROGRAM_SET, "--wind", "9 m/s", "--duration", "3 s", "--json-lines"}},
    [LOOP] = {"loop", {"play", PROGRAM_SET, "short.csv", "--loop", "--duration", "9 s"}},
    [ONCE] = {"once", {"play", PROGRAM_SET, "short.csv"}},
};

static pid_t session_pids[N_SESSIONS]; /* 0: not started, there is a loudspeaker */

static int start_sessions(void **state)
{
    program_enter_folder(state);
    sound_server_have_none();
    program_write_file("short.csv", "time,wind m/s\n2026-04-11T14:00:00Z,9\n"
                                    "2026-04-11T14:00:02Z,10\n2026-04-11T14:00:04Z,11\n");
    if (has_loudspeakers()) {
        return 0;
    }
    for (size_t i = 0; i < N_SESSIONS; i++) {
        session_pids[i] = program_start(sessions[i].name, sessions[i].words);
    }
    return 0;
}

static void end_session(struct program_run *run, enum session session)
{
    skip_with_loudspeakers();
    program_collect(run, session_pids[session], sessions[session].name);
}

static void without_a_loudspeaker_it_says_so_and_goes_on(void **state)
{
    (void)state;
    struct program_run run;
    end_session(&run, STEADY);
    claim_exit(&run, 1);
    claim_holds(run.err, "as soon as there is a loudspeaker; now: there is no loudspeaker");
    claim_holds(run.err, "trying again in 2 s");
    claim_holds(run.err, "nothing was heard");
    claim_holds(run.out, "played       4.0 s");
    assert_null(strstr(run.out, " 0 strikes"));
    assert_null(strstr(run.err, "ALSA")); /* the sound systems' own words are kept back */
    program_run_finish(&run);
}

/* Strikes of a live file are those of the command strikes. */
static void a_file_strikes_live_as_it_does_offline(void **state)
{
    (void)state;
    struct program_run live;
    struct program_run offline;
    end_session(&live, WEATHER);
    RUN(&offline, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "--start", "14:12", "--duration", "5 s",
        "-o", "-");
    const char *at = offline.out;
    size_t n_alike = 0;
    while ((at = strchr(at, '\n')) && at[1]) {
        double t_s;
        int tube;
        char told[64];
        assert_int_equal(sscanf(++at, "%lf,%d", &t_s, &tube), 2);
        snprintf(told, sizeof told, "\"t_s\":%.8g,\"tube\":%d,", t_s, tube);
        claim_holds(live.out, told);
        n_alike++;
    }
    assert_true(n_alike > 3);
    program_run_finish(&live);
    program_run_finish(&offline);
}

static void json_lines_are_one_object_each(void **unused)
{
    (void)unused;
    struct program_run run;
    bool has_status = false;
    bool has_end = false;
    end_session(&run, LINES);
    char *next = run.out;
    for (char *line; (line = strsep(&next, "\n")) && *line;) {
        json_t *object = json_loads(line, JSON_REJECT_DUPLICATES, NULL);
        assert_non_null(object);
        const char *event = json_string_value(json_object_get(object, "event"));
        assert_non_null(event);
        if (strcmp(event, "status") == 0) {
            has_status = true;
            assert_true(claim_number(object, "wind_m_s") >= 0.0);
            assert_true(claim_number(object, "missing_frames") == 0.0);
            const char *state = json_string_value(json_object_get(object, "loudspeaker"));
            assert_non_null(state);
            assert_true(strcmp(state, "waiting") == 0 || strcmp(state, "opening") == 0);
        }
        has_end = strcmp(event, "end") == 0;
        json_decref(object);
    }
    assert_true(has_status && has_end);
    program_run_finish(&run);
}

/* Of all statuses; the text is cut up. */
static double largest_wind(char *text)
{
    double most_m_s = 0.0;
    for (char *line; (line = strsep(&text, "\n"));) {
        json_t *object = json_loads(line, 0, NULL);
        const json_t *wind = json_object_get(object, "wind_m_s");
        most_m_s = fmax(most_m_s, json_number_value(wind));
        json_decref(object);
    }
    return most_m_s;
}

static void a_log_is_kept_and_plays_again(void **state)
{
    (void)state;
    skip_with_loudspeakers();
    assert_int_equal(watching_script("(echo 'time,wind mph'; echo '2026-11-25T13:30:00Z,20';"
                                     " until grep -qs ,8.9408, kept.csv*; do sleep 0.05; done;"
                                     " echo 'rubbish'; echo '2026-11-25T13:30:10Z,25') | "
                                     "\"$PLAY\" play " PROGRAM_SET
                                     " - --log kept.csv --duration '2 s' >kept.out 2>kept.err"),
                     1);
    char *log = program_read_file("kept.csv", NULL);
    char *err = program_read_file("kept.err", NULL);
    assert_int_equal(program_count_lines(log), 6); /* 20 mph is 8.9408 m/s: 0.44704 by definition */
    claim_holds(log, ",8.9408,");
    claim_holds(log, ",11.1760,");
    claim_holds(log, "# windpeal session ended after ");
    claim_holds(err, "standard input:3:");
    claim_holds(err, "the feed is delimited text, speed 'wind mph' in mph (in the heading)");
    const char *end = strstr(err, "standard input has ended");
    claim_holds(err, "standard input has ended");
    claim_holds(err, "the feed reports");
    assert_null(strstr(end, "the feed reports"));
    free(log);
    free(err);
    struct program_run run;
    RUN(&run, "wind", "kept.csv");
    claim_exit(&run, 0);
    claim_holds(run.out, "session log");
    program_run_finish(&run);
    RUN(&run, "play", PROGRAM_SET, "kept.csv", "--duration", "2 s", "--json-lines");
    assert_true(largest_wind(run.out) > 0.1); /* it blows again as it comes up */
    program_run_finish(&run);
}

/* Without a standard error its number may go to the log. An aviation report's wind is a mean over
 * ten minutes, its gust the strongest of 3 s within them (WMO-No. 8, part I, chapter 5). */
static void a_log_holds_reports_and_averages_and_no_notes(void **state)
{
    (void)state;
    skip_with_loudspeakers();
    assert_int_equal(watching_script("echo 'METAR LOWI 251330Z 24015G25KT 9999 06/01 Q1013' |"
                                     " \"$PLAY\" play " PROGRAM_SET
                                     " - --log metar.csv --duration '1 s' 2>&- >metar.out"),
                     1);
    char *log = program_read_file("metar.csv", NULL);
    claim_holds(log, ",7.7167,12.8611,240.00,6.00,"); /* 15 and 25 kt: 1852 m in 3600 s */
    assert_null(strstr(log, "note"));
    free(log);
    struct program_run run;
    RUN(&run, "wind", "metar.csv", "--json");
    json_t *root = program_json(&run);
    assert_true(claim_number(root, "averaging_s") == 600.0);
    assert_true(claim_number(root, "gust_s") == 3.0);
    json_decref(root);
    program_run_finish(&run);
}

static void a_loop_begins_the_weather_anew(void **state)
{
    (void)state;
    struct program_run run;
    end_session(&run, LOOP);
    claim_holds(run.err, "the weather begins anew");
    claim_holds(run.out, "played       9.0 s");
    program_run_finish(&run);
    end_session(&run, ONCE);
    assert_null(strstr(run.err, "anew"));
    claim_holds(run.out, "played       6.0 s"); /* three intervals of two seconds */
    program_run_finish(&run);
}

/* Writes as an editor does: another file that takes the name. */
static void save(const char *path, const char *text)
{
    program_write_file("edited.tmp", text);
    assert_int_equal(rename("edited.tmp", path), 0);
}

static char *replaced(const char *text, const char *part, const char *by)
{
    const char *at = strstr(text, part);
    char *made = NULL;
    assert_non_null(at);
    assert_true(asprintf(&made, "%.*s%s%s", (int)(at - text), text, by, at + strlen(part)) > 0);
    return made;
}

static void an_edited_set_is_played_when_it_is_right(void **state)
{
    (void)state;
    skip_with_loudspeakers();
    char *text = program_read_file(PROGRAM_SET, NULL);
    save("edited.yaml", text);
    const char *const words[] = {"play", "edited.yaml", "--wind", "9 m/s", NULL};
    const pid_t pid = program_start("start", words);
    watching_for("start.err", "Four of a kind in", 5.0);
    watching_nap(0.3);
    char *wrong = replaced(text, "D5", "H5");
    save("edited.yaml", wrong);
    watching_for("start.err", "the old set plays on", 1.5);
    watching_for("start.err", "edited.yaml:6:", 0.1);
    char *right = replaced(text, "Four of a kind", "Another four");
    const double saved_s = watching_clock_s();
    save("edited.yaml", right);
    watching_for("start.err", "Another four plays now", 1.5);
    print_message("read and ready %.2f s after saving\n", watching_clock_s() - saved_s);
    kill(pid, SIGTERM);
    assert_int_equal(program_wait(pid), 128 + SIGTERM);
    free(text);
    free(wrong);
    free(right);
}

static void a_signal_ends_it_within_three_seconds(void **state)
{
    (void)state;
    static const int signals[] = {SIGINT, SIGTERM, SIGHUP};
    skip_with_loudspeakers();
    static const char *const names[] = {"int", "term", "hup"};
    static const char *const told[] = {"int.err", "term.err", "hup.err"};
    const char *const words[] = {"play", PROGRAM_SET, "--wind", "9 m/s", NULL};
    pid_t pids[3];
    for (size_t i = 0; i < 3; i++) {
        pids[i] = program_start(names[i], words);
    }
    for (size_t i = 0; i < 3; i++) {
        watching_for(told[i], "start quietly", 5.0);
    }
    const double before_s = watching_clock_s();
    for (size_t i = 0; i < 3; i++) {
        kill(pids[i], signals[i]);
    }
    for (size_t i = 0; i < 3; i++) {
        assert_int_equal(program_wait(pids[i]), 128 + signals[i]);
        assert_true(watching_clock_s() - before_s < 3.0);
    }
}

/* A terminal of our own, with the program in its foreground. */
struct seat {
    int fd;
    int feed_fd;
    pid_t pid;
    struct termios before;
    char seen[16384]; /* on the terminal, as far as it was watched */
    size_t n_seen;
};

/* The feed is a pipe, so keys can only come from the terminal itself. */
static void take_seat(struct seat *seat, bool is_json)
{
    int feed[2];
    assert_int_equal(pipe(feed), 0);
    *seat = (struct seat){.feed_fd = feed[1]};
    seat->fd = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(seat->fd >= 0 && grantpt(seat->fd) == 0 && unlockpt(seat->fd) == 0);
    const char *name = ptsname(seat->fd);
    assert_int_equal(tcgetattr(seat->fd, &seat->before), 0);
    remove("seat.out");
    seat->pid = fork();
    if (seat->pid == 0) {
        setsid();
        const int terminal = open(name, O_RDWR);
        ioctl(terminal, TIOCSCTTY, 0);
        dup2(feed[0], STDIN_FILENO);
        close(feed[0]);
        close(feed[1]);
        dup2(open("seat.out", O_WRONLY | O_CREAT | O_TRUNC, 0600), STDOUT_FILENO);
        dup2(terminal, STDERR_FILENO);
        execl(getenv("WINDPEAL_PROGRAM"), "windpeal", "play", PROGRAM_SET, "-",
              is_json ? "--json-lines" : (char *)NULL, (char *)NULL);
        _exit(127);
    }
    close(feed[0]);
}

static void take_json_seat(struct seat *seat)
{
    take_seat(seat, true);
    watching_for("seat.out", "keys: 1 to 4 strike", 6.0);
}

static void leave_seat(struct seat *seat)
{
    close(seat->fd);
    close(seat->feed_fd);
}

/* Waits until the terminal has shown the text. */
static void watch_terminal(struct seat *seat, const char *text, double most_s)
{
    const double until_s = watching_clock_s() + most_s;
    struct pollfd terminal = {.fd = seat->fd, .events = POLLIN};
    while (!strstr(seat->seen, text) && watching_clock_s() < until_s) {
        const size_t room = sizeof seat->seen - 1 - seat->n_seen;
        if (poll(&terminal, 1, 20) > 0) {
            const ssize_t n = read(seat->fd, seat->seen + seat->n_seen, room);
            assert_true(n > 0);
            seat->n_seen += (size_t)n;
        }
    }
    claim_holds(seat->seen, text);
}

static void press(const struct seat *seat, const char *keys)
{
    assert_int_equal(write(seat->fd, keys, strlen(keys)), (ssize_t)strlen(keys));
}

/* Echo and lines are back as they were. */
static void claim_restored(const struct seat *seat)
{
    struct termios now;
    assert_int_equal(tcgetattr(seat->fd, &now), 0);
    assert_int_equal(now.c_lflag, seat->before.c_lflag);
    assert_int_equal(now.c_cc[VMIN], seat->before.c_cc[VMIN]);
}

static void the_status_tells_where_the_wind_comes_from_once_it_blows(void **state)
{
    (void)state;
    static const char report[] = "time,wind m/s,direction\n2026-11-25T13:30:00Z,20,245\n";
    static struct seat seat;
    skip_with_loudspeakers();
    take_seat(&seat, false);
    watch_terminal(&seat, "[no loudspeaker] wind 0.0 m/s from   -, mean 0.0", 6.0);
    assert_null(strstr(seat.seen, "from   0"));
    assert_int_equal(write(seat.feed_fd, report, strlen(report)), (ssize_t)strlen(report));
    watch_terminal(&seat, " m/s from 2", 6.0); /* it turns about 245 degrees, by far less than 45 */
    press(&seat, "q");
    assert_int_equal(program_wait(seat.pid), 1); /* nothing was heard */
    leave_seat(&seat);
}

static void keys_strike_tubes_and_leave(void **state)
{
    (void)state;
    static struct seat seat;
    struct termios now;
    skip_with_loudspeakers();
    take_json_seat(&seat);
    assert_int_equal(tcgetattr(seat.fd, &now), 0);
    assert_int_equal(now.c_lflag & (ECHO | ICANON), 0);
    press(&seat, "3");
    watching_for("seat.out", "\"tube\":3,\"speed_m_s\":0.3", 2.0);
    press(&seat, "+2");
    watching_for("seat.out", "\"tube\":2,\"speed_m_s\":0.5", 2.0);
    press(&seat, "---1");
    watching_for("seat.out", "\"tube\":1,\"speed_m_s\":0.1", 2.0);
    press(&seat, " ");
    watching_for("seat.out", "\"muted\":true", 3.0);
    press(&seat, "q");
    assert_int_equal(program_wait(seat.pid), 1); /* nothing was heard */
    claim_restored(&seat);
    leave_seat(&seat);
}

static void a_killed_program_leaves_the_terminal_as_it_was(void **state)
{
    (void)state;
    static struct seat seat;
    skip_with_loudspeakers();
    take_json_seat(&seat);
    kill(seat.pid, SIGKILL);
    program_wait(seat.pid);
    watching_nap(0.5);
    claim_restored(&seat);
    leave_seat(&seat);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wrong_command_lines_are_refused),
        cmocka_unit_test(without_a_loudspeaker_it_says_so_and_goes_on),
        cmocka_unit_test(a_file_strikes_live_as_it_does_offline),
        cmocka_unit_test(json_lines_are_one_object_each),
        cmocka_unit_test(a_log_is_kept_and_plays_again),
        cmocka_unit_test(a_log_holds_reports_and_averages_and_no_notes),
        cmocka_unit_test(a_loop_begins_the_weather_anew),
        cmocka_unit_test(an_edited_set_is_played_when_it_is_right),
        cmocka_unit_test(a_signal_ends_it_within_three_seconds),
        cmocka_unit_test(the_status_tells_where_the_wind_comes_from_once_it_blows),
        cmocka_unit_test(keys_strike_tubes_and_leave),
        cmocka_unit_test(a_killed_program_leaves_the_terminal_as_it_was),
    };
    return cmocka_run_group_tests(tests, start_sessions, program_leave_folder);
}
