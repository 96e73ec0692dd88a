# Where the uncertainty comes from: a bar per source, a panel per coefficient and one for the curve,
# longest on top.
#
# Reads `data` (columns by position):
#   1 part "bar"   2 panel 0, 1 ...   3 rank 0, 1 ...
#   4 kind 0 calibration 1 session 2 reading 3 other
#   5 u (>= 0, in the coefficient's unit)   6 label
# Settings: figure_name figure_title longest_text panels panel_0 ... axis_0 ... total_0 ...

if (!exists("figure_name")) figure_name = 'budget'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'budget.csv'
if (!exists("panels")) panels = 1
if (!exists("longest_text")) longest_text = 44
panels = int(panels > 5 ? 5 : panels)

set encoding utf8
# gnuplot's own format, '% h', keeps a blank for the sign, and pngcairo centres it with the figures: half
# a blank right of the tick.
set format '%h'
if (GPVAL_VERSION >= 5.4) { set minussign }
set datafile separator comma

# Bars and longest bar of each panel.
array bars[5]; array longest[5]; array kinds[4]; array both[20]
do for [k=1:5] { bars[k] = 0; longest[k] = 0.0 }
do for [k=1:4] { kinds[k] = 0 }
do for [k=1:20] { both[k] = 0 }
slot(u) = int(column(2)) + 1
known(u) = valid(2) && valid(5) && column(2) >= 0 && column(2) < 5 && column(3) < 10
kind_of(u) = valid(4) && column(4) >= 0 && column(4) < 3 ? int(column(4)) + 1 : 4
note(k) = (bars[k] = bars[k] + 1, longest[k] = column(5) > longest[k] ? column(5) : longest[k], \
    kinds[kind_of(0)] = 1, both[4 * k - 4 + kind_of(0)] = 1, 0)
see(u) = known(0) ? note(slot(0)) : 0
stats data skip 1 using (see(0)) nooutput

row = 26
head = 40
foot = 66
height = 92
do for [k=1:panels] { height = height + head + row * bars[k] + foot }
if (png) {
    set terminal pngcairo size 2 * 960,2 * height font 'sans-serif,14' fontscale 1.5 linewidth 2 \
        pointscale 2 background rgb 'white' noenhanced
} else {
    set terminal svg size 960,height font 'sans-serif,14' name figure_name background rgb 'white' \
        noenhanced
}
y(p) = 1 - p / (1.0 * height)

kind_words = 'calibration session reading other'

set multiplot
set key off
set border 1 lw 1 lc rgb '#444444'
unset ytics
set xtics nomirror out scale 0.5
set grid xtics lt 1 lw 0.6 lc rgb '#E4E4E4'
# Room for the longest label, within reason.
left_edge = 0.03 + 0.0086 * longest_text
left_edge = left_edge < 0.25 ? 0.25 : left_edge > 0.60 ? 0.60 : left_edge
set lmargin screen left_edge
set rmargin screen 0.91
set style fill solid
title_font = sprintf('sans-serif,%d', strlen(figure_title) > 100 ? 14 : 17)
set label 1 figure_title at screen 0.02,y(22) left font title_font noenhanced

# What the colours mean; each word beside its patch.
key_at = left_edge
do for [j=1:4] {
    if (kinds[j] > 0) {
        set object j rectangle from screen key_at,y(55) to screen key_at + 0.02,y(41)
        set label 40 + j word(kind_words, j) at screen key_at + 0.026,y(48) left \
            font 'sans-serif,12' noenhanced
        key_at = key_at + 0.05 + 0.0085 * strlen(word(kind_words, j))
    }
}
if (kinds[1] > 0) set object 1 fs solid noborder fc rgb '#0072B2'
if (kinds[2] > 0) set object 2 fs pattern 4 border lc rgb '#B27B00' fc rgb '#B27B00'
if (kinds[3] > 0) set object 3 fs solid noborder fc rgb '#8CCBF0'
if (kinds[4] > 0) set object 4 fs empty border lc rgb '#444444' fc rgb '#444444'

# The numbers stand in a column at the right, with two significant digits (0.0022: what rounds up to
# the next decade).
places(v) = int(1 - floor(log10(v) + 0.0022))
plain(v) = sprintf(sprintf('%%.%df', places(v) > 0 ? places(v) : 0), v)
digits(v) = v >= 1e-7 ? plain(v) : sprintf('%#.2g', v)
decade(v) = 10 ** floor(log10(v))
share(v) = v / decade(v)
nice(v) = decade(v) * (share(v) < 1.5 ? 1 : share(v) < 3.5 ? 2 : share(v) < 7.5 ? 5 : 10)
mine(k) = known(0) && slot(0) == k
bar(k, j) = mine(k) && kind_of(0) == j ? 0.5 * column(5) : NaN
top = 80
do for [k=1:panels] {
    name = sprintf('panel_%d', k - 1)
    words = exists(name) ? value(name) : ''
    name = sprintf('axis_%d', k - 1)
    axis = exists(name) ? value(name) : 'standard uncertainty'
    name = sprintf('total_%d', k - 1)
    total = exists(name) ? value(name) : NaN
    reach = total == total && total > longest[k] ? total : longest[k]
    reach = reach > 0 ? reach : 1.0
    set label 50 words at screen 0.02,y(top + 14) left font 'sans-serif,15' noenhanced
    set tmargin screen y(top + head)
    set bmargin screen y(top + head + row * (bars[k] > 0 ? bars[k] : 1))
    set xrange [0:1.12 * reach]
    set yrange [(bars[k] > 0 ? bars[k] : 1) - 0.5:-0.5]
    set xtics nice(reach / 2.0) # three at most beside 0: small numbers are wide
    set xlabel axis noenhanced offset 0,0.5
    if (total == total) {
        set arrow 60 from total,graph 0 to total,graph 1 nohead lw 1.6 dt 2 lc rgb '#000000'
        set label 60 'all together '.digits(total) at total,graph 1 right offset 0,0.7 \
            font 'sans-serif,12' noenhanced
    }
    plot bars[k] - 0.5 with lines lw 1 lc rgb '#444444' notitle, \
        for [i=1:both[4 * k - 3]] data skip 1 using (bar(k, 1)):3:(0):5:(column(3) - 0.34): \
            (column(3) + 0.34) with boxxyerror fs solid noborder lc rgb '#0072B2' notitle, \
        for [i=1:both[4 * k - 2]] data skip 1 using (bar(k, 2)):3:(0):5:(column(3) - 0.34): \
            (column(3) + 0.34) with boxxyerror \
            lc rgb '#B27B00' fs pattern 4 border lc rgb '#B27B00' notitle, \
        for [i=1:both[4 * k - 1]] data skip 1 using (bar(k, 3)):3:(0):5:(column(3) - 0.34): \
            (column(3) + 0.34) with boxxyerror fs solid noborder lc rgb '#8CCBF0' notitle, \
        for [i=1:both[4 * k - 0]] data skip 1 using (bar(k, 4)):3:(0):5:(column(3) - 0.34): \
            (column(3) + 0.34) with boxxyerror \
            lc rgb '#444444' fs empty border lc rgb '#444444' notitle, \
        for [i=1:bars[k]>0] data skip 1 using (mine(k) ? 0 : NaN):3:6 with labels right \
            offset -0.8,0 noenhanced notitle, \
        for [i=1:bars[k]>0] data skip 1 using (mine(k) ? 1.12 * reach : NaN):3: \
            (digits(column(5))) with labels left offset 0.5,0 font 'sans-serif,12' \
            tc rgb '#333333' noenhanced notitle
    unset label
    unset arrow
    unset object
    top = top + head + row * bars[k] + foot
}
unset multiplot
