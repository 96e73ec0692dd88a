"""The reduction of a long log with pandas and numpy, in one thread, by the rules of etabench.

    reduce_pandas.py LOG

Prints the start of each window, then "line ETA0 A1": ordinary least squares through all points. For
logs of make_log only: one row a second, nothing missing, no gap (that is checked, not handled).
"""
import sys

import numpy as np
import pandas as pd

STEP, SLOT, WINDOW, BEFORE = 1, 30, 20, 30  # s; readings; slots of a window, of its conditioning
AREA_M2 = 2.05
MORE, LESS = 1 + 1e-9, 1 - 1e-9  # what arithmetic may miss a limit by
CHUNK = SLOT * 4096
NAMES = ["time", "g", "air", "t_in", "t_out", "flow", "wind", "diffuse"]
G, AIR, T_IN, T_OUT, FLOW, WIND, DIFFUSE, HEAT = range(8)
# Water, 0 to 100 degC, in t / 100: polynomials through the IAPWS-95 values of
# testdata/published/water-properties.csv; density in kg/m3, enthalpy in J/kg.
DENSITY = [999.84772, 6.3031255, -84.223229, 66.980483, -42.549435, 12.014113]
ENTHALPY = [0, 421927.08, -16327.672, 33646.083, -38368.239, 24613.539, -6386.5922]


def polynomial(coefficients, t):
    value = np.full_like(t, coefficients[-1])
    for c in coefficients[-2::-1]:
        value *= t
        value += c
    return value


def heat(rows):
    t_in, t_out = rows[:, T_IN] / 100, rows[:, T_OUT] / 100
    rise = polynomial(ENTHALPY, t_out)
    rise -= polynomial(ENTHALPY, t_in)
    rise *= polynomial(DENSITY, t_in)
    rise *= rows[:, FLOW]
    rise /= 60000
    return rise


def read(path):
    """Means of each slot and channel, and each slot's start."""
    starts, means = [], []
    last = None
    for chunk in pd.read_csv(path, names=NAMES, header=0, engine="c", chunksize=CHUNK,
                             dtype={name: np.float64 for name in NAMES[1:]}):
        time = pd.to_datetime(chunk["time"], format="%Y-%m-%dT%H:%M:%S", cache=False).to_numpy()
        time = time.astype("datetime64[s]").astype(np.int64)
        if (np.diff(time) != STEP).any() or last not in (None, time[0] - STEP):
            sys.exit("the log has a gap: not handled here")
        last = time[-1]
        n = len(chunk) // SLOT * SLOT
        rows = chunk[NAMES[1:]].to_numpy()[:n]
        slots = np.empty((n // SLOT, 8))
        slots[:, :HEAT] = rows.reshape(-1, SLOT, 7).mean(axis=1)
        slots[:, HEAT] = heat(rows).reshape(-1, SLOT).mean(axis=1)
        starts.append(time[:n:SLOT])
        means.append(slots)
    return np.concatenate(starts), np.concatenate(means)


def extremes(values, n):
    frame = pd.Series(values).rolling(n)
    return frame.min().to_numpy(), frame.max().to_numpy()


def deviation(values, n, mean):
    low, high = extremes(values, n)
    return np.maximum(high - mean, mean - low)


def find(slots):
    """Last slots of the windows, and the means of all stretches by their last slot."""
    mean = np.full_like(slots, np.nan)
    mean[WINDOW - 1:] = np.lib.stride_tricks.sliding_window_view(slots, WINDOW, axis=0).mean(axis=-1)
    total = WINDOW + BEFORE
    good = np.arange(len(slots)) >= total - 1
    with np.errstate(invalid="ignore"):
        for channel, n, most in ((G, total, 50), (AIR, total, 1.5), (T_IN, total, 0.1),
                                 (T_OUT, WINDOW, 0.5), (FLOW, total, 0.01 * mean[:, FLOW])):
            good &= deviation(slots[:, channel], n, mean[:, channel]) <= most * MORE
        good &= (mean[:, G] >= 700 * LESS) & (mean[:, T_OUT] - mean[:, T_IN] >= LESS)
        good &= (mean[:, WIND] >= 2 * LESS) & (mean[:, WIND] <= 4 * MORE)
        good &= mean[:, DIFFUSE] <= 0.3 * mean[:, G] * MORE
    last, free = [], 0
    for i in np.flatnonzero(good):
        if i - WINDOW + 1 >= free:
            last.append(i)
            free = i + 1
    return np.array(last, dtype=int), mean


def main():
    starts, slots = read(sys.argv[1])
    last, mean = find(slots)
    at = mean[last]
    eta = at[:, HEAT] / (AREA_M2 * at[:, G])
    x = ((at[:, T_IN] + at[:, T_OUT]) / 2 - at[:, AIR]) / at[:, G]
    terms = np.column_stack([np.ones_like(x), -x])
    (eta0, a1), *_ = np.linalg.lstsq(terms, eta, rcond=None)
    for start in starts[last - WINDOW + 1].astype("datetime64[s]"):
        print(f"{start}Z")
    print(f"line {eta0:.10f} {a1:.10f}")


main()
