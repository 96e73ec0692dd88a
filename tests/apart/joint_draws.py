#!/usr/bin/env python3
"""The 95 % ends of curve and modifier fitted together, every error drawn, apart from etabench.

    tests/apart/joint_draws.py [DRAWS]

Needs numpy. The case is that of tests/unit/test_joint_draws.c: twenty points typed as efficiency and T*,
a line and b0, without diffuse light; readings of the efficiency (normal, 0.003), one error of all angles
(normal, 2.5 deg) and one of the area (rectangular, standard deviation 0.01). Then

    eta/(1 + area) = eta0 - c s - a1 T*,   s = 1/cos(angle) - 1,   c = eta0 b0

is linear in its coefficients, so that plain least squares on the drawn numbers finds them: nothing is shared
with the program, neither its minimisation nor its random numbers. Prints for each number the drawn ends, how
far two batches' ends scatter (standard deviation of the mean end), and the ends by linear propagation from
central differences.
"""
import sys

import numpy as np

RAD = np.pi / 180
I = np.arange(20)
THETA = (10 + 50 * ((7 * I) % 20) / 19) * RAD
X = 0.02 * (I % 4)
ETA = 0.763 * (1 - 0.131 * (1 / np.cos(THETA) - 1)) - 4.21 * X
U_READING, U_ANGLE, U_AREA = 0.003, 2.5 * RAD, 0.01
NAMES = ("eta0", "a1", "b0", "K at 50 deg")


def numbers(eta, theta):
    """Rows of eta (draws x points) and of angles: the four numbers of each draw."""
    s = 1 / np.cos(np.abs(theta)) - 1
    rows = np.stack([np.ones_like(s), -np.broadcast_to(X, s.shape), -s], axis=2)
    normal = np.einsum("dij,dik->djk", rows, rows)
    right = np.einsum("dij,di->dj", rows, eta)
    eta0, a1, c = np.linalg.solve(normal, right[..., None])[..., 0].T
    return np.stack([eta0, a1, c / eta0, 1 - c / eta0 * (1 / np.cos(50 * RAD) - 1)])


def drawn(rng, n):
    area = U_AREA * np.sqrt(3) * rng.uniform(-1, 1, (n, 1))
    eta = ETA / (1 + area) + U_READING * rng.standard_normal((n, I.size))
    return numbers(eta, THETA + U_ANGLE * rng.standard_normal((n, 1)))


def linear():
    def at(eta, theta):
        return numbers(eta[None, :], theta[None, :])[:, 0]
    best = at(ETA, THETA)
    shifts = [(at(ETA, THETA + U_ANGLE) - at(ETA, THETA - U_ANGLE)) / 2,
              (at(ETA / (1 + U_AREA), THETA) - at(ETA / (1 - U_AREA), THETA)) / 2]
    for i in I:
        step = U_READING * (I == i)
        shifts.append((at(ETA + step, THETA) - at(ETA - step, THETA)) / 2)
    half = 1.959964 * np.sqrt(np.sum(np.square(shifts), axis=0))
    return best - half, best + half


def main():
    batches = 40
    n = (int(sys.argv[1]) if len(sys.argv) > 1 else 4000000) // batches
    rng = np.random.default_rng()
    ends = np.array([np.quantile(drawn(rng, n), [0.025, 0.975], axis=1) for _ in range(batches)])
    mean, doubt = ends.mean(axis=0), ends.std(axis=0, ddof=1) / np.sqrt(batches)
    low, high = linear()
    for k, name in enumerate(NAMES):
        print("%-12s drawn %.6f %.6f (+- %.1g %.1g), linear %.6f %.6f" %
              (name, mean[0, k], mean[1, k], doubt[0, k], doubt[1, k], low[k], high[k]))


main()
