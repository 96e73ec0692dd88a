# The incidence angle modifier of the beam in two planes, one beside the other, with bands and points.
#
# Reads `data` (columns by position):
#   1 part "curve" | "beyond" | "before" | "after"   2 plane (0 along, 1 across)   3 theta (deg)   4 K
#   5 low   6 high   7 name
#   "beyond" is the curve past the last point.
# Settings: figure_name figure_title

if (!exists("figure_name")) figure_name = 'planes'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'planes.csv'

set encoding utf8
# gnuplot's own format, '% h', keeps a blank for the sign, and pngcairo centres it with the figures: half
# a blank right of the tick.
set format '%h'
if (GPVAL_VERSION >= 5.4) { set minussign }
set datafile separator comma
set datafile missing ''

height = 520
if (png) {
    set terminal pngcairo size 2 * 960,2 * height font 'sans-serif,14' fontscale 1.5 linewidth 2 \
        pointscale 2 background rgb 'white' noenhanced
} else {
    set terminal svg size 960,height font 'sans-serif,14' name figure_name background rgb 'white' \
        noenhanced
}

is(p, n) = strcol(1) eq p && column(2) == n
part(p, n, c) = is(p, n) && valid(c) ? column(c) : NaN

stats data skip 1 using (strcol(1) eq 'beyond' ? NaN : column(6)) nooutput
top = STATS_max > 1.15 ? STATS_max * 1.05 : 1.2

set border 3 lw 1 lc rgb '#444444'
set tics nomirror out scale 0.5
set grid xtics ytics lt 1 lw 0.6 lc rgb '#E4E4E4'
set tmargin screen 1 - 92.0 / height
set bmargin screen 70.0 / height
set key off
set xrange [0:90]
set xtics 15
set yrange [0:top]

set label 1 figure_title at screen 0.02,screen 1 - 22.0 / height left font 'sans-serif,17' noenhanced
set label 2 '● before noon, or not known' at screen 0.075,screen 1 - 48.0 / height left \
    font 'sans-serif,12' tc rgb '#0072B2' noenhanced
set label 3 '○ after noon' at screen 0.30,screen 1 - 48.0 / height left font 'sans-serif,12' \
    tc rgb '#B04A00' noenhanced
set label 4 '— table with its 95 % band, dashed beyond the points; the other plane taken off' \
    at screen 0.975,screen 1 - 48.0 / height right font 'sans-serif,12' tc rgb '#333333' noenhanced

set multiplot
do for [n = 0:1] {
    set lmargin screen 0.075 + 0.475 * n
    set rmargin screen 0.5 + 0.475 * n
    set xlabel (n == 0 ? 'angle off the normal along the tubes (°)' \
                       : 'angle off the normal across the tubes (°)') noenhanced offset 0,0.4
    if (n == 0) { set ylabel 'K of the beam' noenhanced offset 0.5,0 } else { unset ylabel }
    plot data skip 1 using (part('curve', n, 3)):(part('curve', n, 5)):(part('curve', n, 6)) \
            with filledcurves fc rgb '#D9D9D9' notitle, \
        data skip 1 using (part('beyond', n, 3)):(part('beyond', n, 5)):(part('beyond', n, 6)) \
            with filledcurves fc rgb '#EFEFEF' notitle, \
        data skip 1 using (part('curve', n, 3)):(part('curve', n, 4)) with lines lw 2 \
            lc rgb '#000000' notitle, \
        data skip 1 using (part('beyond', n, 3)):(part('beyond', n, 4)) with lines lw 2 dt 2 \
            lc rgb '#000000' notitle, \
        data skip 1 using (part('before', n, 3)):(part('before', n, 4)):(part('before', n, 5)):\
            (part('before', n, 6)) with yerrorbars pt 7 ps 0.8 lw 1.2 lc rgb '#0072B2' notitle, \
        data skip 1 using (part('after', n, 3)):(part('after', n, 4)):(part('after', n, 5)):\
            (part('after', n, 6)) with yerrorbars pt 6 ps 0.8 lw 1.2 lc rgb '#B04A00' notitle
    do for [k = 1:4] { unset label k }
}
unset multiplot
