/* Writes a long collector log to standard output, for speed and memory measurements.
 *
 *     make_log ROWS [DAYS]           one row a second, 8 columns, about 63 bytes a row
 *     make_log --description NAME [MOUNT]
 *                                    a test description for a log of that name; with a [site]:
 *                                    'fixed', 'one axis' or 'two axes', no window refused by its
 *                                    angle
 *
 * The same arguments give the same bytes. Each day from 9 to 15 h UTC holds six stretches of an
 * hour with a steady inlet, the first DAYS days only if they are given: later on the inlet wavers too
 * much for any window. The plate is linear with an efficiency of 0.762 at no loss and 4.13
 * W/(m2 K), so a reduction has something to find.
 */
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { S_A_DAY = 86400, ROW_BYTES_MAX = 160, BUFFER_BYTES = 1 << 16, FIRST_DAY = 20605 };

static const double area_m2 = 2.05;
static const double eta_no_loss = 0.762;
static const double loss_W_m2K = 4.13;
static const double flow_L_min = 2.46;
static const double heat_W_per_L_min_K = 69.3; /* of water near 40 degC */

struct row {
    double g_W_m2;
    double ambient_degC;
    double inlet_degC;
    double outlet_degC;
    double flow_L_min;
    double wind_m_s;
    double diffuse_W_m2;
};

/* Uniform in [-1, 1): splitmix64, so that a row's noise depends on its number alone. */
static double noise(uint64_t *state)
{
    uint64_t z = *state += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    z ^= z >> 31;
    return (double)(int64_t)z * 0x1p-63;
}

/* The hour's own level from 9 to 15 h, reached within the first ten minutes; 20 degC otherwise. */
static double inlet_level(int second_of_day)
{
    static const double levels_degC[] = {21.3, 34.8, 48.1, 61.7, 48.6, 29.4};
    int hour = second_of_day / 3600 - 9;
    if (hour < 0 || hour > 5)
        return 20.0;
    double before = hour == 0 ? 20.0 : levels_degC[hour - 1];
    double share = fmin(1.0, second_of_day % 3600 / 600.0);
    return before + share * (levels_degC[hour] - before);
}

/* `wavering`: no stretch of this row's day is steady. */
static struct row make_row(uint64_t number, bool wavering)
{
    const double pi = 3.14159265358979323846;
    uint64_t state = number * 7;
    int second = (int)(number % S_A_DAY);
    double sun = sin(pi * (second / 3600.0 - 5.0) / 14.0);
    struct row row;
    row.g_W_m2 = sun > 0 ? 985.0 * pow(sun, 0.8) + 1.5 * noise(&state) : 0.3 * noise(&state);
    row.ambient_degC = 21.0 + 4.0 * sin(pi * (second / 3600.0 - 9.0) / 12.0) + 0.05 * noise(&state);
    row.inlet_degC = inlet_level(second) + 0.02 * noise(&state);
    if (wavering)
        row.inlet_degC += 0.7 * sin(pi * second / 150.0);
    row.flow_L_min = flow_L_min * (1.0 + 0.002 * noise(&state));
    row.wind_m_s = 3.0 + 0.6 * noise(&state);
    row.diffuse_W_m2 = 0.13 * row.g_W_m2;
    double heat_per_K = row.flow_L_min * heat_W_per_L_min_K;
    double over_air_K = row.inlet_degC - row.ambient_degC;
    /* Q = A (eta G - a (t_in + rise / 2 - t_air)) with rise = Q / heat_per_K, solved for Q. */
    double heat_W = area_m2 * (eta_no_loss * row.g_W_m2 - loss_W_m2K * over_air_K) /
                    (1.0 + area_m2 * loss_W_m2K / (2.0 * heat_per_K));
    row.outlet_degC = row.inlet_degC + heat_W / heat_per_K + 0.02 * noise(&state);
    return row;
}

/* Writes `value` with `places` (1 to 3) decimals; far quicker than printf. */
static char *put_number(char *out, double value, int places)
{
    static const long scale[] = {1, 10, 100, 1000};
    char digits[24];
    int n = 0;
    long whole = lround(fabs(value) * (double)scale[places]);
    if (value < 0 && whole != 0)
        *out++ = '-';
    for (; n <= places || whole > 0; whole /= 10)
        digits[n++] = (char)('0' + whole % 10);
    while (n > 0) {
        if (n == places)
            *out++ = '.';
        *out++ = digits[--n];
    }
    return out;
}

static char *put_two(char *out, int value)
{
    *out++ = (char)('0' + value / 10);
    *out++ = (char)('0' + value % 10);
    return out;
}

/* Civil date of a day number since 1970 (years counted from March). */
static void put_day(char out[16], long days)
{
    long z = days + 719468;
    long era = z / 146097;
    long d = z % 146097;
    long y = (d - d / 1460 + d / 36524 - d / 146096) / 365;
    long in_year = d - (365 * y + y / 4 - y / 100);
    long m = (5 * in_year + 2) / 153;
    long month = m < 10 ? m + 3 : m - 9;
    snprintf(out, 16, "%04d-%02d-%02d", (int)((y + era * 400 + (month <= 2)) % 10000),
             (int)(month % 100), (int)((in_year - (153 * m + 2) / 5 + 1) % 100));
}

static char *put_row(char *out, const char day[16], int second, const struct row *row)
{
    memcpy(out, day, 10);
    out[10] = 'T';
    out = put_two(out + 11, second / 3600);
    *out++ = ':';
    out = put_two(out, second / 60 % 60);
    *out++ = ':';
    out = put_two(out, second % 60);
    *out++ = ',';
    out = put_number(out, row->g_W_m2, 1);
    *out++ = ',';
    out = put_number(out, row->ambient_degC, 2);
    *out++ = ',';
    out = put_number(out, row->inlet_degC, 3);
    *out++ = ',';
    out = put_number(out, row->outlet_degC, 3);
    *out++ = ',';
    out = put_number(out, row->flow_L_min, 3);
    *out++ = ',';
    out = put_number(out, row->wind_m_s, 2);
    *out++ = ',';
    out = put_number(out, row->diffuse_W_m2, 1);
    *out++ = '\n';
    return out;
}

static int write_log(uint64_t rows, uint64_t steady_days)
{
    static char buffer[BUFFER_BYTES];
    char day[16];
    char *at = buffer;
    fputs("Time,G tilt,T air,T in,T out,Flow,Wind,G diffuse\n", stdout);
    for (uint64_t i = 0; i < rows; i++) {
        if (i % S_A_DAY == 0)
            put_day(day, (long)(FIRST_DAY + i / S_A_DAY));
        struct row row = make_row(i, i / S_A_DAY >= steady_days);
        at = put_row(at, day, (int)(i % S_A_DAY), &row);
        if (at - buffer > BUFFER_BYTES - ROW_BYTES_MAX || i + 1 == rows) {
            fwrite(buffer, 1, (size_t)(at - buffer), stdout);
            at = buffer;
        }
    }
    return fflush(stdout) == 0 && ferror(stdout) == 0 ? 0 : 5;
}

static void write_site(const char *mount)
{
    printf("[site]\nlatitude = 46 deg\nlongitude = 0 deg\naltitude = 300 m\nmount = %s\n", mount);
    if (strcmp(mount, "fixed") == 0)
        printf("tilt = 35 deg\nazimuth = 180 deg\n");
    if (strcmp(mount, "one axis") == 0)
        printf("axis tilt = 0 deg\naxis azimuth = 180 deg\n");
    printf("\n");
}

static int write_description(const char *name, const char *mount)
{
    static const char *const instruments[][6] = {
        {"sun", "irradiance", "G tilt", "W/m2", "1.2 % k=2", "calibration"},
        {"air", "ambient", "T air", "degC", "0.2 K k=2", "calibration"},
        {"in", "inlet", "T in", "degC", "0.06 K k=2", "calibration"},
        {"out", "outlet", "T out", "degC", "0.06 K k=2", "calibration"},
        {"meter", "flow", "Flow", "L/min", "0.8 % k=2", "calibration"},
        {"wind", "wind", "Wind", "m/s", "0.3 m/s limit", "offset"},
        {"shade", "diffuse", "G diffuse", "W/m2", "3 % k=2", "calibration"},
    };
    /* What all points of a day share has to be judged by the fit, too. */
    static const char day_to_day[] = "zero = 4 W/m2 limit\n";
    printf("[collector]\nname = Long log\ngross area = 2.05 m2\n\n"
           "[log]\nfile = %s\ntime = Time, ISO 8601, UTC+0\n\n",
           name);
    for (size_t i = 0; i < sizeof instruments / sizeof instruments[0]; i++)
        printf("[instrument %s]\nmeasures = %s\ncolumn = %s\nunit = %s\n%s = %s\n%s\n",
               instruments[i][0], instruments[i][1], instruments[i][2], instruments[i][3],
               instruments[i][5], instruments[i][4], i == 0 ? day_to_day : "");
    if (mount != NULL)
        write_site(mount);
    printf("[steady state]\nrules = ISO 9806:2017\n%s\n[run curve]\nkind = efficiency\n",
           mount != NULL ? "incidence at most = 80 deg\n" : "");
    return fflush(stdout) == 0 && ferror(stdout) == 0 ? 0 : 5;
}

static bool read_count(const char *text, uint64_t *count)
{
    char *end = NULL;
    unsigned long long value = strtoull(text, &end, 10);
    *count = value;
    return end != text && *end == '\0' && value > 0;
}

int main(int argc, char **argv)
{
    if (argc >= 3 && argc <= 4 && strcmp(argv[1], "--description") == 0)
        return write_description(argv[2], argc == 4 ? argv[3] : NULL);
    uint64_t rows = 0;
    uint64_t steady_days = UINT64_MAX;
    bool good = (argc == 2 || argc == 3) && read_count(argv[1], &rows) &&
                (argc == 2 || read_count(argv[2], &steady_days));
    if (!good) {
        fputs("usage: make_log ROWS [DAYS] | make_log --description NAME [MOUNT]\n", stderr);
        return 2;
    }
    return write_log(rows, steady_days);
}
