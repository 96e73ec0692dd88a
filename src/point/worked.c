#include "point/worked.h"

#include "base/numbers.h"
#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { DIGITS_FROM = 6, DIGITS_SMALL = 9, DIGITS_TO = 12 };

/* What the log has more of than its means is a line of its own from here on (of the heat): less
 * does not show in the digits of the end; where it would, digits run past DIGITS_SMALL. */
#define MORE_LEAST 3e-5

/* A step's two numbers: as measured, and moved. */
struct pair {
    double of[2];
};

/* A chain under way. */
struct chain {
    struct worked *out;
    const struct point_setup *setup;
    const char *given;
    struct point_steps steps[2];
    double metered_s; /* in which a heat meter's total rose; 0: it is no total */
    int digits;
};

/* "2.05000" is given as 2.05. */
static void cut_zeros(char *text)
{
    size_t n = strlen(text);
    if (strchr(text, '.') == NULL || strchr(text, 'e') != NULL)
        return;
    while (text[n - 1] == '0')
        text[--n] = '\0';
    if (text[n - 1] == '.')
        text[n - 1] = '\0';
}

const char *worked_number(const struct worked_row *row, double value, char *out, size_t size)
{
    if (!isfinite(value)) {
        snprintf(out, size, "%s", "");
    } else if (row->places >= 0) {
        snprintf(out, size, "%.*f", row->places, value);
        if (out[0] == '-' && strspn(out, "-0.") == strlen(out)) /* nothing has no sign */
            memmove(out, out + 1, strlen(out));
    } else {
        number_significant(value, row->digits, out, size);
        if (row->given)
            cut_zeros(out);
    }
    return out;
}

/* The number that stands there in print. */
static double as_printed(const struct worked_row *row, double value)
{
    char text[32];
    double back = NAN;
    worked_number(row, value, text, sizeof text);
    number_read(text, strlen(text), '.', &back);
    return back;
}

static struct pair row_add(struct chain *c, const char *name, const char *how, const char *unit,
                           bool given, int places, struct pair value)
{
    struct worked *out = c->out;
    struct worked_row *row = &out->rows[out->n < WORKED_ROWS ? out->n++ : WORKED_ROWS - 1];
    *row = (struct worked_row){
        .unit = unit, .given = given, .places = places, .digits = c->digits};
    snprintf(row->name, sizeof row->name, "%s", name);
    snprintf(row->how, sizeof row->how, "%s", how);
    row->value = as_printed(row, value.of[0]);
    row->moved = out->moved ? as_printed(row, value.of[1]) : NAN;
    return (struct pair){{row->value, row->moved}};
}

static struct pair given(struct chain *c, const char *name, const char *how, const char *unit,
                         double measured, double moved)
{
    return row_add(c, name, how, unit, true, -1, (struct pair){{measured, moved}});
}

static struct pair step(struct chain *c, const char *name, const char *how, const char *unit,
                        struct pair value)
{
    return row_add(c, name, how, unit, false, -1, value);
}

/* Both columns of a member of the steps. */
#define BOTH(c, member) (c)->steps[0].member, (c)->steps[1].member

static const char end_letter[CH_COUNT][4] = {[CH_INLET] = "in", [CH_OUTLET] = "out"};

static bool strapped(const struct chain *c, enum channel ch)
{
    return c->steps[0].share[ch] > 0;
}

static bool piped(const struct chain *c, enum channel ch)
{
    return c->steps[0].part[ch] > 0;
}

/* What a thermometer reads; its symbol is that of the port where nothing is corrected. */
static struct pair reading(struct chain *c, enum channel ch)
{
    char name[WORKED_TEXT];
    bool corrected = strapped(c, ch) || piped(c, ch);
    snprintf(name, sizeof name, "%s %c_%s", channel_row(ch)->word, corrected ? 'r' : 't',
             end_letter[ch]);
    return given(c, name, c->given, "degC", BOTH(c, read_degC[ch]));
}

/* From the reading to the fluid at the thermometer. */
static struct pair fluid(struct chain *c, enum channel ch, struct pair r, struct pair t_a)
{
    if (!strapped(c, ch))
        return r;
    const char *end = end_letter[ch];
    char name[WORKED_TEXT], how[WORKED_HOW];
    snprintf(name, sizeof name, "reads low by s_%s", end);
    struct pair s = given(c, name, "strapped on", "", BOTH(c, share[ch]));
    struct pair t;
    for (int k = 0; k < 2; k++)
        t.of[k] = t_a.of[k] + (r.of[k] - t_a.of[k]) / (1 - s.of[k]);
    snprintf(name, sizeof name, "in the pipe %c_%s", piped(c, ch) ? 'p' : 't', end);
    snprintf(how, sizeof how, "t_a + (r_%s − t_a) / (1 − s_%s)", end, end);
    return step(c, name, how, "degC", t);
}

/* From the thermometer along the pipe to the port. */
static struct pair port(struct chain *c, enum channel ch, struct pair p, struct pair t_a)
{
    if (!piped(c, ch))
        return p;
    const char *end = end_letter[ch];
    char name[WORKED_TEXT], how[WORKED_HOW];
    snprintf(name, sizeof name, "pipe's part z_%s", end);
    struct pair z = given(c, name, "its loss / (ṁ c_p)", "", BOTH(c, part[ch]));
    struct pair t;
    for (int k = 0; k < 2; k++)
        t.of[k] = t_a.of[k] + (p.of[k] - t_a.of[k]) * exp(ch == CH_INLET ? -z.of[k] : z.of[k]);
    snprintf(name, sizeof name, "at the port t_%s", end);
    snprintf(how, sizeof how, "t_a + (%c_%s − t_a) e^%sz_%s", strapped(c, ch) ? 'p' : 'r', end,
             ch == CH_INLET ? "−" : "", end);
    return step(c, name, how, "degC", t);
}

static struct pair mass_flow(struct chain *c)
{
    if (isnan(c->steps[0].flow_m3_s))
        return given(c, "mass flow ṁ", c->given, "kg/s", BOTH(c, mass_kg_s));
    const double L_min = 60000; /* in a m3/s */
    char where[WORKED_HOW];
    bool out = c->setup->meter_at_outlet;
    enum channel ch = out ? CH_OUTLET : CH_INLET;
    snprintf(where, sizeof where, "%s at %c_%s", fluid_word(c->setup->fluid),
             !piped(c, ch)      ? 't'
             : strapped(c, ch) ? 'p'
                               : 'r',
             end_letter[ch]);
    struct pair v = given(c, "flow V", c->given, "L/min", L_min * c->steps[0].flow_m3_s,
                          L_min * c->steps[1].flow_m3_s);
    struct pair rho = given(c, "density ρ", where, "kg/m3", BOTH(c, density_kg_m3));
    struct pair m;
    for (int k = 0; k < 2; k++)
        m.of[k] = rho.of[k] * v.of[k] / L_min;
    return step(c, "mass flow ṁ", "ρ V / 60,000", "kg/s", m);
}

/* By a heat meter: of a total what it rose by, in kJ, and in what time. */
static struct pair metered(struct chain *c)
{
    if (!(c->metered_s > 0))
        return given(c, "heat Q", "heat meter", "W", BOTH(c, metered_W));
    struct pair E = given(c, "heat meter's rise E", "step to step", "kJ",
                          1e-3 * c->metered_s * c->steps[0].metered_W,
                          1e-3 * c->metered_s * c->steps[1].metered_W);
    struct pair tau = given(c, "in the time τ", "step to step", "s", c->metered_s, c->metered_s);
    struct pair q;
    for (int k = 0; k < 2; k++)
        q.of[k] = 1000 * E.of[k] / tau.of[k];
    return step(c, "heat Q", "1,000 E / τ", "W", q);
}

/* What the fluid carries away, W. */
static struct pair heat(struct chain *c, struct pair t_in, struct pair t_out)
{
    if (c->setup->heat_by_meter)
        return metered(c);
    struct pair m = mass_flow(c);
    struct pair cp =
        given(c, "specific heat c_p", "mean, t_in to t_out", "J/(kg K)", BOTH(c, cp_J_kgK));
    struct pair q;
    for (int k = 0; k < 2; k++)
        q.of[k] = m.of[k] * cp.of[k] * (t_out.of[k] - t_in.of[k]);
    bool small = fabs(c->steps[0].more_W) < MORE_LEAST * fabs(q.of[0]);
    if (c->steps[0].more_W == 0 || (small && c->digits <= DIGITS_SMALL))
        return step(c, "heat Q", "ṁ c_p (t_out − t_in)", "W", q);
    struct pair means = step(c, "heat of means Q₁", "ṁ c_p (t_out − t_in)", "W", q);
    struct pair more = given(c, "more by reading Q₂", "log", "W", BOTH(c, more_W));
    for (int k = 0; k < 2; k++)
        q.of[k] = means.of[k] + more.of[k];
    return step(c, "heat Q", "Q₁ + Q₂", "W", q);
}

/* What the collector stores, W/m2; adds to the numerator's formula. */
static struct pair stored(struct chain *c, char *how)
{
    struct pair q = {{0, 0}};
    if (c->steps[0].capacity_J_m2K == 0)
        return q;
    struct pair capacity =
        given(c, "heat capacity C", "stated or estimated", "kJ/(m2 K)",
              1e-3 * c->steps[0].capacity_J_m2K, 1e-3 * c->steps[1].capacity_J_m2K);
    struct pair drift = given(c, "drift D", "of (t_in + t_out) / 2", "K/min",
                              60 * c->steps[0].drift_K_s, 60 * c->steps[1].drift_K_s);
    for (int k = 0; k < 2; k++)
        q.of[k] = 1000 * capacity.of[k] * drift.of[k] / 60;
    strcat(how, " + q");
    return step(c, "stored q", "1,000 C D / 60", "W/m2", q);
}

/* What a wind or a sky other than as thought would take, W/m2. */
static struct pair lost(struct chain *c, struct pair above, char *how)
{
    struct pair q = {{0, 0}};
    bool moved = c->out->moved;
    if (moved && c->steps[1].loss_W_m2 != 0) {
        q = given(c, "lost more l", "what is moved", "W/m2", BOTH(c, loss_W_m2));
        strcat(how, " − l");
    }
    if (moved && c->steps[1].loss_W_m2K != 0) {
        struct pair b =
            given(c, "lost more b", "what is moved", "W/(m2 K)", BOTH(c, loss_W_m2K));
        for (int k = 0; k < 2; k++)
            q.of[k] += b.of[k] * above.of[k];
        strcat(how, " − b ΔT");
    }
    return q;
}

/* Temperature above the air. */
static struct pair difference(struct chain *c, struct pair t_in, struct pair t_out,
                              struct pair t_a)
{
    bool inlet = c->setup->basis == BASIS_INLET;
    struct pair t = t_in, above;
    for (int k = 0; k < 2 && !inlet; k++)
        t.of[k] = (t_in.of[k] + t_out.of[k]) / 2;
    if (!inlet)
        t = step(c, "mean t_m", "(t_in + t_out) / 2", "degC", t);
    for (int k = 0; k < 2; k++)
        above.of[k] = t.of[k] - t_a.of[k];
    return step(c, "above the air ΔT", inlet ? "t_in − t_a" : "t_m − t_a", "K", above);
}

static void work(struct chain *c)
{
    struct worked *out = c->out;
    out->n = 0;
    struct pair g = given(c, "sunshine G", c->given, "W/m2", BOTH(c, g_W_m2));
    struct pair t_a = given(c, "air t_a", c->given, "degC", BOTH(c, t_a_degC));
    struct pair t_in = reading(c, CH_INLET), t_out = reading(c, CH_OUTLET);
    t_in = port(c, CH_INLET, fluid(c, CH_INLET, t_in, t_a), t_a);
    t_out = port(c, CH_OUTLET, fluid(c, CH_OUTLET, t_out, t_a), t_a);
    struct pair q = heat(c, t_in, t_out);
    struct pair area = given(c, "area A", "stated", "m2", BOTH(c, area_m2));
    char how[WORKED_HOW] = "(Q / A";
    struct pair kept = stored(c, how);
    struct pair above = difference(c, t_in, t_out, t_a), x, eta;
    struct pair gone = lost(c, above, how);
    strcat(how, ") / G");
    for (int k = 0; k < 2; k++) {
        x.of[k] = above.of[k] / g.of[k];
        eta.of[k] = (q.of[k] / area.of[k] + kept.of[k] - gone.of[k]) / g.of[k];
    }
    x = row_add(c, "reduced T*", "ΔT / G", "m2 K/W", false, WORKED_PLACES, x);
    eta = row_add(c, "efficiency η", text_same(how, "(Q / A) / G") ? "Q / (A G)" : how, "", false,
                  WORKED_PLACES, eta);
    out->x = x.of[0];
    out->eta = eta.of[0];
    out->eta_moved = eta.of[1];
}

static bool same(double printed, double exact)
{
    const struct worked_row row = {.places = WORKED_PLACES};
    double gap = printed - as_printed(&row, exact);
    return fabs(gap) < 1e-9;
}

enum point_status worked_point(const struct means *means, const struct point_setup *setup,
                               const char *given_as, const struct shifts *shifts,
                               struct worked *worked)
{
    struct chain c = {
        .out = worked, .setup = setup, .given = given_as, .metered_s = means->metered_s};
    struct point_value value[2];
    memset(worked, 0, sizeof *worked);
    worked->moved = shifts != NULL;
    enum point_status status = point_steps(means, setup, NULL, &value[0], &c.steps[0]);
    if (status == POINT_OK)
        status = point_steps(means, setup, shifts, &value[1], &c.steps[1]);
    if (status != POINT_OK)
        return status;
    for (c.digits = DIGITS_FROM; c.digits <= DIGITS_TO && !worked->closes; c.digits++) {
        work(&c);
        double x_moved = worked->rows[worked->n - 2].moved;
        worked->closes =
            same(worked->eta, value[0].eta) && same(worked->x, value[0].x) &&
            (!worked->moved ||
             (same(worked->eta_moved, value[1].eta) && same(x_moved, value[1].x)));
    }
    return POINT_OK;
}
