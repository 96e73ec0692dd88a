/* The part of a plan that is for curve and modifier fitted together: what points at any angle would
 * say, and planned windows at an angle with water of any temperature.
 *
 * Source: docs/methods.md, "What to measure next".
 */
#ifndef STUDY_PLAN_JOINT_H
#define STUDY_PLAN_JOINT_H

#include "study/plan_said.h"
#include "study/plan_typical.h"

#include <stdbool.h>

/* Whether the run fits both together. */
bool plan_is_joint(const struct run_section *run);

/* Whether a point counts in such a run: at a known angle of no more than any use is made of. */
bool plan_joint_counts(const struct point *point);

/* Fits both and reads the answer off.
 * In:      points  as many as the scene has means
 * Returns: false with a fault in own: why the points do not hold it */
bool plan_ask_joint(const struct plan_scene *scene, const struct plan_wish *wish,
                    const struct point *points, struct plan_said *said, struct faults *own);

/* Conditions of points at any angle brought to the normal: the sunshine by how much weaker it is at
 * their median angle (to 1000 W/m2, unless more was measured), the diffuse share by its median.
 * Out: near_rad  how near to the normal points came */
void plan_joint_typical(struct plan_typical *typical, const struct means_list *means,
                        double *near_rad);

#endif
