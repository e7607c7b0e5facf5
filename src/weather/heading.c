/* SPDX-License-Identifier: MIT */
/* Reads what the heading of a column means, and its unit. */
#include "weather/heading.h"

#include <string.h>

#include "weather/words.h"

/* Words of station exports: common practice, no source. Lists end with NULL. */

/* Whatever else stands there: not a wind, a time or an air temperature that is used here. */
static const char *const other_words[] = {
    "chill",    "windchill", "run",    "windrun", "qc",      "qf",        "flag",     "quality",
    "std",      "stdev",     "stddev", "sd",      "sigma",   "deviation", "variance", "dew",
    "dewpoint", "taupunkt",  "index",  "heat",    "feels",   "apparent",  "samples",  "samp",
    "tx",       "count",     "u",      "v",       "w",       "u10",       "v10",      "component",
    "minimum",  "lull",      "lulls",  "low",     "lowest",  "category",  "class",    "status",
    "battery",  "error",     "factor", "power",   "density", "sunrise",   "sunset",   "sum",
    "total",    NULL};

static const char *const stamp_words[] = {
    "timestamp", "datetime",  "dateutc",    "valid",   "epoch", "unixtime", "unix", "zeitstempel",
    "messzeit",  "zeitpunkt", "horodatage", "obstime", "ts",    "dt",       NULL};
static const char *const date_words[] = {"date", "datum", "fecha", "jour", NULL};
static const char *const clock_words[] = {"time", "uhrzeit", "zeit", "heure", "hora", "ora", NULL};
static const char *const utc_words[] = {"utc", "gmt", "dateutc", NULL};
static const char *const end_words[] = {"end", "to", "until", "bis", "ende", NULL};
static const char *const start_words[] = {"start", "begin", "von", "beginn", NULL};
/* Words that may stand beside a time without making it another time. */
static const char *const time_neighbours[] = {
    "and", "und",  "local",   "lokal",   "of", "observation", "reading", "measurement",
    "iso", "8601", "iso8601", "yyyy",    "mm", "dd",          "hh",      "ss",
    "s",   "ms",   "sec",     "seconds", "t",  NULL};

/* Parts of a time, each alone in its heading. Two headings 'mm' are month and minute: the table as
 * a whole tells. */
static const char *const year_words[] = {"year", "yr", "yyyy", "jahr", "annee", "anno", NULL};
static const char *const month_words[] = {"month", "mon", "mm",   "monat",
                                          "mois",  "mes", "mese", NULL};
static const char *const day_words[] = {"day", "tag", "dia", "giorno", NULL};
static const char *const day_of_year_words[] = {"doy", "jday", "yday", "julian", NULL};
static const char *const hour_words[] = {"hour", "hr", "hh", "hhmm", "stunde", NULL};
static const char *const minute_words[] = {"minute", "min", "mi", "mn", NULL};
static const char *const second_words[] = {"second", "sec", "ss", "sekunde", NULL};

/* Whose record it is. An id or name alone may be any: the values tell. */
static const char *const station_words[] = {
    "station",  "stations", "stationid", "stn",      "stid",     "site",     "sensor",
    "sensorid", "device",   "deviceid",  "callsign", "wban",     "usaf",     "icao",
    "wmo",      "buoy",     "platform",  "standort", "estacion", "stazione", NULL};
static const char *const name_words[] = {"id",  "name", "code",   "nr",   "no",         "number",
                                         "num", "nom",  "nombre", "nome", "identifier", NULL};

static const char *const from_words[] = {"dir",          "direction",     "wdir",    "wd",
                                         "winddir",      "winddirection", "drct",    "richtung",
                                         "windrichtung", "bearing",       "azimuth", "direccion",
                                         "direzione",    "windfrom",      NULL};
/* Directions too, unless the column is a time: dd.mm.yyyy. */
static const char *const short_from_words[] = {"dd", "from", NULL};
static const char *const degree_words[] = {"deg", "degree", "degrees", NULL};

static const char *const gust_words[] = {
    "gust",       "gusts",    "gst",        "wgst",   "windgust", "windgusts", "gustspeed",
    "windboe",    "windboen", "windbo",     "boe",    "boen",     "bo",        "bon",
    "windspitze", "spitze",   "spitzenboe", "rafale", "rafales",  "racha",     "rachas",
    "raffica",    "raffiche", "peak",       "fx",     NULL};
static const char *const most_words[] = {"max",  "maximum", "maxi", "hi",
                                         "high", "highest", "top",  NULL};

/* A wind speed even without the word wind. */
static const char *const wind_speed_words[] = {
    "windspeed",           "windspd",    "wspd",       "wsp", "ws", "ff", "sknt",
    "windgeschwindigkeit", "mittelwind", "windmittel", NULL};
static const char *const speed_words[] = {
    "speed", "spd", "geschwindigkeit", "vitesse", "velocidad", "velocita", NULL};
static const char *const wind_words[] = {"wind", "winds", "vent", "viento", "vento", NULL};
/* Words that may stand beside a wind without making it something else; so may words that begin
 * with a digit, and units. */
static const char *const wind_neighbours[] = {
    "avg",     "average", "mean",       "mittel",  "mittelwert", "moyen",  "moyenne",
    "medio",   "media",   "now",        "current", "latest",     "last",   "out",
    "outdoor", "outside", "station",    "height",  "above",      "ground", "agl",
    "level",   "at",      "the",        "of",      "value",      "wert",   "min",
    "minute",  "minutes", "hour",       "m",       "s",          "h",      "sustained",
    "scalar",  "real",    "anemometer", "du",      "del",        NULL};

static const char *const temperature_words[] = {"temp",
                                                "temperature",
                                                "temperatur",
                                                "temperatura",
                                                "tempc",
                                                "tempf",
                                                "tmpf",
                                                "tmpc",
                                                "atmp",
                                                "tair",
                                                "airtemp",
                                                "lufttemperatur",
                                                "aussentemperatur",
                                                "ausentemperatur",
                                                "t2m",
                                                "tt",
                                                "ta",
                                                NULL};
static const char *const outside_words[] = {"out",    "outdoor", "outside", "air",  "ambient",
                                            "aussen", "ausen",   "luft",    "atmp", NULL};
static const char *const elsewhere_words[] = {"in",    "indoor", "inside", "innen", "room", "soil",
                                              "boden", "water",  "sea",    "sst",   "case", "cpu",
                                              "board", "min",    "thw",    "wet",   "bulb", NULL};

static const char *const pressure_words[] = {
    "pressure", "pres",     "press",   "baro",      "barometer", "baromin",
    "baromabs", "slp",      "mslp",    "qnh",       "qfe",       "luftdruck",
    "druck",    "pression", "presion", "pressione", "altimeter", NULL};
/* A station's own pressure rather than one reduced to sea level: what the air there weighs. */
static const char *const own_pressure_words[] = {"station", "absolute", "abs",
                                                 "qfe",     "baromabs", NULL};
static const char *const no_pressure_words[] = {"tendency", "trend",   "change", "vapor",
                                                "vapour",   "dynamic", "wind",   NULL};

/* A way to write a unit. */
struct spelling {
    const char *phrase;
    enum wp_unit unit;
};

/* The longer before those that they contain. */
static const struct spelling spellings[] = {{"meters per second", WP_UNIT_M_S},
                                            {"metres per second", WP_UNIT_M_S},
                                            {"kilometers per hour", WP_UNIT_KM_H},
                                            {"kilometres per hour", WP_UNIT_KM_H},
                                            {"miles per hour", WP_UNIT_MPH},
                                            {"km h", WP_UNIT_KM_H},
                                            {"km hr", WP_UNIT_KM_H},
                                            {"kmh", WP_UNIT_KM_H},
                                            {"kph", WP_UNIT_KM_H},
                                            {"kmph", WP_UNIT_KM_H},
                                            {"mi h", WP_UNIT_MPH},
                                            {"mi hr", WP_UNIT_MPH},
                                            {"mph", WP_UNIT_MPH},
                                            {"ft s", WP_UNIT_FT_S},
                                            {"fps", WP_UNIT_FT_S},
                                            {"cm s", WP_UNIT_CM_S},
                                            {"m sec", WP_UNIT_M_S},
                                            {"m s", WP_UNIT_M_S},
                                            {"ms", WP_UNIT_M_S},
                                            {"mps", WP_UNIT_M_S},
                                            {"kt", WP_UNIT_KNOT},
                                            {"kts", WP_UNIT_KNOT},
                                            {"kn", WP_UNIT_KNOT},
                                            {"knot", WP_UNIT_KNOT},
                                            {"knots", WP_UNIT_KNOT},
                                            {"knoten", WP_UNIT_KNOT},
                                            {"noeuds", WP_UNIT_KNOT},
                                            {"nudos", WP_UNIT_KNOT},
                                            {"sknt", WP_UNIT_KNOT},
                                            {"bft", WP_UNIT_BEAUFORT},
                                            {"beaufort", WP_UNIT_BEAUFORT},
                                            {"celsius", WP_UNIT_CELSIUS},
                                            {"degc", WP_UNIT_CELSIUS},
                                            {"c", WP_UNIT_CELSIUS},
                                            {"tempc", WP_UNIT_CELSIUS},
                                            {"tmpc", WP_UNIT_CELSIUS},
                                            {"fahrenheit", WP_UNIT_FAHRENHEIT},
                                            {"degf", WP_UNIT_FAHRENHEIT},
                                            {"f", WP_UNIT_FAHRENHEIT},
                                            {"tempf", WP_UNIT_FAHRENHEIT},
                                            {"tmpf", WP_UNIT_FAHRENHEIT},
                                            {"kelvin", WP_UNIT_KELVIN},
                                            {"k", WP_UNIT_KELVIN},
                                            {"hpa", WP_UNIT_HPA},
                                            {"h pa", WP_UNIT_HPA}, /* split at the capital */
                                            {"k pa", WP_UNIT_KPA},
                                            {"mb", WP_UNIT_HPA},
                                            {"mbar", WP_UNIT_HPA},
                                            {"millibar", WP_UNIT_HPA},
                                            {"millibars", WP_UNIT_HPA},
                                            {"kpa", WP_UNIT_KPA},
                                            {"pa", WP_UNIT_PA},
                                            {"in hg", WP_UNIT_INCH_HG},
                                            {"inhg", WP_UNIT_INCH_HG},
                                            {"baromin", WP_UNIT_INCH_HG},
                                            {"baromabsin", WP_UNIT_INCH_HG},
                                            {"mm hg", WP_UNIT_MM_HG},
                                            {"mmhg", WP_UNIT_MM_HG},
                                            {"10s deg", WP_UNIT_TEN_DEGREES},
                                            {"deg", WP_UNIT_DEGREE},
                                            {"degree", WP_UNIT_DEGREE},
                                            {"degrees", WP_UNIT_DEGREE},
                                            {"seconds", WP_UNIT_SECOND},
                                            {"sec", WP_UNIT_SECOND},
                                            {"s", WP_UNIT_SECOND},
                                            {"milliseconds", WP_UNIT_MILLISECOND}};

enum { N_SPELLINGS = sizeof spellings / sizeof spellings[0] };

static bool is_kind(enum wp_unit unit, enum wp_meaning meaning)
{
    switch (meaning) {
    case WP_MEANS_SPEED:
    case WP_MEANS_GUST:
        return wp_unit_is_speed(unit);
    case WP_MEANS_TEMPERATURE:
        return unit == WP_UNIT_CELSIUS || unit == WP_UNIT_FAHRENHEIT || unit == WP_UNIT_KELVIN;
    case WP_MEANS_PRESSURE:
        return wp_unit_is_pressure(unit);
    case WP_MEANS_FROM:
        return unit == WP_UNIT_DEGREE || unit == WP_UNIT_TEN_DEGREES;
    case WP_MEANS_STAMP:
        return unit == WP_UNIT_SECOND || unit == WP_UNIT_MILLISECOND;
    default:
        return false;
    }
}

/* The first unit of the meaning's kind among the words. */
static enum wp_unit find_unit(const struct wp_words *words, enum wp_meaning meaning)
{
    for (size_t i = 0; i < N_SPELLINGS; i++) {
        const bool is_here = wp_words_find_phrase(words, spellings[i].phrase) < words->n_words;
        if (is_here && is_kind(spellings[i].unit, meaning)) {
            return spellings[i].unit;
        }
    }
    return WP_UNIT_NONE;
}

/* Times carry their unit at the end only: the s of "station's time" is none. */
static enum wp_unit find_tick(const struct wp_words *words)
{
    if (words->n_words < 2) {
        return WP_UNIT_NONE;
    }
    const char *const last = words->word[words->n_words - 1];
    if (strcmp(last, "s") == 0 || strcmp(last, "sec") == 0 || strcmp(last, "seconds") == 0) {
        return WP_UNIT_SECOND;
    }
    const bool is_short = strcmp(last, "ms") == 0 || strcmp(last, "milliseconds") == 0;
    return is_short ? WP_UNIT_MILLISECOND : WP_UNIT_NONE;
}

static bool is_digit(char letter)
{
    return letter >= '0' && letter <= '9';
}

static bool is_in(const char *word, const char *const *list)
{
    while (*list && strcmp(word, *list) != 0) {
        list++;
    }
    return *list != NULL;
}

/* True when the word is part of some spelling of a unit of speed. */
static bool is_unit_word(const char *word)
{
    for (size_t i = 0; i < N_SPELLINGS; i++) {
        const char *const part = strstr(spellings[i].phrase, word);
        const size_t length = strlen(word);
        if (part && (part == spellings[i].phrase || part[-1] == ' ') &&
            (part[length] == '\0' || part[length] == ' ') && wp_unit_is_speed(spellings[i].unit)) {
            return true;
        }
    }
    return false;
}

/* Words of a wind heading that are neither wind nor harmless beside it; brackets hold units. */
static size_t count_strangers(const struct wp_words *words)
{
    size_t n = 0;
    for (size_t i = 0; i < words->n_words; i++) {
        const char *const word = words->word[i];
        const bool is_known =
            words->is_bracketed[i] || is_digit(word[0]) || is_in(word, wind_words) ||
            is_in(word, wind_speed_words) || is_in(word, speed_words) || is_in(word, gust_words) ||
            is_in(word, most_words) || is_in(word, wind_neighbours) || is_unit_word(word);
        n += !is_known;
    }
    return n;
}

/* "min" is minutes behind a number ("10 min"), else the least of something. */
static bool has_least(const struct wp_words *words)
{
    static const char *const least[] = {"min", NULL};
    const size_t at = wp_words_find(words, least);
    if (at == words->n_words || at == 0) {
        return at == 0;
    }
    const char *const before = words->word[at - 1];
    return strspn(before, "0123456789") != strlen(before);
}

static int fit_of_time(const struct wp_words *words)
{
    bool is_plain = true;
    for (size_t i = 0; i < words->n_words; i++) {
        const char *const word = words->word[i];
        is_plain = is_plain &&
                   (is_digit(word[0]) || is_in(word, stamp_words) || is_in(word, date_words) ||
                    is_in(word, clock_words) || is_in(word, utc_words) || is_in(word, end_words) ||
                    is_in(word, start_words) || is_in(word, time_neighbours));
    }
    const int preferred = wp_words_have(words, utc_words) + wp_words_have(words, end_words) -
                          wp_words_have(words, start_words);
    return (is_plain ? 3 : 1) + (is_plain ? preferred : 0);
}

static enum wp_meaning time_meaning(const struct wp_words *words)
{
    /* yyyy-mm-dd and hh:mm are headings, too. */
    const bool has_date = wp_words_have(words, date_words) ||
                          wp_words_find_phrase(words, "yyyy mm dd") < words->n_words ||
                          wp_words_find_phrase(words, "dd mm yyyy") < words->n_words;
    const bool has_clock =
        wp_words_have(words, clock_words) || wp_words_find_phrase(words, "hh mm") < words->n_words;
    if (wp_words_have(words, stamp_words) || (has_date && has_clock)) {
        return WP_MEANS_STAMP;
    }
    if (words->n_words == 2 && strcmp(words->word[0], "t") == 0 && find_tick(words)) {
        return WP_MEANS_STAMP;
    }
    return has_date ? WP_MEANS_DATE : has_clock ? WP_MEANS_CLOCK : WP_MEANS_NOTHING;
}

/* True when all words are in one of the lists, at least one of them in the first. */
static bool is_made_of(const struct wp_words *words, const char *const *list,
                       const char *const *companions)
{
    size_t n = 0;
    for (size_t i = 0; i < words->n_words; i++) {
        const bool is_listed = is_in(words->word[i], list);
        if (!is_listed && !is_in(words->word[i], companions)) {
            return false;
        }
        n += is_listed;
    }
    return n > 0;
}

static enum wp_meaning part_meaning(const struct wp_words *words)
{
    static const struct {
        const char *const *list;
        enum wp_meaning meaning;
    } parts[] = {{year_words, WP_MEANS_YEAR},    {month_words, WP_MEANS_MONTH},
                 {day_words, WP_MEANS_DAY},      {day_of_year_words, WP_MEANS_DAY_OF_YEAR},
                 {hour_words, WP_MEANS_HOUR},    {minute_words, WP_MEANS_MINUTE},
                 {second_words, WP_MEANS_SECOND}};
    static const char *const companions[] = {"utc", "gmt", "lst",   "local",
                                             "of",  "day", "lokal", NULL};
    if (wp_words_find_phrase(words, "day of year") == 0 && words->n_words == 3) {
        return WP_MEANS_DAY_OF_YEAR;
    }
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        if (is_made_of(words, parts[i].list, companions)) {
            return parts[i].meaning;
        }
    }
    return WP_MEANS_NOTHING;
}

/* How well the words name a station; 0: not at all. */
static int fit_of_station(const struct wp_words *words)
{
    return is_made_of(words, station_words, name_words)               ? 3
           : words->n_words == 1 && is_in(words->word[0], name_words) ? WP_FIT_DOUBTFUL
                                                                      : 0;
}

static bool is_wind(const struct wp_words *words)
{
    return wp_words_have(words, wind_words) || wp_words_have(words, wind_speed_words) ||
           wp_words_have(words, speed_words);
}

static int fit_of_speed(const struct wp_words *words)
{
    const bool has_wind = wp_words_have(words, wind_words);
    const bool has_speed = wp_words_have(words, speed_words);
    const bool is_plain = count_strangers(words) == 0;
    if (wp_words_have(words, wind_speed_words) || (has_wind && has_speed)) {
        return is_plain ? 4 : 3;
    }
    if (has_speed) {
        return is_plain ? 3 : 1;
    }
    return has_wind && is_plain ? 3 : 0;
}

static int fit_of_temperature(const struct wp_words *words)
{
    if (!wp_words_have(words, temperature_words) || wp_words_have(words, elsewhere_words) ||
        wp_words_have(words, most_words)) {
        return 0;
    }
    return wp_words_have(words, outside_words) ? 4 : 3;
}

static int fit_of_pressure(const struct wp_words *words)
{
    if (!wp_words_have(words, pressure_words) || wp_words_have(words, no_pressure_words) ||
        wp_words_have(words, most_words)) {
        return 0; /* but a barometer indoors is as good as one outside */
    }
    return wp_words_have(words, own_pressure_words) ? 4 : 3;
}

static bool has_short_from(const struct wp_words *words)
{
    const bool is_about_wind = words->n_words == 1 || wp_words_have(words, wind_words);
    return wp_words_have(words, short_from_words) ||
           (wp_words_have(words, degree_words) && is_about_wind);
}

/* The meaning and how well it fits, from the words alone. */
static void classify(const struct wp_words *words, struct wp_heading *heading)
{
    const bool has_gust = wp_words_have(words, gust_words);
    const bool has_most = wp_words_have(words, most_words);
    const bool has_from = wp_words_have(words, from_words);
    const enum wp_meaning time = time_meaning(words);
    heading->meaning = WP_MEANS_NOTHING;
    heading->fit = 0;
    if (words->n_words == 0 || wp_words_have(words, other_words)) {
        return;
    }
    const enum wp_meaning part = part_meaning(words);
    if (part != WP_MEANS_NOTHING) {
        heading->fit = 3;
        heading->meaning = part;
    } else if (fit_of_station(words) > 0) {
        heading->fit = fit_of_station(words);
        heading->meaning = WP_MEANS_STATION;
    } else if (time != WP_MEANS_NOTHING) {
        heading->fit = has_gust || has_most || has_from || is_wind(words) ? 0 : fit_of_time(words);
        heading->meaning = time;
    } else if (fit_of_temperature(words) > 0) {
        heading->fit = fit_of_temperature(words);
        heading->meaning = WP_MEANS_TEMPERATURE;
    } else if (fit_of_pressure(words) > 0) {
        heading->fit = fit_of_pressure(words);
        heading->meaning = WP_MEANS_PRESSURE;
    } else if (has_from || has_short_from(words)) {
        heading->fit = has_gust || has_most ? 0 : 3;
        heading->meaning = WP_MEANS_FROM;
    } else if (has_gust || (has_most && is_wind(words))) {
        heading->fit = has_gust ? 4 : 3;
        heading->fit -= count_strangers(words) > 0;
        heading->meaning = WP_MEANS_GUST;
    } else if (!has_most && !has_least(words)) {
        heading->fit = fit_of_speed(words);
        heading->meaning = WP_MEANS_SPEED;
    }
    if (heading->fit == 0) {
        heading->meaning = WP_MEANS_NOTHING;
    }
}

/* Brackets hold a unit, unless they speak of a height or time ("10 m") or of an average. */
static void find_unknown_unit(const struct wp_words *words, struct wp_heading *heading)
{
    const char *unknown = NULL;
    for (size_t i = 0; i < words->n_words; i++) {
        const char *const word = words->word[i];
        if (!words->is_bracketed[i]) {
            continue;
        }
        if (is_digit(word[0])) {
            return;
        }
        const bool is_harmless = is_in(word, wind_neighbours) || is_in(word, most_words) ||
                                 is_in(word, gust_words) || is_in(word, utc_words);
        unknown = unknown || is_harmless ? unknown : word;
    }
    if (unknown) {
        memcpy(heading->unknown_unit, unknown, strlen(unknown) + 1);
    }
}

/* The unit of a heading whose meaning is settled. */
static void read_unit(const struct wp_words *words, struct wp_heading *heading)
{
    heading->unit = WP_UNIT_NONE;
    heading->unknown_unit[0] = '\0';
    if (heading->meaning == WP_MEANS_STAMP || heading->meaning == WP_MEANS_CLOCK) {
        heading->unit = find_tick(words);
    } else {
        heading->unit = find_unit(words, heading->meaning);
    }
    const bool is_speed = heading->meaning == WP_MEANS_SPEED || heading->meaning == WP_MEANS_GUST;
    if (is_speed && heading->unit == WP_UNIT_NONE) {
        find_unknown_unit(words, heading);
    }
}

void wp_heading_read(struct wp_slice text, struct wp_heading *heading)
{
    struct wp_words words;
    wp_words_split(text, &words);
    classify(&words, heading);
    read_unit(&words, heading);
    /* Of two columns alike, the one that names its unit is the better. */
    heading->fit += heading->fit > 0 && heading->unit != WP_UNIT_NONE;
}

void wp_heading_read_as(struct wp_slice text, enum wp_meaning meaning, struct wp_heading *heading)
{
    struct wp_words words;
    wp_words_split(text, &words);
    *heading = (struct wp_heading){.meaning = meaning, .fit = 1};
    read_unit(&words, heading);
}

enum wp_unit wp_heading_unit(struct wp_slice text)
{
    struct wp_words words;
    wp_words_split(text, &words);
    for (size_t i = 0; words.n_words > 0 && i < N_SPELLINGS; i++) {
        size_t n_parts = 1;
        for (const char *mark = spellings[i].phrase; (mark = strchr(mark, ' ')); mark++) {
            n_parts++;
        }
        /* An exponent may follow: "m s-1". */
        const bool is_whole = words.n_words == n_parts || (words.n_words == n_parts + 1 &&
                                                           strcmp(words.word[n_parts], "1") == 0);
        if (is_whole && wp_words_find_phrase(&words, spellings[i].phrase) == 0) {
            return spellings[i].unit;
        }
    }
    return WP_UNIT_NONE;
}
