#include "study/plan_ask.h"

#include "run/modifier.h"
#include "study/plan_joint.h"
#include "study/plan_modifier.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void say_why(const struct faults *own, struct plan_said *said)
{
    snprintf(said->why_not, sizeof said->why_not, "the points hold no curve");
    for (size_t i = 0; i < own->n; i++)
        if (own->items[i].kind == FAULT_DATA) {
            snprintf(said->why_not, sizeof said->why_not, "%.390s", own->items[i].found);
            return;
        }
}

static bool form_and_fit(const struct plan_scene *scene, const struct plan_wish *wish,
                         struct point *points, struct plan_said *said, struct faults *own)
{
    struct efficiency e;
    size_t n = scene->means->n;
    for (size_t i = 0; i < n; i++)
        if (!point_make(&points[i], &scene->means->items[i], scene->setup, scene->errors, own))
            return false;
    if (plan_is_joint(scene->run))
        return plan_ask_joint(scene, wish, points, said, own);
    if (scene->run->kind == RUN_MODIFIER)
        modifier_keep_apart(points, n, scene->run->near_normal_rad);
    if (!efficiency_fit(&e, points, n, scene->setup, scene->errors, &scene->request, own))
        return false;
    bool good = true;
    plan_take_curve(&e, said);
    if (wish->about == PLAN_K)
        good = plan_ask_modifier(scene, &e, points, said, own);
    else
        plan_take(scene, &e, wish, said);
    efficiency_free(&e);
    return good;
}

bool plan_ask(const struct plan_scene *scene, const struct plan_wish *wish, struct plan_said *said,
              struct faults *faults)
{
    memset(said, 0, sizeof *said);
    said->n = scene->means->n;
    struct point *points = calloc(scene->means->n + 1, sizeof *points);
    struct faults *own = malloc(sizeof *own); /* what points lack is an answer here */
    if (points == NULL || own == NULL) {
        free(points);
        free(own);
        return fault_memory(faults);
    }
    faults_init(own);
    if (!form_and_fit(scene, wish, points, said, own))
        say_why(own, said);
    bool good = own->worst != FAULT_MACHINE;
    free(points);
    free(own);
    return good || fault_memory(faults);
}
