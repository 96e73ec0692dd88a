# What changes would do: curves, and where the sunshine goes; sized for a projector.
#
# Reads `data` (columns by position):
#   1 part "curve" | "bar" | "idle"   2 variant 0 (as it is), 1 ...
#   curve: 3 T* (m2 K/W)  4 efficiency  6 name of the variant
#   bar:   3 from  4 to (% of the sunshine)  5 kind 0 useful 1 front 2 back 3 edge 4 kept by the cover
#          5 reflected  6 label
#   idle:  6 temperature in words, written above the bar
# Settings: figure_name figure_title variants where_at (the operating point in words)

if (!exists("figure_name")) figure_name = 'change'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'change.csv'
if (!exists("variants")) variants = 2
if (!exists("where_at")) where_at = ''

set encoding utf8
# gnuplot's own format, '% h', keeps a blank for the sign, and pngcairo centres it with the figures: half
# a blank right of the tick.
set format '%h'
if (GPVAL_VERSION >= 5.4) { set minussign }
set datafile separator comma
if (png) {
    set terminal pngcairo size 2560,1440 font 'sans-serif,20' fontscale 1.5 linewidth 2 \
        pointscale 2 background rgb 'white' noenhanced
} else {
    set terminal svg size 1280,720 font 'sans-serif,20' name figure_name background rgb 'white' \
        noenhanced
}
y(p) = 1 - p / 720.0
array colours[6] = ['#000000', '#0072B2', '#D55E00', '#009E73', '#CC79A7', '#E69F00']
array dashes[6] = [1, 2, 4, 3, 5, 1]
array losses[6] = ['#0072B2', '#D55E00', '#E69F00', '#F0E442', '#8CCBF0', '#D0D0D0']
array words[6] = ['useful', 'front', 'back', 'edge', 'kept', 'reflected']

set multiplot
set key off
set label 1 figure_title at screen 0.02,y(30) left font 'sans-serif,26' noenhanced
is(p, i) = strcol(1) eq p && column(2) == i

# Curves, named in a list below them.
set lmargin screen 0.09
set rmargin screen 0.485
set tmargin screen y(75)
bottom = 530 - 30 * (variants > 2 ? variants - 2 : 0)
set bmargin screen y(bottom)
set border 3 lw 1.5 lc rgb '#444444'
set xtics nomirror out scale 0.5
set ytics nomirror out scale 0.5
set grid ytics lt 1 lw 0.6 lc rgb '#DDDDDD'
set yrange [0:*]
set xlabel '(fluid − air) ÷ sunshine, T* (m² K/W)' noenhanced
set ylabel 'efficiency' noenhanced
stats data skip 1 using (strcol(1) eq 'curve' ? column(3) : NaN) nooutput name 'X'
set xrange [X_min:X_max]
array names[6]
do for [i=1:int(variants)] { names[i] = '' }
note(i) = (names[i + 1] = strcol(6), 0)
stats data skip 1 using (strcol(1) eq 'curve' ? note(int(column(2))) : 0) nooutput name 'N'
do for [i=1:int(variants)] {
    at = bottom + 86 + 30 * i
    name = sprintf('%d  ', i - 1).names[i]
    set arrow i from screen 0.09,y(at) to screen 0.14,y(at) nohead lw 4 dt dashes[i] \
        lc rgb colours[i]
    set label 10 + i name at screen 0.15,y(at) left font 'sans-serif,18' noenhanced
}
plot for [i=1:int(variants)] data skip 1 using (is('curve', i - 1) ? column(3) : NaN):4 \
    with lines lw 4 dt dashes[i] lc rgb colours[i] notitle
unset arrow
unset label
unset grid

# Bars at the operating point.
set lmargin screen 0.58
set rmargin screen 0.86
set tmargin screen y(150)
set bmargin screen y(585)
set label 2 where_at at screen 0.55,y(66) left font 'sans-serif,16' noenhanced
set label 3 'idle in full sun, hottest spot:' at screen 0.58,y(98) left font 'sans-serif,15' \
    tc rgb '#B00000' noenhanced
set xrange [-0.6:variants - 0.4]
set yrange [0:100]
set ylabel '% of the sunshine' noenhanced
unset xlabel
unset xtics
do for [k=1:6] {
    at = 150 + 46 * (7 - k)
    set object k rectangle from screen 0.875,y(at) to screen 0.9,y(at - 24) \
        fs solid border lc rgb '#444444' fc rgb losses[k]
    set label 20 + k words[k] at screen 0.905,y(at - 12) left font 'sans-serif,18' noenhanced
}
do for [i=1:int(variants)] {
    set arrow i from i - 1.36,graph -0.025 to i - 0.64,graph -0.025 nohead lw 6 lc rgb colours[i]
    name = sprintf('%d', i - 1)
    set label 40 + i name at i - 1,graph -0.075 center font 'sans-serif,18' noenhanced
}
mine(k) = strcol(1) eq 'bar' && column(5) == k - 1
fits(u) = strcol(1) eq 'bar' && column(4) - column(3) > 4
dark(u) = column(5) == 0 || column(5) == 1
plot for [k=1:6] data skip 1 using (mine(k) ? column(2) : NaN):(0.5 * (column(3) + column(4))): \
        (column(2) - 0.36):(column(2) + 0.36):3:4 with boxxyerror fs solid border lc rgb '#444444' \
        fc rgb losses[k] notitle, \
    data skip 1 using (fits(0) && dark(0) ? column(2) : NaN):(0.5 * (column(3) + column(4))):6 \
        with labels center font 'sans-serif,18' tc rgb '#FFFFFF' noenhanced notitle, \
    data skip 1 using (fits(0) && !dark(0) ? column(2) : NaN):(0.5 * (column(3) + column(4))):6 \
        with labels center font 'sans-serif,18' tc rgb '#000000' noenhanced notitle, \
    data skip 1 using (strcol(1) eq 'idle' ? column(2) : NaN):(100):6 with labels center \
        offset 0,0.8 font 'sans-serif,15' tc rgb '#B00000' noenhanced notitle
unset multiplot
