# What the curve leaves: measured minus curve against reduced temperature and against time of day.
#
# Reads `data` (columns by position):
#   1 part "point" | "left out"   2 x (m2 K/W)   3 hour (local, h; may be empty)
#   4 residual   5 low  6 high (residual -+ 2 u)   7 name
# Settings: figure_name figure_title x_label y_label

if (!exists("figure_name")) figure_name = 'residuals'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'residuals.csv'
if (!exists("x_label")) x_label = '(mean fluid − air) ÷ sunshine, T* (m² K/W)'
if (!exists("y_label")) y_label = 'measured − curve, efficiency'

set encoding utf8
# gnuplot's own format, '% h', keeps a blank for the sign, and pngcairo centres it with the figures: half
# a blank right of the tick.
set format '%h'
if (GPVAL_VERSION >= 5.4) { set minussign }
set datafile separator comma

is(p) = strcol(1) eq p
at(p, c) = is(p) && valid(c) ? column(c) : NaN

n_point = 0; n_out = 0; n_hour = 0; x_low = 0.0; x_high = 0.0
h_low = 24.0; h_high = 0.0; r_top = 0.0
tall(v) = (r_top = abs(v) > r_top ? abs(v) : r_top, 0)
see_tall(c) = valid(c) ? tall(column(c)) : 0
see_x(v) = (x_low = v < x_low ? v : x_low, x_high = v > x_high ? v : x_high, 0)
see_hour(v) = (n_hour = n_hour + 1, h_low = v < h_low ? v : h_low, \
    h_high = v > h_high ? v : h_high, 0)
count(u) = is('point') ? (n_point = n_point + 1) : (n_out = n_out + 1)
see(u) = 0 * (count(0) + see_x(column(2)) + (valid(3) ? see_hour(column(3)) : 0) + see_tall(4) \
    + see_tall(5) + see_tall(6))
stats data skip 1 using (see(0)) nooutput

panels = n_hour > 0 ? 2 : 1
height = 70 + 285 * panels
if (png) {
    set terminal pngcairo size 2 * 960,2 * height font 'sans-serif,14' fontscale 1.5 linewidth 2 \
        pointscale 2 background rgb 'white' noenhanced
} else {
    set terminal svg size 960,height font 'sans-serif,14' name figure_name background rgb 'white' \
        noenhanced
}
r_top = r_top > 0 ? 1.15 * r_top : 0.01
x_room = x_high > x_low ? 0.04 * (x_high - x_low) : 0.01
h_room = h_high > h_low ? 0.04 * (h_high - h_low) + 0.1 : 0.5

set multiplot
set key off
set border 3 lw 1 lc rgb '#444444'
set tics nomirror out scale 0.5
set grid xtics ytics lt 1 lw 0.6 lc rgb '#E4E4E4'
set lmargin screen 0.115
set rmargin screen 0.965
set yrange [-r_top:r_top]
y(p) = 1 - p / (1.0 * height)

title_font = sprintf('sans-serif,%d', strlen(figure_title) > 100 ? 14 : 17)
set label 1 figure_title at screen 0.02,y(22) left font title_font noenhanced
set label 2 "● point, bar = ± 2 u (twice its standard uncertainty)" at screen 0.115,y(48) left \
    font 'sans-serif,12' tc rgb '#B04A00' noenhanced
if (n_out > 0) set label 3 "× left out, with its name" at screen 0.965,y(48) right \
    font 'sans-serif,12' tc rgb '#333333' noenhanced

# Names stand on the inner side of their point: side -1 left half, 1 right half. The text itself
# must be a bare column: gnuplot 5.4 cuts strcol() of a quoted field at its first comma.
half(c, side) = is('left out') && valid(c) && (column(c) > 0.5 * (low + high) ? 1 : -1) == side ? \
    column(c) : NaN
set ylabel y_label noenhanced offset 0.5,0
do for [k=1:panels] {
    c = k == 1 ? 2 : 3
    set tmargin screen y(70 + 285 * (k - 1))
    set bmargin screen y(70 + 285 * (k - 1) + 200)
    low = k == 1 ? x_low - x_room : h_low - h_room
    high = k == 1 ? x_high + x_room : h_high + h_room
    set xrange [low:high]
    words = k == 1 ? x_label : 'local time of day (h)'
    set xlabel words noenhanced offset 0,0.4
    plot 0 with lines lw 2 lc rgb '#0072B2' notitle, \
        for [i=1:n_point>0] data skip 1 using (at('point', c)):4:5:6 with yerrorbars pt 7 ps 0.01 \
            lw 1 lc rgb '#D55E00' notitle, \
        for [i=1:n_point>0] data skip 1 using (at('point', c)):4 with points pt 7 ps 0.75 \
            lc rgb '#D55E00' notitle, \
        for [i=1:n_out>0] data skip 1 using (at('left out', c)):4:5:6 with yerrorbars pt 2 ps 0.01 \
            lw 0.8 lc rgb '#777777' notitle, \
        for [i=1:n_out>0] data skip 1 using (at('left out', c)):4 with points pt 2 ps 1.1 lw 1.6 \
            lc rgb '#333333' notitle, \
        for [i=1:n_out>0] data skip 1 using (half(c, -1)):4:7 with labels left \
            offset 0.9,0.5 font 'sans-serif,11' tc rgb '#333333' noenhanced notitle, \
        for [i=1:n_out>0] data skip 1 using (half(c, 1)):4:7 with labels right \
            offset -0.9,0.5 font 'sans-serif,11' tc rgb '#333333' noenhanced notitle
    unset label
}
unset multiplot
