#include "aid_points.h"

#include <math.h>

size_t aid_points_make(struct fit_point *points)
{
    const double x[4] = {0.0031, 0.0237, 0.0442, 0.0689};
    size_t n = 0;
    for (size_t i = 0; i < 4; i++) {
        for (size_t k = 0; k < 4; k++) {
            struct fit_point *pt = &points[n];
            double wobble = 0.009 * sin(2.39 * (double)n + 0.7);
            pt->at.x = x[i] + 0.00087 * (double)k;
            pt->at.g = 793.0 + 41.7 * (double)k - 13.1 * (double)i;
            pt->at.wind = 1.3 * cos(1.71 * (double)n);
            pt->eta = 0.771 - 3.61 * pt->at.x - 0.0117 * pt->at.g * pt->at.x * pt->at.x + wobble;
            pt->u_eta = 0.0043 + 0.0007 * (double)i;
            pt->u_x = 0.00061 + 0.00013 * (double)k;
            pt->cov_eta_x = 0.57 * pt->u_eta * pt->u_x * (k % 2 ? 1.0 : -0.4);
            n++;
        }
    }
    return n;
}
