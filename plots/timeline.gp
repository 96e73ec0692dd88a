# A stretch of time: irradiance, temperatures, flow, and below what became of each minute.
#
# Reads `data` (columns by position):
#   1 part "bin" | "window" | "refused"    2 start_s  3 end_s (local clock, s since 1970-01-01)
#   4 lane (refused: 1, 2 ... the limit)   5-7 g_min g_mean g_max (W/m2)
#   8-10 amb_...  11-13 in_...  14-16 out_... (min mean max, degC)
#   17-19 flow_min flow_mean flow_max
# Settings: figure_name figure_title lanes lane_1 ... lane_8 flow_label x_label from_s to_s

if (!exists("figure_name")) figure_name = 'timeline'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'timeline.csv'
if (!exists("lanes")) lanes = 0
if (!exists("flow_label")) flow_label = 'flow'
if (!exists("x_label")) x_label = 'local time'
lanes = int(lanes > 8 ? 8 : lanes)

set encoding utf8
# gnuplot's own format, '% h', keeps a blank for the sign, and pngcairo centres it with the figures: half
# a blank right of the tick.
set format '%h'
if (GPVAL_VERSION >= 5.4) { set minussign }
height = 640 + 24 * (lanes + 1)
if (png) {
    set terminal pngcairo size 2 * 960,2 * height font 'sans-serif,14' fontscale 1.5 linewidth 2 \
        pointscale 2 background rgb 'white' noenhanced
} else {
    set terminal svg size 960,height font 'sans-serif,14' name figure_name background rgb 'white' \
        noenhanced
}
set datafile separator comma

is(p) = strcol(1) eq p
cell(c) = is('bin') && valid(c) ? column(c) : NaN
# The middle of a bin; undefined after a gap in the log, so that the line breaks there.
last_end = 1e18
is_gap(u) = (was_end = last_end, last_end = column(3), column(2) > was_end + 0.5)
middle(u) = is('bin') ? (is_gap(0) ? NaN : 0.5 * (column(2) + column(3))) : NaN
decade(v) = 10 ** floor(log10(v))
share(v) = v / decade(v)
nice(v) = decade(v) * (share(v) < 1.5 ? 1 : share(v) < 3.5 ? 2 : share(v) < 7.5 ? 5 : 10)

# Ranges of what is there. A channel that was not logged has no valid cell and is not drawn.
begin = 1e18; end = -1e18; g_top = 0.0; t_low = 1e9; t_high = -1e9; f_top = 0.0; f_low = 0.0
n_g = 0; n_amb = 0; n_in = 0; n_out = 0; n_flow = 0; n_window = 0; n_bin = 0
g_end = NaN; amb_end = NaN; in_end = NaN; out_end = NaN; flow_end = NaN
span(u) = (begin = column(2) < begin ? column(2) : begin, \
    end = column(3) > end ? column(3) : end, 0)
temper(c) = (t_low = column(c-1) < t_low ? column(c-1) : t_low, \
    t_high = column(c+1) > t_high ? column(c+1) : t_high, 0)
see_g(u) = valid(6) ? (n_g = n_g + 1, g_top = column(7) > g_top ? column(7) : g_top) : 0
see_amb(u) = valid(9) ? (n_amb = n_amb + 1, amb_end = column(9), temper(9)) : 0
see_in(u) = valid(12) ? (n_in = n_in + 1, in_end = column(12), temper(12)) : 0
see_out(u) = valid(15) ? (n_out = n_out + 1, out_end = column(15), temper(15)) : 0
see_flow(u) = valid(18) ? (n_flow = n_flow + 1, f_top = column(19) > f_top ? column(19) : f_top, \
    f_low = column(17) < f_low ? column(17) : f_low) : 0
see_bin(u) = (n_bin = n_bin + 1, span(0), see_g(0), see_amb(0), see_in(0), see_out(0), \
    see_flow(0), 0)
see_rest(u) = is('window') ? (n_window = n_window + 1, span(0)) : span(0)
see(u) = 0 * (is('bin') ? see_bin(0) : see_rest(0))
stats data skip 1 using (see(0)) nooutput

# How many stretches each lane holds (an empty one must not be plotted).
array seen[8]
do for [i=1:8] { seen[i] = 0 }
count(u) = is('refused') && column(4) >= 1 && column(4) <= lanes ? \
    (seen[int(column(4))] = seen[int(column(4))] + 1) : 0
stats data skip 1 using (0 * count(0)) nooutput

if (exists("from_s")) begin = from_s
if (exists("to_s")) end = to_s
if (end <= begin) { begin = 0; end = 3600 }
t_high = t_high < t_low ? 1 : t_high
t_low = t_low > t_high ? 0 : t_low
t_room = 0.08 * (t_high - t_low) + 0.5
g_top = g_top > 0 ? 1.1 * g_top : 1
f_top = f_top > 0 ? 1.15 * f_top : 1

set multiplot
set key off
set border 3 lw 1 lc rgb '#444444'
set tics nomirror out scale 0.5
set grid xtics ytics lt 1 lw 0.6 lc rgb '#E4E4E4'
set lmargin screen 0.235
set rmargin screen 0.895
set xrange [begin:end]
set xtics time format ''
hours = (end - begin) / 3600.0
step = hours <= 1 ? 600 : hours <= 3 ? 1800 : hours <= 12 ? 3600 : hours <= 26 ? 7200 : 86400
set xtics step

# Heights in pixels from the top: three panels, then a lane for each outcome.
y(p) = 1 - p / (1.0 * height)
panel_1 = 50; panel_2 = 240; panel_3 = 450; lanes_top = 570
lanes_bottom = lanes_top + 24 * (lanes + 1)

title_font = sprintf('sans-serif,%d', strlen(figure_title) > 100 ? 14 : 17)
set label 1 figure_title at screen 0.02,y(24) left font title_font noenhanced

# Accepted windows behind every panel.
array bottom[3]; array above[3]
bottom[1] = 0; above[1] = g_top
bottom[2] = t_low - t_room; above[2] = t_high + t_room
bottom[3] = f_low; above[3] = f_top
shade(i) = is('window') ? 0.5 * (column(2) + column(3)) : NaN

set tmargin screen y(panel_1)
set bmargin screen y(panel_2 - 14)
set yrange [bottom[1]:above[1]]
set ytics nice((above[1] - bottom[1]) / 5.0)
set label 2 "sunshine\n(W/m²)" at screen 0.02,y(0.5 * (panel_1 + panel_2)) left noenhanced
missing = 'not in the log'
if (n_g == 0) set label 3 missing at graph 0.5,0.5 center front noenhanced
plot bottom[1] with lines lw 1 lc rgb '#444444' notitle, \
    for [i=1:n_window>0] data skip 1 using (shade(1)):(0):2:3:(bottom[1]):(above[1]) \
        with boxxyerror lc rgb '#D5EEE5' fs solid border lc rgb 'white' notitle, \
    for [i=1:n_g>0] data skip 1 using (middle(0)):(cell(5)):(cell(7)) with filledcurves \
        lc rgb '#F3D08A' notitle, \
    for [i=1:n_g>0] data skip 1 using (middle(0)):(cell(6)) with lines lw 1.4 lc rgb '#A86E00' \
        notitle
unset label 1

# Names at the right end of the lines, pushed apart where they would touch.
set tmargin screen y(panel_2)
set bmargin screen y(panel_3 - 14)
set yrange [bottom[2]:above[2]]
set ytics nice((above[2] - bottom[2]) / 6.0)
least = 18.0 / (panel_3 - 14 - panel_2) * (above[2] - bottom[2])
out_at = out_end == out_end ? out_end : t_high
in_at = in_end == in_end ? in_end : out_at - least
amb_at = amb_end == amb_end ? amb_end : in_at - least
out_at = abs(out_at - in_at) < least ? in_at + (out_at < in_at ? -least : least) : out_at
low_pair = out_at < in_at ? out_at : in_at
high_pair = out_at < in_at ? in_at : out_at
touches(v) = abs(v - out_at) < least || abs(v - in_at) < least
beyond(v) = v > 0.5 * (low_pair + high_pair) ? high_pair + least : low_pair - least
amb_at = touches(amb_at) ? beyond(amb_at) : amb_at
set label 2 "temperature\n(°C)" at screen 0.02,y(0.5 * (panel_2 + panel_3)) left noenhanced
if (n_out > 0) set label 11 'outlet' at end,out_at left offset 0.6,0 tc rgb '#B04A00' noenhanced
if (n_in > 0) set label 12 'inlet' at end,in_at left offset 0.6,0 tc rgb '#0072B2' noenhanced
if (n_amb > 0) set label 13 'ambient' at end,amb_at left offset 0.6,0 tc rgb '#555555' noenhanced
unset label 3
if (n_in + n_out + n_amb == 0) set label 3 missing at graph 0.5,0.5 center front noenhanced
plot bottom[2] with lines lw 1 lc rgb '#444444' notitle, \
    for [i=1:n_window>0] data skip 1 using (shade(2)):(bottom[2]):2:3:(bottom[2]):(above[2]) \
        with boxxyerror lc rgb '#D5EEE5' fs solid border lc rgb 'white' notitle, \
    for [i=1:n_out>0] data skip 1 using (middle(0)):(cell(14)):(cell(16)) with filledcurves \
        lc rgb '#F0B795' notitle, \
    for [i=1:n_in>0] data skip 1 using (middle(0)):(cell(11)):(cell(13)) with filledcurves \
        lc rgb '#8FC1E3' notitle, \
    for [i=1:n_amb>0] data skip 1 using (middle(0)):(cell(8)):(cell(10)) with filledcurves \
        lc rgb '#CCCCCC' notitle, \
    for [i=1:n_out>0] data skip 1 using (middle(0)):(cell(15)) with lines lw 1.6 \
        lc rgb '#D55E00' notitle, \
    for [i=1:n_in>0] data skip 1 using (middle(0)):(cell(12)) with lines lw 1.6 dt 1 \
        lc rgb '#0072B2' notitle, \
    for [i=1:n_amb>0] data skip 1 using (middle(0)):(cell(9)) with lines lw 1.6 dt 2 \
        lc rgb '#333333' notitle
unset label 11; unset label 12; unset label 13

set tmargin screen y(panel_3)
set bmargin screen y(lanes_top - 14)
set yrange [bottom[3]:above[3]]
set ytics nice((above[3] - bottom[3]) / 3.5)
set label 2 flow_label at screen 0.02,y(0.5 * (panel_3 + lanes_top)) left noenhanced
unset label 3
if (n_flow == 0) set label 3 missing at graph 0.5,0.5 center front noenhanced
plot bottom[3] with lines lw 1 lc rgb '#444444' notitle, \
    for [i=1:n_window>0] data skip 1 using (shade(3)):(bottom[3]):2:3:(bottom[3]):(above[3]) \
        with boxxyerror lc rgb '#D5EEE5' fs solid border lc rgb 'white' notitle, \
    for [i=1:n_flow>0] data skip 1 using (middle(0)):(cell(17)):(cell(19)) with filledcurves \
        lc rgb '#E3BDD2' notitle, \
    for [i=1:n_flow>0] data skip 1 using (middle(0)):(cell(18)) with lines lw 1.4 \
        lc rgb '#8F4A74' notitle

# Lanes: the first is what was accepted, each other one a limit that refused.
array colour[8] = [0xD55E00, 0xE69F00, 0x0072B2, 0xCC79A7, 0x56B4E9, 0x8C6BB1, 0x7F7F7F, 0x000000]
unset label 2
unset label 3
set tmargin screen y(lanes_top)
set bmargin screen y(lanes_bottom)
set yrange [lanes + 0.5:-0.5]
unset ytics
set border 1
if (step < 86400) set xtics format '%H:%M'
if (step >= 86400) set xtics format '%d.%m.'
set xlabel x_label noenhanced offset 0,0.3
set label 30 sprintf('windows accepted (%d)', n_window) at screen 0.02,y(lanes_top + 12) left \
    tc rgb '#007A57' noenhanced
do for [i=1:lanes] {
    lane_name = sprintf('lane_%d', i)
    lane_words = exists(lane_name) ? value(lane_name) : sprintf('limit %d', i)
    set label 30 + i lane_words at screen 0.02,y(lanes_top + 12 + 24 * i) left noenhanced
}
lane_of(i) = is('refused') && column(4) == i ? 0.5 * (column(2) + column(3)) : NaN
# White edges part windows that touch; refused stretches keep theirs, as they may be very short.
plot lanes + 0.5 with lines lw 1 lc rgb '#444444' notitle, \
    for [i=1:n_window>0] data skip 1 using (shade(1)):(0):2:3:(-0.36):(0.36) \
        with boxxyerror lc rgb '#009E73' fs solid border lc rgb 'white' notitle, \
    for [i=1:lanes] for [k=1:seen[i]>0] data skip 1 \
        using (lane_of(i)):(i):2:3:(i - 0.36):(i + 0.36) with boxxyerror \
        lc rgb colour[i] fs solid border lc rgb colour[i] notitle
unset multiplot
