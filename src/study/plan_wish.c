#include "study/plan_wish.h"

#include "base/numbers.h"
#include "base/text.h"

#include <string.h>

#define USUAL_RISE_K 30.0
#define MOST_RISE_K 150.0
#define MOST_X 0.2

static bool refuse_wish(const char *text, struct faults *faults)
{
    struct fault *fault = fault_new(faults, FAULT_USAGE, fault_at(NULL, 0, 0));
    fault_found(fault, "'%s' is no answer that a test can be planned for", text);
    fault_expected(fault,
                   "eta0, a1, K50, kelvins above the air ('30 K', 0 to %.0f), or T* in m2 K/W "
                   "('0.03', 0 to %.1f)",
                   MOST_RISE_K, MOST_X);
    fault_hint(fault, "without '--answer' it is the efficiency 30 K above the air");
    return false;
}

bool plan_wish_read(struct plan_wish *wish, const char *text, double g_W_m2, struct faults *faults)
{
    *wish = (struct plan_wish){PLAN_CURVE, USUAL_RISE_K, g_W_m2};
    if (text == NULL)
        return true;
    if (text_same_nocase(text, "eta0") || text_same_nocase(text, "a1")) {
        wish->about = text_same_nocase(text, "a1") ? PLAN_A1 : PLAN_ETA0;
        return true;
    }
    if (text_same_nocase(text, "K50")) {
        wish->about = PLAN_K;
        return true;
    }
    size_t n = strlen(text);
    bool kelvin = n > 0 && text[n - 1] == 'K';
    n -= kelvin;
    while (n > 0 && text[n - 1] == ' ')
        n--;
    double value;
    if (!number_read(text, n, '.', &value) || !(value >= 0) ||
        !(value <= (kelvin ? MOST_RISE_K : MOST_X)))
        return refuse_wish(text, faults);
    wish->rise_K = kelvin ? value : value * g_W_m2;
    return true;
}
