# What a test knows of an answer: half-width against the number of windows, and with each addition.
#
# Reads `data` (columns by position):
#   1 part "again" | "addition"   2 rank (additions: 1 is the best)   3 windows   4 half of the 95 %
#   interval   5 label of an addition
# Settings: figure_name figure_title limit (what no point takes away; NaN: none) y_label

if (!exists("figure_name")) figure_name = 'plan'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'plan.csv'
if (!exists("limit")) limit = NaN
if (!exists("y_label")) y_label = 'half of the 95 % interval'

set encoding utf8
# gnuplot's own format, '% h', keeps a blank for the sign, and pngcairo centres it with the figures: half
# a blank right of the tick.
set format '%h'
if (GPVAL_VERSION >= 5.4) { set minussign }
if (png) {
    set terminal pngcairo size 2 * 960,2 * 520 font 'sans-serif,14' fontscale 1.5 linewidth 2 \
        pointscale 2 background rgb 'white' noenhanced
} else {
    set terminal svg size 960,520 font 'sans-serif,14' name figure_name background rgb 'white' \
        noenhanced
}
set datafile separator comma

of(p) = strcol(1) eq p
at(p, c) = of(p) && valid(c) ? column(c) : NaN

high = 0.0; top = 0.0; start_y = NaN; additions = 0
wide(v) = (high = v > high ? v : high, 0)
tall(v) = (top = v > top ? v : top, 0)
start(u) = (start_y != start_y ? (start_y = column(4)) : start_y, 0)
count(u) = of('addition') ? (additions = additions + 1, 0) : wide(column(3)) + start(0)
see(u) = 0 * (tall(column(4)) + count(0))
stats data skip 1 using (see(0)) nooutput

if (high <= 0) high = 1
if (top <= 0) top = 1
if (limit == limit && limit > top) top = limit

set multiplot
set key off
title_font = sprintf('sans-serif,%d', strlen(figure_title) > 90 ? 14 : 17)
set label 1 figure_title at screen 0.02,0.95 left font title_font noenhanced
set border 3 lw 1 lc rgb '#444444'
set tics nomirror out scale 0.6
set grid ytics lt 1 lw 0.6 lc rgb '#E4E4E4'
set yrange [0:1.08 * top]

# Left: everything again and again.
set lmargin screen 0.09
set rmargin screen 0.52
set bmargin screen 0.13
set tmargin screen 0.86
set xrange [0:1.03 * high]
set xlabel 'windows, all temperatures again and again' noenhanced offset 0,0.3
set ylabel y_label noenhanced offset 0.5,0
if (limit == limit) {
    set arrow 1 from 0,limit to 1.03 * high,limit nohead lw 2 dt 2 lc rgb '#B04A00' front
    set label 2 'no point goes below: calibration' at 1.02 * high,limit right offset 0,-0.7 \
        font 'sans-serif,12' tc rgb '#B04A00' noenhanced front
}
plot data skip 1 using (at('again', 3)):(at('again', 4)) with linespoints lw 2.5 pt 7 ps 0.6 \
    lc rgb '#0072B2'

# Right: one bar an addition, its words above it.
unset label 1; unset label 2; unset arrow 1; unset grid
set lmargin screen 0.58
set rmargin screen 0.98
rows = additions > 0 ? additions : 1
set yrange [rows + 0.75:0.25]
set xrange [0:1.05 * top]
unset ytics
unset ylabel
set border 1
set xlabel 'the same, with one addition to what is planned or there' noenhanced offset 0,0.3
if (start_y == start_y) {
    set arrow 2 from start_y,0.25 to start_y,rows + 0.75 nohead lw 1.6 dt 3 lc rgb '#333333' front
}
if (limit == limit) {
    set arrow 3 from limit,0.25 to limit,rows + 0.75 nohead lw 1.6 dt 2 lc rgb '#B04A00' front
}
if (additions > 0) {
    plot data skip 1 using (0):(at('addition', 2)):(0):(at('addition', 4)):\
            (at('addition', 2) + 0.02):(at('addition', 2) + 0.34) with boxxyerror \
            fs solid 0.7 lc rgb '#8CBBDD', \
        data skip 1 using (of('addition') ? 0 : NaN):(at('addition', 2)):5 with labels left \
            offset 0.2,0.9 font 'sans-serif,13' tc rgb '#222222' noenhanced
}
unset multiplot
