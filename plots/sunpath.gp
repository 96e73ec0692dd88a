# The sun's path over the days of a test with its windows, and rings of equal angle about the
# collector's normal.
#
# Reads `data` (columns by position):
#   1 part "path" | "window" | "ring" | "ring name" | "normal" | "day name"
#   2 azimuth  3 height (deg)   4 name
#   Rows without numbers break the line.
# Settings: figure_name figure_title
#           middle (azimuth in the middle, 180 or 0) rings (0: no collector known) from to (azimuth)

if (!exists("figure_name")) figure_name = 'sunpath'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'sunpath.csv'
if (!exists("middle")) middle = 180
if (!exists("rings")) rings = 0
if (!exists("from")) from = middle - 180
if (!exists("to")) to = middle + 180

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
set xrange [from:to]
set yrange [0:90]
set ytics 15
set ylabel 'height above the horizon (°)' noenhanced offset 0.5,0
set xlabel 'azimuth, clockwise from north (°)' noenhanced offset 0,0.4
set xtics 30
do for [a=-360:720:90] {
    turn = a - 360 * floor(a / 360.0)
    word = turn == 0 ? 'north' : turn == 90 ? 'east' : turn == 180 ? 'south' : 'west'
    set xtics add (sprintf('%s %d', word, turn) a)
}
do for [a=-330:690:30] {
    turn = a - 360 * floor(a / 360.0)
    if (turn % 90 != 0) { set xtics add (sprintf('%d', turn) a) }
}

title_font = sprintf('sans-serif,%d', strlen(figure_title) > 100 ? 14 : 17)
set label 1 figure_title at screen 0.02,screen 1 - 22.0 / height left font title_font noenhanced
set label 2 '— sun' at screen 0.085,screen 1 - 48.0 / height left font 'sans-serif,12' \
    tc rgb '#B07A00' noenhanced
set label 3 '▬ steady window' at screen 0.17,screen 1 - 48.0 / height left font 'sans-serif,12' \
    tc rgb '#0072B2' noenhanced
if (rings > 0) set label 4 '✕ the collector''s normal, rings of equal angle about it' \
    at screen 0.965,screen 1 - 48.0 / height right font 'sans-serif,12' tc rgb '#555555' noenhanced

set style textbox opaque noborder fillcolor rgb 'white' margins 0.6,0.4
plot for [i=1:rings>0] data skip 1 using (part('ring', 2)):(part('ring', 3)) with lines lw 1 \
        dt 2 lc rgb '#999999' notitle, \
    for [i=1:rings>0] data skip 1 using (part('normal', 2)):(part('normal', 3)) with points pt 2 \
        ps 1.3 lw 1.8 lc rgb '#333333' notitle, \
    data skip 1 using (part('path', 2)):(part('path', 3)) with lines lw 1.8 lc rgb '#E69F00' \
        notitle, \
    data skip 1 using (part('window', 2)):(part('window', 3)) with lines lw 6 lc rgb '#0072B2' \
        notitle, \
    for [i=1:rings>0] data skip 1 using (part('ring name', 2)):(part('ring name', 3)):4 with labels \
        center font 'sans-serif,11' tc rgb '#777777' boxed noenhanced notitle, \
    data skip 1 using (part('day name', 2)):(part('day name', 3)):4 with labels center \
        offset 0,0.8 font 'sans-serif,11' tc rgb '#7A5200' noenhanced notitle
