/* SPDX-License-Identifier: MIT */
/* The one table of commands and options. */
#include "app/options.h"

#include <stdio.h>

enum {
    FOR_RENDER = 1u << APP_RENDER,
    FOR_TUBES = 1u << APP_TUBES,
    FOR_WIND = 1u << APP_WIND,
    FOR_STRIKES = 1u << APP_STRIKES,
    FOR_PLAY = 1u << APP_PLAY,
    FOR_DEVICES = 1u << APP_DEVICES,
    FOR_FILES = FOR_RENDER | FOR_WIND | FOR_STRIKES,
    FOR_WEATHER = FOR_FILES | FOR_PLAY,
    FOR_CHANCE = FOR_WEATHER | FOR_TUBES,
    FOR_JSON = FOR_FILES | FOR_TUBES | FOR_DEVICES,
    FOR_ALL = FOR_JSON | FOR_PLAY,
};

static const struct app_command commands[APP_N_COMMANDS] = {
    [APP_RENDER] =
        {.name = "render",
         .summary = "write the sound of a set in a given weather to a sound file",
         .operands = "SET [WEATHER] -o FILE",
         .description =
             "Reads the chime set and the weather, lets the wind blow, the striker strike and the "
             "tubes ring, and writes what a listener at the set's listening place hears. Without "
             "weather, --each strikes every tube once and --strikes plays back a list. A file from "
             "weather lasts exactly its duration, and what still rings fades over its last 2 "
             "seconds. A file from a list lasts until the last strike has rung out by 80 dB, at "
             "most 30 seconds, unless --duration says otherwise.",
         .least_operands = 1,
         .most_operands = 2,
         .examples =
             {{"render lantern-court afternoon.csv -o afternoon.wav",
               "the first ten minutes of a weather file"},
              {"render lantern-court --wind '4 m/s' --gust '8 m/s' --from 240 -o breeze.flac",
               "a steady breeze with gusts, no weather file needed"},
              {"render lantern-court day.csv --start 14:30 --duration '1 h' -o hour.wav",
               "one hour of a day"},
              {"render lantern-court --each -o each.wav",
               "every tube struck in turn, then all together"},
              {"render lantern-court day.csv --level calibrated --bits float -o a.wav",
               "true level: full scale is 20 Pa at the listener, so two sets can be compared"}}},
    [APP_TUBES] =
        {.name = "tubes",
         .summary = "list every tube's length, pitch, partials and supports",
         .operands = "SET",
         .description =
             "Solves every tube of the set and prints a table to cut and hang it by: note, length, "
             "support points from the top end, heard pitch, mass and how long the first partials "
             "ring, then the total load and the stock needed.",
         .least_operands = 1,
         .most_operands = 1,
         .examples = {{"tubes lantern-court", "the cutting table"},
                      {"tubes lantern-court --units inch --rule '1/32 in'",
                       "lengths that a tape rule can show, and the cents this costs"},
                      {"tubes lantern-court --partials", "every partial of every tube"},
                      {"tubes lantern-court --intervals",
                       "how smooth the tuning is, and what would be smoother"},
                      {"tubes lantern-court --tolerance", "what the shop has to hold"},
                      {"tubes lantern-court --sample 5 --seed 2 --out-dir bought",
                       "five sets as they may come out of bought stock"}}},
    [APP_WIND] =
        {.name = "wind",
         .summary = "show what was understood of weather data, or write the wind made from it",
         .operands = "[WEATHER]",
         .description =
             "Prints the format, the columns with their units, the records and the gaps of a "
             "weather file. With -o it writes the gusting, turning wind that is made from the "
             "records. No set is involved, so this wind is the wind as given unless --height asks "
             "for another height.",
         .least_operands = 0,
         .most_operands = 1,
         .examples = {{"wind afternoon.csv", "what was understood"},
                      {"wind afternoon.csv --json --records",
                       "the same with every record, as JSON"},
                      {"wind afternoon.csv -o wind.csv --every '0.1 s' --duration '10 min'",
                       "ten minutes of generated wind, ten values a second"}}},
    [APP_STRIKES] =
        {.name = "strikes",
         .summary = "list the strikes that a given weather makes, without sound",
         .operands = "SET [WEATHER]",
         .description =
             "Runs the wind and the striker as render does and reports how often and how evenly "
             "the tubes are struck. With -o the strikes are written as a list, which render "
             "--strikes plays back, or as a MIDI file, a track a tube. With --vary the same "
             "weather "
             "is tried on other strikers or layouts.",
         .least_operands = 1,
         .most_operands = 2,
         .examples = {{"strikes lantern-court afternoon.csv", "how varied the striking is"},
                      {"strikes lantern-court afternoon.csv -o list.csv", "the list of strikes"},
                      {"strikes lantern-court afternoon.csv -o list.mid",
                       "the strikes as notes, in the tubes' exact pitches"},
                      {"strikes lantern-court afternoon.csv --vary 'striker.diameter=30..70 mm'",
                       "which striker is the most varied"},
                      {"strikes lantern-court --beaufort 4 --duration '1 h'",
                       "an hour of one wind force"}}},
    [APP_PLAY] =
        {.name = "play",
         .summary = "play a set live, in the weather of a file or of a feed",
         .operands = "SET [WEATHER]",
         .description =
             "Plays on a loudspeaker what render would write, for as long as wanted. WEATHER is a "
             "file, played from its start, from --start or around and around with --loop; or -, a "
             "live feed on standard input, whatever it comes from; or a wind without a file. "
             "Reports of a feed hold from the moment at which they come in. A feed that falls "
             "silent is held for three intervals of its reports, then its wind falls to a calm. "
             "A loudspeaker that is lost is tried again, while weather and strikes go on. On a "
             "terminal the number keys strike tubes, + and - strike harder and softer, space "
             "mutes, q leaves. The set file is read again when it is saved: what is right is heard "
             "within a second, what is wrong is told and the old set plays on.",
         .least_operands = 1,
         .most_operands = 2,
         .examples = {{"play lantern-court --wind '4 m/s' --gust '8 m/s'",
                       "a steady breeze until q is pressed"},
                      {"play lantern-court afternoon.csv --start 14:30 --loop",
                       "a weather file from half past two, around and around"},
                      {"play lantern-court - --log session.csv",
                       "the weather outside, from whatever program is piped in, kept as a log"},
                      {"play lantern-court - --channels tubes --device 'usb' --duration '8 h'",
                       "an installation with a loudspeaker for each tube"}}},
    [APP_SHEET] = {.name = "sheet",
                   .summary = "draw a shop sheet",
                   .operands = "SET -o FILE",
                   .is_later = true},
    [APP_TAP] = {.name = "tap",
                 .summary = "compare recordings of cut tubes with the model",
                 .operands = "SET RECORDING...",
                 .is_later = true},
    [APP_PREVIEW] = {.name = "preview",
                     .summary = "write a page for a client",
                     .operands = "SET WEATHER -o FILE",
                     .is_later = true},
    [APP_DEVICES] = {.name = "devices",
                     .summary = "list the loudspeakers that play can use",
                     .operands = "",
                     .description =
                         "Asks the sound systems of this machine which loudspeakers there are. Any "
                         "part of a name that no other has will do for play --device.",
                     .examples = {{"devices", "their names, channels and rates"},
                                  {"devices --verbose", "also what the sound systems say"}}},
};

static const char output_heading[] = "Output";
static const char sound_heading[] = "Sound file";
static const char strike_heading[] = "Strikes without weather";
static const char vary_heading[] = "Trying other values";
static const char live_heading[] = "Loudspeaker and live feed";
static const char tube_heading[] = "Tubes";
static const char report_heading[] = "Weather report and generated wind";
static const char weather_heading[] = "Weather without a file";
static const char reading_heading[] = "Reading the weather";
static const char station_heading[] = "What the station tells";
static const char time_heading[] = "Time and chance";

static const struct app_option options[APP_N_OPTIONS] = {
    [APP_OUTPUT] = {.name = "output",
                    .letter = 'o',
                    .heading = output_heading,
                    .kind = APP_FILE,
                    .value = "FILE",
                    .commands = FOR_FILES,
                    .text = "write to FILE; - is standard output. Sound: .wav, .flac or .rf64; "
                            "strikes: .csv or .mid; wind: .csv"},
    [APP_OVERWRITE] = {.name = "overwrite",
                       .heading = output_heading,
                       .commands = FOR_FILES | FOR_TUBES | FOR_PLAY,
                       .text = "replace files that exist already"},
    [APP_JSON] = {.name = "json",
                  .heading = output_heading,
                  .commands = FOR_JSON,
                  .text = "print the report as JSON, in SI units"},
    [APP_HELP] = {.name = "help",
                  .letter = 'h',
                  .heading = output_heading,
                  .commands = FOR_ALL,
                  .text = "print help on the command"},
    [APP_RATE] = {.name = "rate",
                  .heading = sound_heading,
                  .kind = APP_CHOICE,
                  .choices = {"44100", "48000", "88200", "96000"},
                  .commands = FOR_RENDER,
                  .text = "frames a second; default 48000"},
    [APP_BITS] = {.name = "bits",
                  .heading = sound_heading,
                  .kind = APP_CHOICE,
                  .choices = {"16", "24", "float"},
                  .commands = FOR_RENDER,
                  .text = "sample format; default 24"},
    [APP_CHANNELS] =
        {.name = "channels",
         .heading = sound_heading,
         .kind = APP_CHOICE,
         .choices = {"stereo", "mono", "tubes"},
         .commands = FOR_RENDER | FOR_PLAY,
         .text = "the listener's two ears, the middle of the head, or one channel a tube for "
                 "a loudspeaker in each one's place; default stereo"},
    [APP_LEVEL] = {.name = "level",
                   .heading = sound_heading,
                   .kind = APP_CHOICE,
                   .choices = {"web", "broadcast", "calibrated"},
                   .commands = FOR_RENDER,
                   .text = "-16 LUFS, -23 LUFS (both never above -1 dBTP, without a limiter), or "
                           "true level with full scale = 20 Pa at the listener; default web"},
    [APP_KERNEL] = {.name = "kernel",
                    .heading = sound_heading,
                    .kind = APP_CHOICE,
                    .choices = {"blocks", "tile"},
                    .commands = FOR_RENDER,
                    .text = "how partials are summed: long blocks by way of their spectra, or "
                            "tiles of 64 frames as for live sound, several times slower; the two "
                            "agree within -112 dB of the peak; default blocks"},
    [APP_STEMS] =
        {.name = "stems",
         .heading = sound_heading,
         .kind = APP_FOLDER,
         .value = "FOLDER",
         .commands = FOR_RENDER,
         .text = "also write each tube's own track, as FOLDER/tube-01-A3.wav; all have the gain "
                 "of the sound file, to which they add up"},
    [APP_STRIKE_LIST] = {.name = "strikes",
                         .heading = strike_heading,
                         .kind = APP_FILE,
                         .value = "LIST",
                         .commands = FOR_RENDER,
                         .text = "play back a strike list as written by the command strikes"},
    [APP_EACH] = {.name = "each",
                  .heading = strike_heading,
                  .commands = FOR_RENDER,
                  .text = "strike every tube once in turn, then all together"},
    [APP_DRY_RUN] = {.name = "dry-run",
                     .heading = output_heading,
                     .commands = FOR_RENDER,
                     .text = "say what would be done; write nothing"},
    [APP_DEVICE] = {.name = "device",
                    .heading = live_heading,
                    .kind = APP_TEXT,
                    .value = "NAME",
                    .commands = FOR_PLAY,
                    .text = "the loudspeaker whose name contains NAME, as devices lists them; "
                            "default the system's"},
    [APP_GAIN] = {.name = "gain",
                  .heading = live_heading,
                  .kind = APP_QUANTITY,
                  .value = "GAIN",
                  .dimension = WP_DECIBELS,
                  .least = -100.0,
                  .most = 0.0,
                  .range = "-100 dB to 0 dB",
                  .commands = FOR_PLAY,
                  .text = "softer by that much, as '-12 dB'; default 0"},
    [APP_CALIBRATED] = {.name = "calibrated",
                        .heading = live_heading,
                        .commands = FOR_PLAY,
                        .text = "true level: full scale is 20 Pa at the listener. Default: raised "
                                "so that one hard blow (1 m/s) peaks at -9 dBFS"},
    [APP_LATENCY] = {.name = "latency",
                     .heading = live_heading,
                     .kind = APP_QUANTITY,
                     .value = "TIME",
                     .dimension = WP_DURATION,
                     .least = 0.02,
                     .most = 2.0,
                     .range = "20 ms to 2 s",
                     .commands = FOR_PLAY,
                     .text = "sound made ahead of time, against gaps; default '200 ms'"},
    [APP_LOOP] = {.name = "loop",
                  .heading = live_heading,
                  .commands = FOR_PLAY,
                  .text = "begin a weather file anew at its end, with other chance"},
    [APP_LOG] = {.name = "log",
                 .heading = live_heading,
                 .kind = APP_FILE,
                 .value = "FILE",
                 .commands = FOR_PLAY,
                 .text = "keep a live feed as a session log, which render takes as weather"},
    [APP_JSON_LINES] = {.name = "json-lines",
                        .heading = live_heading,
                        .commands = FOR_PLAY,
                        .text = "tell the status every second and what happens, a JSON object a "
                                "line"},
    [APP_VERBOSE] = {.name = "verbose",
                     .letter = 'v',
                     .heading = live_heading,
                     .commands = FOR_PLAY | FOR_DEVICES,
                     .text = "also print what the sound systems say"},
    [APP_RULE] = {.name = "rule",
                  .heading = tube_heading,
                  .kind = APP_QUANTITY,
                  .value = "LENGTH",
                  .dimension = WP_LENGTH,
                  .least = 1e-5,
                  .most = 0.05,
                  .range = "0.01 mm to 50 mm",
                  .commands = FOR_TUBES,
                  .text = "round lengths to what the shop can cut ('0.5 mm', '1/32 in') and show "
                          "the cents that it costs"},
    [APP_UNITS] = {.name = "units",
                   .heading = tube_heading,
                   .kind = APP_CHOICE,
                   .choices = {"mm", "inch"},
                   .commands = FOR_TUBES,
                   .text = "lengths in millimetres or in fractions of an inch; default mm"},
    [APP_PARTIALS] = {.name = "partials",
                      .heading = tube_heading,
                      .commands = FOR_TUBES,
                      .text = "list every partial: frequency, split, T60, level at the listener"},
    [APP_NO_AIR_MASS] = {.name = "no-air-mass",
                         .heading = tube_heading,
                         .commands = FOR_TUBES,
                         .text = "frequencies without the mass of the air that moves along"},
    [APP_INTERVALS] = {.name = "intervals",
                       .heading = tube_heading,
                       .commands = FOR_TUBES,
                       .text = "intervals between neighbours in pitch, how rough they are, and "
                               "smoother ones near them (always in the JSON)"},
    [APP_TOLERANCE] = {.name = "tolerance",
                       .heading = tube_heading,
                       .commands = FOR_TUBES,
                       .text = "how far each pitch moves with wall, diameter, length, stiffness "
                               "and temperature, and what bought stock makes of it"},
    [APP_SAMPLE] = {.name = "sample",
                    .heading = tube_heading,
                    .kind = APP_WHOLE,
                    .value = "NUMBER",
                    .least = 1.0,
                    .most = 100.0,
                    .range = "1 to 100",
                    .commands = FOR_TUBES,
                    .text = "write that many plausible sets, 1 to 100: the same lengths cut from "
                            "stock within its tolerances, for render to sound"},
    [APP_OUT_DIR] = {.name = "out-dir",
                     .heading = tube_heading,
                     .kind = APP_FOLDER,
                     .value = "FOLDER",
                     .commands = FOR_TUBES,
                     .text = "folder for the files of --sample; default the current one"},
    [APP_RECORDS] = {.name = "records",
                     .heading = report_heading,
                     .commands = FOR_WIND,
                     .text = "list every record"},
    [APP_EVERY] = {.name = "every",
                   .heading = report_heading,
                   .kind = APP_QUANTITY,
                   .value = "TIME",
                   .dimension = WP_DURATION,
                   .least = 0.01,
                   .most = 1.0,
                   .range = "10 ms to 1 s",
                   .commands = FOR_WIND,
                   .text = "step of the wind written with -o, 10 ms to 1 s; default '0.1 s'"},
    [APP_FIXED_WIND] = {.name = "wind",
                        .heading = weather_heading,
                        .kind = APP_QUANTITY,
                        .value = "SPEED",
                        .dimension = WP_SPEED,
                        .least = 0.0,
                        .most = 75.0,
                        .range = "0 to 75 m/s",
                        .commands = FOR_WEATHER,
                        .text = "a steady mean wind, as '5 m/s' or '12 mph'"},
    [APP_GUST] = {.name = "gust",
                  .heading = weather_heading,
                  .kind = APP_QUANTITY,
                  .value = "SPEED",
                  .dimension = WP_SPEED,
                  .least = 0.0,
                  .most = 120.0,
                  .range = "0 to 120 m/s",
                  .commands = FOR_WEATHER,
                  .text = "strongest gust that goes with --wind"},
    [APP_FROM] = {.name = "from",
                  .heading = weather_heading,
                  .kind = APP_QUANTITY,
                  .value = "DEGREES",
                  .dimension = WP_ANGLE,
                  .least = 0.0,
                  .most = 360.0,
                  .range = "0 to 360 degrees",
                  .commands = FOR_WEATHER,
                  .text = "where the wind of --wind or --beaufort comes from: 0 north, 90 east"},
    [APP_BEAUFORT] = {.name = "beaufort",
                      .heading = weather_heading,
                      .kind = APP_WHOLE,
                      .value = "FORCE",
                      .least = 0.0,
                      .most = 12.0,
                      .range = "0 to 12",
                      .commands = FOR_WEATHER,
                      .text = "a steady wind of that force, 0 to 12"},
    [APP_METAR] = {.name = "metar",
                   .heading = weather_heading,
                   .kind = APP_TEXT,
                   .value = "REPORT",
                   .commands = FOR_WEATHER,
                   .text = "the wind of an aviation report, as '24015G25KT'"},
    [APP_INTENSITY] = {.name = "intensity",
                       .heading = weather_heading,
                       .kind = APP_QUANTITY,
                       .value = "SHARE",
                       .dimension = WP_SHARE,
                       .least = 0.0,
                       .most = 1.0,
                       .range = "0 % to 100 %",
                       .commands = FOR_WEATHER,
                       .text = "turbulence: standard deviation over mean, as '20 %'; default from "
                               "the roughness of the ground"},
    [APP_HEIGHT] = {.name = "height",
                    .heading = reading_heading,
                    .kind = APP_QUANTITY,
                    .value = "HEIGHT",
                    .dimension = WP_LENGTH,
                    .least = 0.1,
                    .most = 200.0,
                    .range = "0.1 m to 200 m",
                    .commands = FOR_WEATHER,
                    .text = "height above ground at which the wind is wanted; default that of the "
                            "set, and for the command wind the wind as given"},
    [APP_NO_HEIGHT_CHANGE] = {.name = "no-height-change",
                              .heading = reading_heading,
                              .commands = FOR_WEATHER,
                              .text = "the wind as given is the wind at the set"},
    [APP_SPEED_UNIT] = {.name = "unit",
                        .heading = reading_heading,
                        .kind = APP_CHOICE,
                        .choices = {"m/s", "km/h", "mph", "kt", "ft/s", "bft"},
                        .commands = FOR_WEATHER,
                        .text = "unit of speeds whose unit the file does not tell; default m/s"},
    [APP_SCALE] = {.name = "scale",
                   .heading = reading_heading,
                   .kind = APP_QUANTITY,
                   .value = "FACTOR",
                   .dimension = WP_NUMBER,
                   .least = 1e-6,
                   .most = 1e6,
                   .range = "above 0",
                   .commands = FOR_WEATHER,
                   .text = "multiply all speeds of the file, as 0.1 where it holds tenths"},
    [APP_ZONE] = {.name = "tz",
                  .heading = reading_heading,
                  .kind = APP_TEXT,
                  .value = "OFFSET",
                  .commands = FOR_WEATHER,
                  .text = "time zone of times without one: Z or an offset, as +02:00; default UTC"},
    [APP_DATE_ORDER] = {.name = "date-order",
                        .heading = reading_heading,
                        .kind = APP_CHOICE,
                        .choices = {"dmy", "mdy", "ymd"},
                        .commands = FOR_WEATHER,
                        .text = "order of day, month and year in dates such as 3/4/26; default as "
                                "a number above 12 proves"},
    [APP_YEAR] = {.name = "year",
                  .heading = reading_heading,
                  .kind = APP_TEXT,
                  .value = "YEAR[-MONTH]",
                  .commands = FOR_WEATHER,
                  .text = "year of dates without one and of typical years; with a month, as "
                          "2026-11, of METAR reports, which tell the day only"},
    [APP_COLUMNS] = {.name = "columns",
                     .heading = reading_heading,
                     .kind = APP_TEXT,
                     .value = "WHAT=COLUMN,...",
                     .commands = FOR_WEATHER,
                     .text = "which column or key is what, by number or name, as "
                             "time=1,speed=3,gust=4,from=5; also date, temperature, pressure"},
    [APP_INTERVAL] = {.name = "interval",
                      .heading = reading_heading,
                      .kind = APP_QUANTITY,
                      .value = "TIME",
                      .dimension = WP_DURATION,
                      .least = 0.01,
                      .most = 86400.0,
                      .range = "10 ms to 1 d",
                      .commands = FOR_WEATHER,
                      .text = "distance of records that have no times of their own, as '1 s', or "
                              "of a feed's reports before it has shown it"},
    [APP_STAMPS] = {.name = "stamps",
                    .heading = station_heading,
                    .kind = APP_CHOICE,
                    .choices = {"end", "start"},
                    .commands = FOR_WEATHER,
                    .text = "whether times stand at the end or at the start of what a record "
                            "speaks of; default end"},
    [APP_AVERAGING] = {.name = "averaging",
                       .heading = station_heading,
                       .kind = APP_QUANTITY,
                       .value = "TIME",
                       .dimension = WP_DURATION,
                       .least = 0.1,
                       .most = 3600.0,
                       .range = "0.1 s to 1 h",
                       .commands = FOR_WEATHER,
                       .text = "time over which a record's mean is taken, as '2 min'; default what "
                               "the format defines, or the interval of the records, at most 10 "
                               "minutes"},
    [APP_GUST_TIME] = {.name = "gust-time",
                       .heading = station_heading,
                       .kind = APP_QUANTITY,
                       .value = "TIME",
                       .dimension = WP_DURATION,
                       .least = 0.01,
                       .most = 600.0,
                       .range = "10 ms to 10 min",
                       .commands = FOR_WEATHER,
                       .text = "time over which a gust is averaged; default what the format "
                               "defines, or '3 s'"},
    [APP_GUST_WINDOW] = {.name = "gust-window",
                         .heading = station_heading,
                         .kind = APP_QUANTITY,
                         .value = "TIME",
                         .dimension = WP_DURATION,
                         .least = 0.1,
                         .most = 3600.0,
                         .range = "0.1 s to 1 h",
                         .commands = FOR_WEATHER,
                         .text = "time whose strongest gust a record tells; default what the "
                                 "format defines, or the averaging time, or the interval"},
    [APP_EXACT_GUSTS] = {.name = "exact-gusts",
                         .heading = station_heading,
                         .commands = FOR_WEATHER,
                         .text = "let the gust of every record come out as told, within 2 %, where "
                                 "it is that of the record's own averaging time; default: on "
                                 "average"},
    [APP_STATION_HEIGHT] = {.name = "station-height",
                            .heading = station_heading,
                            .kind = APP_QUANTITY,
                            .value = "HEIGHT",
                            .dimension = WP_LENGTH,
                            .least = 0.5,
                            .most = 200.0,
                            .range = "0.5 m to 200 m",
                            .commands = FOR_WEATHER,
                            .text = "height of the station's sensor above ground; default '10 m'"},
    [APP_STATION_ROUGHNESS] = {.name = "station-roughness",
                               .heading = station_heading,
                               .kind = APP_QUANTITY,
                               .value = "LENGTH",
                               .dimension = WP_LENGTH,
                               .least = 1e-5,
                               .most = 5.0,
                               .range = "0.01 mm to 5 m",
                               .commands = FOR_WEATHER,
                               .text = "roughness length of the ground round the station; default "
                                       "'0.03 m', open grass"},
    [APP_WHEN_SILENT] = {.name = "when-silent",
                         .heading = station_heading,
                         .kind = APP_CHOICE,
                         .choices = {"fade", "hold"},
                         .commands = FOR_WEATHER,
                         .text = "what the wind does when a feed has been silent for three "
                                 "intervals: fall to a calm within a minute, or go on; default "
                                 "fade"},
    [APP_START] = {.name = "start",
                   .heading = time_heading,
                   .kind = APP_TEXT,
                   .value = "TIME",
                   .commands = FOR_WEATHER,
                   .text = "where in the weather to start: a time (2026-04-11T14:00Z), a time of "
                           "day (14:30), how far into it ('2 h') or now; default its start"},
    [APP_DURATION] = {.name = "duration",
                      .heading = time_heading,
                      .kind = APP_QUANTITY,
                      .value = "TIME",
                      .dimension = WP_DURATION,
                      .least = 0.1,
                      .most = 31622400.0, /* a year of 366 days */
                      .range = "0.1 s to 366 d",
                      .commands = FOR_WEATHER,
                      .text = "how long, as '10 min'; default 10 minutes, or the weather's span "
                              "when that is shorter (wind: the whole span)"},
    [APP_SEED] = {.name = "seed",
                  .heading = time_heading,
                  .kind = APP_WHOLE,
                  .value = "NUMBER",
                  .least = 0.0,
                  .most = 9007199254740992.0, /* 2^53: exact in every JSON reader */
                  .range = "0 to 9007199254740992",
                  .commands = FOR_CHANCE,
                  .text = "another number, another course of chance; the same number, the same "
                          "bytes; default 1"},
    [APP_VARY] = {.name = "vary",
                  .heading = vary_heading,
                  .kind = APP_TEXT,
                  .value = "KEY=FROM..TO",
                  .commands = FOR_STRIKES,
                  .is_twice = true,
                  .text = "try values of a key of the set file, as 'striker.diameter=30..80 mm', "
                          "on all cores, and say which is struck most varied; given twice, every "
                          "value of one key with every value of the other"},
    [APP_STEPS] = {.name = "steps",
                   .heading = vary_heading,
                   .kind = APP_WHOLE,
                   .value = "NUMBER",
                   .least = 2.0,
                   .most = 50.0,
                   .range = "2 to 50",
                   .commands = FOR_STRIKES,
                   .text = "values of each key of --vary; default 8 of one key, 6 of each of two"},
    [APP_WANTED_RATE] = {.name = "rate-wanted",
                         .heading = vary_heading,
                         .kind = APP_QUANTITY,
                         .value = "RATE",
                         .dimension = WP_RATE,
                         .least = 1e-6,
                         .most = 100.0,
                         .range = "1e-6 to 100 /s",
                         .commands = FOR_STRIKES,
                         .text = "the best setting of --vary must strike this often, as '20 /min', "
                                 "25 % more or less"},
    [APP_THREADS] = {.name = "threads",
                     .heading = output_heading,
                     .kind = APP_WHOLE,
                     .value = "NUMBER",
                     .least = 1.0,
                     .most = 64.0,
                     .range = "1 to 64",
                     .commands = FOR_RENDER | FOR_STRIKES,
                     .text = "threads at work: one renders while others meter and write each "
                             "file, or each tries settings of --vary; default as many as there "
                             "are cores. The result does not depend on it"},
    [APP_PULSES] = {.name = "pulses",
                    .heading = output_heading,
                    .kind = APP_FILE,
                    .value = "FILE",
                    .commands = FOR_STRIKES,
                    .text = "kicks of a coil drive for a controller: a table .csv, or .h for C "
                            "tables without floating point"},
};

const struct app_command *app_command(enum app_command_id id)
{
    return &commands[id];
}

const struct app_option *app_option(enum app_option_id id)
{
    return &options[id];
}

bool app_option_fits(const struct app_option *option, enum app_command_id command)
{
    return (option->commands >> command) & 1u;
}

size_t app_option_n_choices(const struct app_option *option)
{
    size_t n = 0;
    while (n < APP_CHOICES_MAX && option->choices[n]) {
        n++;
    }
    return n;
}

void app_option_value_text(const struct app_option *option, char *text, size_t text_size)
{
    snprintf(text, text_size, "%s", option->value ? option->value : "");
    size_t used = 0;
    for (size_t i = 0; i < app_option_n_choices(option) && used < text_size; i++) {
        used += (size_t)snprintf(text + used, text_size - used, "%s%s", i ? "|" : "",
                                 option->choices[i]);
    }
}
