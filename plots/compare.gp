# Collectors beside each other: their curves with bands and points, below them the differences.
#
# Reads `data` (columns by position; the words in column 1 tell the blocks apart):
#   1 part "curve" | "point" | "difference" | "pair"   2 series (1, 2 ...; 1 is what the others are held
#   against)   3 x (m2 K/W)   4 y   5 low  6 high (95 %; points: empty)   7 name (text)
#   y of a difference, and of a pair of windows at one time: percentage points, the first less the
#   other
# Settings: figure_name figure_title g_W_m2 series name_1 ... x_label

if (!exists("figure_name")) figure_name = 'compare'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'compare.csv'
if (!exists("g_W_m2")) g_W_m2 = NaN
if (!exists("series")) series = 2
if (!exists("x_label")) x_label = '(mean fluid − air) ÷ sunshine, T* (m² K/W)'

set encoding utf8
# gnuplot's own format, '% h', keeps a blank for the sign, and pngcairo centres it with the figures: half
# a blank right of the tick.
set format '%h'
if (GPVAL_VERSION >= 5.4) { set minussign }
if (png) {
    set terminal pngcairo size 2 * 960,2 * 760 font 'sans-serif,14' fontscale 1.5 linewidth 2 \
        pointscale 2 background rgb 'white' noenhanced
} else {
    set terminal svg size 960,760 font 'sans-serif,14' name figure_name background rgb 'white' \
        noenhanced
}
set datafile separator comma

# Told apart without colour too: line, dashes and symbol differ.
array ink[8] = [0x0072B2, 0xB04A00, 0x007A57, 0x8A4A73, 0x8A6A00, 0x333333, 0x3B6F9A, 0x777777]
array pale[8] = [0x9CC6E6, 0xF0BE9A, 0xA6D9C6, 0xE3C2D6, 0xE8D79C, 0xCCCCCC, 0xC6D9E8, 0xDDDDDD]
array dash[8] = [1, 2, 4, 5, 3, 1, 2, 4]
array mark[8] = [7, 5, 9, 13, 11, 6, 4, 8]

of(p, k) = strcol(1) eq p && int(column(2)) == k
at(p, k, c) = of(p, k) && valid(c) ? column(c) : NaN

low = 0.0; high = 0.0; bottom = 1e9; top = -1e9; d_bottom = 0.0; d_top = 0.0
n_curve = 0; n_point = 0; n_difference = 0; n_pair = 0
array end_y[8] = [NaN, NaN, NaN, NaN, NaN, NaN, NaN, NaN]
array end_x[8] = [NaN, NaN, NaN, NaN, NaN, NaN, NaN, NaN]
wide(v) = (low = v < low ? v : low, high = v > high ? v : high, 0)
tall(v) = (bottom = v < bottom ? v : bottom, top = v > top ? v : top, 0)
deep(v) = (d_bottom = v < d_bottom ? v : d_bottom, d_top = v > d_top ? v : d_top, 0)
below(u) = strcol(1) eq 'difference' || strcol(1) eq 'pair'
see_y(c) = !valid(c) ? 0 : below(0) ? deep(column(c)) : tall(column(c))
note_end(k) = (end_x[k] = column(3), end_y[k] = column(4), 0)
count(u) = strcol(1) eq 'curve' ? (n_curve = n_curve + 1, note_end(int(column(2)))) : \
    strcol(1) eq 'point' ? (n_point = n_point + 1) : \
    strcol(1) eq 'pair' ? (n_pair = n_pair + 1) : (n_difference = n_difference + 1)
see(u) = 0 * (count(0) + wide(column(3)) + see_y(4) + see_y(5) + see_y(6))
stats data skip 1 using (see(0)) nooutput

if (high <= low) high = low + 0.1
if (top <= bottom) { bottom = 0.0; top = 1.0 }
x_span = high - low
low = low < 0 ? low - 0.03 * x_span : low
high = high + 0.03 * x_span
bottom = bottom < 0 ? bottom : 0.0
top = top + 0.06 * (top - bottom)
d_room = 0.12 * (d_top - d_bottom) + 0.2
d_bottom = d_bottom - d_room; d_top = d_top + d_room

set multiplot
set key off
set lmargin screen 0.10
set rmargin screen 0.80
set xrange [low:high]
set border 3 lw 1 lc rgb '#444444'
set tics nomirror out scale 0.6
set grid xtics ytics lt 1 lw 0.6 lc rgb '#E4E4E4'

# Above: the curves.
set bmargin screen 0.43
set tmargin screen 0.86
set yrange [bottom:top]
title_font = sprintf('sans-serif,%d', strlen(figure_title) > 100 ? 14 : 17)
set label 1 figure_title at screen 0.02,0.97 left font title_font noenhanced
set ylabel 'efficiency η' noenhanced offset 0.5,0
set format x ''
if (g_W_m2 == g_W_m2) {
    set x2range [low * g_W_m2:high * g_W_m2]
    set x2tics nomirror out scale 0.6
    set border 7
    set x2label sprintf('temperature difference at %.0f W/m² (K)', g_W_m2) noenhanced offset 0,-0.4
}

# Names beside the right ends, from the highest end downwards, not nearer than a line.
gap = 0.075 * (top - bottom)
array place[8] = [NaN, NaN, NaN, NaN, NaN, NaN, NaN, NaN]
array done[8] = [0, 0, 0, 0, 0, 0, 0, 0]
last = top + gap
do for [j=1:int(series)] {
    best = 0
    do for [k=1:int(series)] {
        if (!done[k] && end_y[k] == end_y[k]) {
            if (best == 0) { best = k } else { if (end_y[k] > end_y[best]) { best = k } }
        }
    }
    if (best > 0) {
        done[best] = 1
        place[best] = end_y[best] > last - gap ? last - gap : end_y[best]
        last = place[best]
        name = exists(sprintf('name_%d', best)) ? value(sprintf('name_%d', best)) : sprintf('%d', best)
        name = strlen(name) > 26 ? substr(name, 1, 25) . '…' : name
        set label 10 + best name at first high + 0.012 * (high - low),place[best] left \
            font 'sans-serif,13' tc rgb ink[best] noenhanced
    }
}
set label 30 "band: 95 %, alone against the truth" at screen 0.02,0.925 left font 'sans-serif,12' \
    tc rgb '#555555' noenhanced
plot \
    for [k=1:int(series)] data skip 1 using (at('curve', k, 3)):(at('curve', k, 5)):\
        (at('curve', k, 6)) with filledcurves lc rgb pale[k] fs transparent solid 0.5 notitle, \
    for [k=1:int(series)] data skip 1 using (at('curve', k, 3)):(at('curve', k, 4)) \
        with lines lw 2.5 dt dash[k] lc rgb ink[k] notitle, \
    for [k=1:(n_point > 0 ? int(series) : 0)] data skip 1 using (at('point', k, 3)):\
        (at('point', k, 4)) with points pt mark[k] ps 0.6 lc rgb ink[k] notitle

# Below: the differences.
do for [k=1:30] { unset label k }
unset x2tics; unset x2label; set border 3
set bmargin screen 0.10
set tmargin screen 0.385
set yrange [d_bottom:d_top]
set format x '%g'
set xlabel x_label noenhanced offset 0,0.3
set ylabel 'difference (percentage points)' noenhanced offset 0.5,0
set arrow 1 from low,0 to high,0 nohead lw 1.4 lc rgb '#222222' back
d_name = exists('name_1') ? name_1 : '1'
d_name = strlen(d_name) > 22 ? substr(d_name, 1, 21) . '…' : d_name
set label 1 sprintf("above the line:\n%s\nis better", d_name) at screen 0.815,0.365 left \
    font 'sans-serif,12' tc rgb ink[1] noenhanced
set label 2 "band: 95 % of the\ndifference itself; where it\nholds the line, these tests\ncannot tell" \
    at screen 0.815,0.27 left font 'sans-serif,12' tc rgb '#555555' noenhanced
if (n_pair > 0) {
    set label 3 "points: windows of both\nat the same times" at screen 0.815,0.145 left \
        font 'sans-serif,12' tc rgb '#555555' noenhanced
}
plot \
    for [k=2:(n_difference > 0 ? int(series) : 1)] data skip 1 using (at('difference', k, 3)):\
        (at('difference', k, 5)):(at('difference', k, 6)) with filledcurves lc rgb pale[k] \
        fs transparent solid 0.6 notitle, \
    for [k=2:(n_difference > 0 ? int(series) : 1)] data skip 1 using (at('difference', k, 3)):\
        (at('difference', k, 4)) with lines lw 2.5 dt dash[k] lc rgb ink[k] notitle, \
    for [k=2:(n_pair > 0 ? int(series) : 1)] data skip 1 using (at('pair', k, 3)):\
        (at('pair', k, 4)) with points pt mark[k] ps 0.6 lc rgb ink[k] notitle
unset multiplot
