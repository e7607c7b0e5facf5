/* SPDX-License-Identifier: MIT */
/* MIDI files load in two readers from outside and say what the strike list says. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "claims.h"

/* WINDPEAL_MIDI_READERS in the environment: a reader that is missing fails, or skips, the test. */
static void miss_reader(void)
{
    if (getenv("WINDPEAL_MIDI_READERS")) {
        fail_msg("a reader of MIDI files is missing");
    }
    skip();
}

static void write_lists(void)
{
    struct program_run run;
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "list.mid", "--overwrite");
    claim_exit(&run, 0);
    program_run_finish(&run);
    RUN(&run, "strikes", PROGRAM_SET, PROGRAM_WEATHER, "-o", "list.csv", "--overwrite");
    claim_exit(&run, 0);
    program_run_finish(&run);
}

/* The times of one tube in the strike list. */
static size_t listed_times(int tube, double *times_s, size_t n_most)
{
    char *text = program_read_file("list.csv", NULL);
    size_t n = 0;
    for (const char *line = strchr(text, '\n'); line && line[1]; line = strchr(line + 1, '\n')) {
        double t_s;
        int number;
        assert_int_equal(sscanf(line + 1, "%lf,%d", &t_s, &number), 2);
        if (number == tube && n < n_most) {
            times_s[n++] = t_s;
        }
    }
    free(text);
    return n;
}

enum { TIMES_MAX = 4000 };

/* midicsv (J. Walker, in Debian) prints an event a line: track, tick, what, channel, key, velocity;
 * track 1 is the tempo's. A tick is a millisecond. */
static void midicsv_reads_every_strike_at_its_time(void **state)
{
    (void)state;
    if (system("command -v midicsv >midicsv.where 2>&1") != 0) {
        miss_reader();
    }
    write_lists();
    assert_int_equal(system("midicsv list.mid midi.csv"), 0);
    char *text = program_read_file("midi.csv", NULL);
    assert_true(strncmp(text, "0, 0, Header, 1, 5, 1000\n", 25) == 0);
    static double times_s[4][TIMES_MAX];
    size_t n_listed[4];
    size_t n_read[4] = {0, 0, 0, 0};
    for (int i = 0; i < 4; i++) {
        n_listed[i] = listed_times(i + 1, times_s[i], TIMES_MAX);
    }
    for (const char *line = text; line && *line; line = strchr(line, '\n'), line += line != NULL) {
        unsigned int track;
        double tick;
        char what[24];
        unsigned int channel;
        unsigned int key;
        unsigned int velocity;
        if (sscanf(line, "%u, %lf, %23[^,], %u, %u, %u", &track, &tick, what, &channel, &key,
                   &velocity) == 6 &&
            strcmp(what, "Note_on_c") == 0) {
            const size_t tube = track - 2;
            assert_true(tube < 4 && channel == tube && velocity >= 1 && velocity <= 127);
            assert_true(n_read[tube] < n_listed[tube]);
            const double off_s = tick / 1000.0 - times_s[tube][n_read[tube]++];
            assert_true(fabs(off_s) <= 0.0021); /* half a tick, or kept apart by one */
        }
    }
    for (size_t i = 0; i < 4; i++) {
        assert_int_equal(n_read[i], n_listed[i]);
        assert_true(n_listed[i] > 0 || i > 0);
    }
    free(text);
}

/* mido (in Debian: python3-mido): every note that begins ends, on one channel a track, and key and
 * bend of two semitones a side give the pitch that the table of tubes tells. */
static const char mido_script[] =
    "import json, sys, mido\n"
    "song = mido.MidiFile('list.mid')\n"
    "tubes = json.load(open('tubes.json'))['tubes']\n"
    "assert song.type == 1 and len(song.tracks) == len(tubes) + 1\n"
    "notes = 0\n"
    "for tube, track in zip(tubes, song.tracks[1:]):\n"
    "    on = [m for m in track if m.type == 'note_on' and m.velocity]\n"
    "    off = [m for m in track if m.type == 'note_off']\n"
    "    bend = [m for m in track if m.type == 'pitchwheel']\n"
    "    assert len(on) == len(off) and len(bend) == 1\n"
    "    assert len({m.channel for m in on + off + bend}) == 1\n"
    "    for m in on:\n"
    "        hz = 440 * 2 ** ((m.note - 69 + bend[0].pitch * 2 / 8192) / 12)\n"
    "        assert abs(hz / tube['heard_hz'] - 1) < 1e-5, (hz, tube['heard_hz'])\n"
    "    notes += len(on)\n"
    "assert notes == int(sys.argv[1]), notes\n"
    "assert song.length > 500\n";

static void mido_reads_pitches_to_a_fiftieth_of_a_cent(void **state)
{
    (void)state;
    const char *python = NULL;
    static const char *const pythons[] = {"/usr/bin/python3", "python3"};
    for (size_t i = 0; i < 2 && !python; i++) {
        char command[96];
        snprintf(command, sizeof command, "%s -c 'import mido' >mido.where 2>&1", pythons[i]);
        python = system(command) == 0 ? pythons[i] : NULL;
    }
    if (!python) {
        miss_reader();
    }
    write_lists();
    struct program_run run;
    RUN(&run, "tubes", PROGRAM_SET, "--json");
    claim_exit(&run, 0);
    program_write_file("tubes.json", run.out);
    program_run_finish(&run);
    program_write_file("read.py", mido_script);
    char *list = program_read_file("list.csv", NULL);
    char command[96];
    snprintf(command, sizeof command, "%s read.py %zu", python, program_count_lines(list) - 1);
    assert_int_equal(system(command), 0);
    free(list);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(midicsv_reads_every_strike_at_its_time),
        cmocka_unit_test(mido_reads_pitches_to_a_fiftieth_of_a_cent),
    };
    return cmocka_run_group_tests(tests, program_enter_folder, program_leave_folder);
}
