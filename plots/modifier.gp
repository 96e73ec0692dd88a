# The incidence angle modifier of the beam against the angle, with its band; points of a pair joined.
#
# Reads `data` (columns by position):
#   1 part "curve" | "beyond" | "pair" | "before" | "after"   2 theta (deg)   3 K   4 low   5 high   6 name
#   "beyond" is the curve past the last point; a row of "pair" without numbers breaks the line.
# Settings: figure_name figure_title

if (!exists("figure_name")) figure_name = 'modifier'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'modifier.csv'

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

is(p) = strcol(1) eq p
part(p, c) = is(p) && valid(c) ? column(c) : NaN

set border 3 lw 1 lc rgb '#444444'
set tics nomirror out scale 0.5
set grid xtics ytics lt 1 lw 0.6 lc rgb '#E4E4E4'
set lmargin screen 0.085
set rmargin screen 0.965
set tmargin screen 1 - 78.0 / height
set bmargin screen 70.0 / height
set key off
set xrange [0:90]
set xtics 10
set yrange [0:*<1.6]
set ytics 0.2
set ylabel 'K of the beam' noenhanced offset 0.5,0
set xlabel 'angle between the sun and the collector''s normal (°)' noenhanced offset 0,0.4

set label 1 figure_title at screen 0.02,screen 1 - 22.0 / height left font 'sans-serif,17' noenhanced
set label 2 '● before noon, or not known' at screen 0.085,screen 1 - 48.0 / height left \
    font 'sans-serif,12' tc rgb '#0072B2' noenhanced
set label 3 '○ after noon, joined with its pair' at screen 0.33,screen 1 - 48.0 / height left font 'sans-serif,12' \
    tc rgb '#B04A00' noenhanced
set label 4 '— fitted form with its 95 % band, dashed beyond the points' \
    at screen 0.965,screen 1 - 48.0 / height right font 'sans-serif,12' tc rgb '#333333' noenhanced

plot data skip 1 using (part('curve', 2)):(part('curve', 4)):(part('curve', 5)) \
        with filledcurves fc rgb '#D9D9D9' notitle, \
    data skip 1 using (part('beyond', 2)):(part('beyond', 4)):(part('beyond', 5)) \
        with filledcurves fc rgb '#EFEFEF' notitle, \
    data skip 1 using (part('pair', 2)):(part('pair', 3)) with lines lw 2.5 lc rgb '#777777' \
        notitle, \
    data skip 1 using (part('curve', 2)):(part('curve', 3)) with lines lw 2 lc rgb '#000000' \
        notitle, \
    data skip 1 using (part('beyond', 2)):(part('beyond', 3)) with lines lw 2 dt 2 lc rgb '#000000' \
        notitle, \
    data skip 1 using (part('before', 2)):(part('before', 3)):(part('before', 4)):(part('before', 5)) \
        with yerrorbars pt 7 ps 0.9 lw 1.2 lc rgb '#0072B2' notitle, \
    data skip 1 using (part('after', 2)):(part('after', 3)):(part('after', 4)):(part('after', 5)) \
        with yerrorbars pt 6 ps 0.9 lw 1.2 lc rgb '#B04A00' notitle
