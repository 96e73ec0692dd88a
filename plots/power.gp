# Power of the collector against the temperature difference to the air, at several irradiances.
#
# Reads `data` (columns by position):
#   1 part "power"   2 series (1, 2 ...)   3 x (K)   4 y   5 low  6 high (W, 95 %)
# Settings: figure_name figure_title series name_1 ... ("1000 W/m²")

if (!exists("figure_name")) figure_name = 'power'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'power.csv'
if (!exists("series")) series = 1

set encoding utf8
# gnuplot's own format, '% h', keeps a blank for the sign, and pngcairo centres it with the figures: half
# a blank right of the tick.
set format '%h'
if (GPVAL_VERSION >= 5.4) { set minussign }
if (png) {
    set terminal pngcairo size 2 * 960,2 * 560 font 'sans-serif,14' fontscale 1.5 linewidth 2 \
        pointscale 2 background rgb 'white' noenhanced
} else {
    set terminal svg size 960,560 font 'sans-serif,14' name figure_name background rgb 'white' \
        noenhanced
}
set datafile separator comma

# Told apart without colour too: by dashes, and each line bears its name.
array ink[4] = [0x0072B2, 0x007A57, 0xB04A00, 0x333333]
array pale[4] = [0x9CC6E6, 0xA6D9C6, 0xF0BE9A, 0xCCCCCC]
array dash[4] = [1, 2, 4, 5]

at(k, c) = int(column(2)) == k && valid(c) ? column(c) : NaN

low = 0.0; high = 0.0; bottom = 0.0; top = 0.0
array end_x[4] = [NaN, NaN, NaN, NaN]
array end_y[4] = [NaN, NaN, NaN, NaN]
wide(v) = (low = v < low ? v : low, high = v > high ? v : high, 0)
tall(v) = (bottom = v < bottom ? v : bottom, top = v > top ? v : top, 0)
note_end(k) = (end_x[k] = column(3), end_y[k] = column(4), 0)
see(u) = 0 * (wide(column(3)) + tall(column(5)) + tall(column(6)) + note_end(int(column(2))))
stats data skip 1 using (see(0)) nooutput

if (high <= low) high = low + 1
if (top <= bottom) top = bottom + 1
high = high + 0.02 * (high - low)
top = top + 0.06 * (top - bottom)

set key off
set lmargin screen 0.09
set rmargin screen 0.86
set bmargin screen 0.125
set tmargin screen 0.88
set xrange [low:high]
set yrange [bottom:top]
set border 3 lw 1 lc rgb '#444444'
set tics nomirror out scale 0.6
set grid xtics ytics lt 1 lw 0.6 lc rgb '#E4E4E4'
set xlabel 'temperature difference between fluid and air (K)' noenhanced offset 0,0.3
set ylabel 'power of the collector (W)' noenhanced offset 0.5,0
title_font = sprintf('sans-serif,%d', strlen(figure_title) > 100 ? 14 : 17)
set label 1 figure_title at screen 0.02,0.96 left font title_font noenhanced
set label 2 'band: where the curve lies (95 %)' at screen 0.98,0.905 right font 'sans-serif,12' \
    tc rgb '#555555' noenhanced
do for [k=1:int(series)] {
    if (end_y[k] == end_y[k]) {
        name = exists(sprintf('name_%d', k)) ? value(sprintf('name_%d', k)) : sprintf('%d', k)
        set label 10 + k name at first end_x[k] + 0.01 * (high - low),end_y[k] left \
            font 'sans-serif,13' tc rgb ink[k] noenhanced
    }
}
plot \
    for [k=1:int(series)] data skip 1 using (at(k, 3)):(at(k, 5)):(at(k, 6)) \
        with filledcurves lc rgb pale[k] fs transparent solid 0.6 notitle, \
    for [k=1:int(series)] data skip 1 using (at(k, 3)):(at(k, 4)) \
        with lines lw 2.5 dt dash[k] lc rgb ink[k] notitle
