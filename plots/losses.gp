# Where the sunshine goes: predicted loss by loss, measured beside it, at several temperatures.
#
# Reads `data` (columns by position):
#   1 part "bar" | "error"   2 state 0, 1 ...   3 who 0 predicted 1 measured
#   4 from  5 to (% of the sunshine)   6 kind 0 useful 1 front 2 back 3 edge 4 kept by the cover
#   5 reflected 6 beside the glass 7 lost as heat 8 not caught   7 label
#   error: 4 low  5 high of the useful share
# Settings: figure_name figure_title states state_0 ... measured (1: bars of who 1 are there)

if (!exists("figure_name")) figure_name = 'losses'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'losses.csv'
if (!exists("states")) states = 3
if (!exists("measured")) measured = 1
measured = int(measured)

set encoding utf8
# gnuplot's own format, '% h', keeps a blank for the sign, and pngcairo centres it with the figures: half
# a blank right of the tick.
set format '%h'
if (GPVAL_VERSION >= 5.4) { set minussign }
set datafile separator comma
if (png) {
    set terminal pngcairo size 1920,1240 font 'sans-serif,14' fontscale 1.5 linewidth 2 \
        pointscale 2 background rgb 'white' noenhanced
} else {
    set terminal svg size 960,620 font 'sans-serif,14' name figure_name background rgb 'white' \
        noenhanced
}
y(p) = 1 - p / 620.0

# Hues that colour-blind readers tell apart; every block carries its number and is bordered, so that a
# grey printer tells them apart too.
array colours[9] = ['#0072B2', '#D55E00', '#E69F00', '#F0E442', '#8CCBF0', '#D0D0D0', '#F2F2F2', \
    '#E8956B', '#B8B8B8']
array words[9] = ['useful', 'front', 'back', 'edge', 'kept by the cover', 'not caught (reflected)', \
    'beside the glass', 'heat lost (measured)', 'not caught (measured)']

# One temperature does not tell heat that is lost from sunshine that is not caught.
if (states < 1.5) {
    words[9] = 'not useful (measured)'
}

set multiplot
set key off
set lmargin screen 0.075
set rmargin screen 0.72
set tmargin screen y(70)
set bmargin screen y(555)
set border 3 lw 1 lc rgb '#444444'
set xrange [-0.6:states - 0.4]
set yrange [0:100]
set ytics nomirror out scale 0.5
set ylabel '% of the sunshine on the reference area' noenhanced
unset xtics
title_font = sprintf('sans-serif,%d', strlen(figure_title) > 90 ? 14 : 17)
set label 1 figure_title at screen 0.02,y(24) left font title_font noenhanced
do for [k=0:int(states) - 1] {
    name = sprintf('state_%d', k)
    line = exists(name) ? value(name) : ''
    set label 10 + k line at k,graph -0.1 center noenhanced
    set label 30 + k 'predicted' at (measured ? k - 0.21 : k),graph -0.045 center \
        font 'sans-serif,12' noenhanced
    if (measured) {
        set label 40 + k 'measured' at k + 0.21,graph -0.045 center font 'sans-serif,12' noenhanced
    }
}
do for [k=1:measured ? 9 : 7] {
    at = 70 + 36 * (10 - k) + (states < 1.5 && k == 9 ? 36 : 0)
    if (states < 1.5 && k == 8) { continue }
    set object k rectangle from screen 0.745,y(at) to screen 0.77,y(at - 18) \
        fs solid border lc rgb '#444444' fc rgb colours[k]
    set label 60 + k words[k] at screen 0.78,y(at - 9) left noenhanced
}
half = measured ? 0.19 : 0.3
middle(u) = measured ? column(2) + (column(3) > 0.5 ? 0.21 : -0.21) : column(2)
mine(k) = strcol(1) eq 'bar' && column(6) == k - 1
box(k) = mine(k) ? middle(0) : NaN
is_error(u) = strcol(1) eq 'error'
fits(u) = strcol(1) eq 'bar' && column(5) - column(4) > 2.6
dark(u) = column(6) == 0 || column(6) == 1
plot for [k=1:9] data skip 1 using (box(k)):(0.5 * (column(4) + column(5))): \
        (middle(0) - half):(middle(0) + half):4:5 with boxxyerror fs solid border lc rgb '#444444' \
        fc rgb colours[k] notitle, \
    data skip 1 using (is_error(0) ? middle(0) : NaN):4:(0):(column(5) - column(4)) \
        with vectors heads size screen 0.005,90 lw 2.4 lc rgb '#000000' notitle, \
    data skip 1 using (fits(0) && dark(0) ? middle(0) - 0.5 * half : NaN): \
        (0.5 * (column(4) + column(5))):7 with labels center font 'sans-serif,12' tc rgb '#FFFFFF' \
        noenhanced notitle, \
    data skip 1 using (fits(0) && !dark(0) ? middle(0) - 0.5 * half : NaN): \
        (0.5 * (column(4) + column(5))):7 with labels center font 'sans-serif,12' tc rgb '#000000' \
        noenhanced notitle
unset multiplot
