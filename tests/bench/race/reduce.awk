# The reduction of a long log with awk, by the rules of etabench; see reduce_pandas.py for what is asked
# of the log and for the figures.
#
#     mawk -f reduce.awk LOG

function density(t) {
    t /= 100
    return 999.84772 + t * (6.3031255 + t * (-84.223229 + t * (66.980483 + t * (-42.549435 + t * 12.014113))))
}

function enthalpy(t) {
    t /= 100
    return t * (421927.08 + t * (-16327.672 + t * (33646.083 + t * (-38368.239 + t * (24613.539 - t * 6386.5922)))))
}

# Seconds of a stamp since the year 0 of a calendar whose years begin in March.
function seconds(stamp,    y, m) {
    if (substr(stamp, 1, 10) != day) {
        day = substr(stamp, 1, 10)
        y = substr(day, 1, 4) + 0; m = substr(day, 6, 2) + 0
        if (m <= 2) { y--; m += 9 } else m -= 3
        midnight = 86400 * (365 * y + int(y / 4) - int(y / 100) + int(y / 400) + \
                            int((153 * m + 2) / 5) + substr(day, 9, 2))
    }
    return midnight + 3600 * substr(stamp, 12, 2) + 60 * substr(stamp, 15, 2) + substr(stamp, 18, 2)
}

# Largest distance of channel c from the window's mean over the newest n slots.
function deviation(c, n,    i, v, low, high) {
    low = high = slot[c, N % 50]
    for (i = N - 1; i > N - n; i--) {
        v = slot[c, i % 50]
        if (v < low) low = v
        if (v > high) high = v
    }
    low = mean[c] - low
    high -= mean[c]
    return low > high ? low : high
}

function judge(    c, i, x, eta) {
    if (N < 49 || N - 19 < free) return
    for (c = 2; c <= 9; c++) {
        mean[c] = 0
        for (i = N; i > N - 20; i--) mean[c] += slot[c, i % 50]
        mean[c] /= 20
    }
    if (mean[2] < 700 * less || mean[5] - mean[4] < less) return
    if (mean[7] < 2 * less || mean[7] > 4 * more || mean[8] > 0.3 * mean[2] * more) return
    if (deviation(4, 50) > 0.1 * more || deviation(2, 50) > 50 * more) return
    if (deviation(3, 50) > 1.5 * more || deviation(5, 20) > 0.5 * more) return
    if (deviation(6, 50) > 0.01 * mean[6] * more) return
    free = N + 1
    print start[(N - 19) % 50] "Z"
    eta = mean[9] / (2.05 * mean[2])
    x = ((mean[4] + mean[5]) / 2 - mean[3]) / mean[2]
    n++; sx += x; sy += eta; sxx += x * x; sxy += x * eta
}

BEGIN {
    FS = ","
    N = -1
    OFMT = "%.10f"
    more = 1 + 1e-9 # what arithmetic may miss a limit by
    less = 1 - 1e-9
}

NR == 1 { next }

{
    now = seconds($1)
    if (NR > 2 && now != before + 1) { print "the log has a gap: not handled here"; exit 1 }
    before = now
    if (rows++ % 30 == 0) first = $1
    s2 += $2; s3 += $3; s4 += $4; s5 += $5; s6 += $6; s7 += $7; s8 += $8
    s9 += density($4) * $6 / 60000 * (enthalpy($5) - enthalpy($4))
}

rows % 30 == 0 {
    N++
    k = N % 50
    start[k] = first
    slot[2, k] = s2 / 30; slot[3, k] = s3 / 30; slot[4, k] = s4 / 30; slot[5, k] = s5 / 30
    slot[6, k] = s6 / 30; slot[7, k] = s7 / 30; slot[8, k] = s8 / 30; slot[9, k] = s9 / 30
    s2 = s3 = s4 = s5 = s6 = s7 = s8 = s9 = 0
    judge()
}

END {
    slope = (n * sxy - sx * sy) / (n * sxx - sx * sx)
    print "line", (sy - slope * sx) / n, -slope
}
