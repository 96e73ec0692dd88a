# Efficiency against reduced temperature: points with their 95 % crosses, the curve and its bands.
#
# Reads `data` (columns by position; the words in column 1 tell the blocks apart):
#   1 part "point" | "left out" | "curve"    2 x (m2 K/W)    3 y
#   points:  4 x_low 5 x_high 6 y_low 7 y_high (95 %)        14 name  15 group  16 its number, from 0
#   curve:   8 curve_low 9 curve_high  10 next_low 11 next_high  12 bench_low 13 bench_high
# Settings: figure_name figure_title g_W_m2 formula x_label y_label name_points
#           groups (how many have a symbol of their own, at most 8; 0: all alike) group_0 group_1 ...
#           tint_0 tint_1 ... ("#C0182B": colours of the groups)

if (!exists("figure_name")) figure_name = 'curve'
if (!exists("png")) png = 0
if (!exists("figure_title")) figure_title = ''
if (!exists("data")) data = 'curve.csv'
if (!exists("g_W_m2")) g_W_m2 = NaN
if (!exists("formula")) formula = ''
if (!exists("x_label")) x_label = '(mean fluid − air) ÷ sunshine, T* (m² K/W)'
if (!exists("y_label")) y_label = 'efficiency η'
if (!exists("name_points")) name_points = 0
if (!exists("groups")) groups = 0

set encoding utf8
# gnuplot's own format, '% h', keeps a blank for the sign, and pngcairo centres it with the figures: half
# a blank right of the tick.
set format '%h'
if (GPVAL_VERSION >= 5.4) { set minussign }
if (png) {
    set terminal pngcairo size 2 * 960,2 * 640 font 'sans-serif,14' fontscale 1.5 linewidth 2 \
        pointscale 2 background rgb 'white' noenhanced
} else {
    set terminal svg size 960,640 font 'sans-serif,14' name figure_name background rgb 'white' \
        noenhanced
}
set datafile separator comma

is(p) = strcol(1) eq p
at(p, c) = is(p) && valid(c) ? column(c) : NaN
point_x(u) = at('point', 2)
out_x(u) = at('left out', 2)
curve_x(u) = at('curve', 2)

# Ranges: all that is drawn, zero included on x, and a margin.
low = 0.0; high = 0.0; bottom = 1e9; top = -1e9; x_end = NaN; n_curve = 0; n_out = 0; n_point = 0
end_curve_low = NaN; end_curve_high = NaN; end_next_low = NaN; end_next_high = NaN
end_bench_low = NaN; end_bench_high = NaN; end_y = NaN; curve_begin = NaN; begin_y = NaN
wide(v) = (low = v < low ? v : low, high = v > high ? v : high, 0)
tall(v) = (bottom = v < bottom ? v : bottom, top = v > top ? v : top, 0)
see_wide(c) = valid(c) ? wide(column(c)) : 0
see_tall(c) = valid(c) ? tall(column(c)) : 0
first(v, c) = v == v ? v : column(c)
see_curve(u) = (n_curve = n_curve + 1, x_end = column(2), end_y = column(3), \
    curve_begin = first(curve_begin, 2), begin_y = first(begin_y, 3), \
    end_curve_low = at('curve', 8), end_curve_high = at('curve', 9), \
    end_next_low = at('curve', 10), end_next_high = at('curve', 11), \
    end_bench_low = at('curve', 12), end_bench_high = at('curve', 13), 0)
count(u) = is('point') ? (n_point = n_point + 1) : \
    is('left out') ? (n_out = n_out + 1) : see_curve(0)
see(u) = see_wide(2) + see_wide(4) + see_wide(5) + see_tall(3) + see_tall(6) + see_tall(7) \
    + see_tall(8) + see_tall(9) + see_tall(12) + see_tall(13) + 0*count(0)
stats data skip 1 using (see(0)) nooutput

if (high <= low) high = low + 0.1
if (top < bottom) { bottom = 0.0; top = 1.0 }
if (top <= bottom) { bottom = bottom - 0.05; top = top + 0.05 }
x_span = high - low
y_span = top - bottom
low = low < 0 ? low - 0.03 * x_span : low - 0.015 * x_span
high = high + 0.04 * x_span
bottom = bottom - 0.10 * y_span
top = top + 0.08 * y_span
if (bottom < 0 && end_y >= 0) bottom = (bottom > -0.05 ? 0 : bottom)

set lmargin screen 0.1
set rmargin screen 0.79
set bmargin screen 0.115
set tmargin screen 0.835
set xrange [low:high]
set yrange [bottom:top]
set border 3 lw 1 lc rgb '#444444'
set tics nomirror out scale 0.6
set grid xtics ytics lt 1 lw 0.6 lc rgb '#E4E4E4'
set xlabel x_label noenhanced offset 0,0.3
set ylabel y_label noenhanced offset 0.5,0
title_font = sprintf('sans-serif,%d', strlen(figure_title) > 100 ? 14 : 17)
set label 1 figure_title at screen 0.02,0.965 left font title_font noenhanced
if (g_W_m2 == g_W_m2) {
    set x2range [low * g_W_m2:high * g_W_m2]
    set x2tics nomirror out scale 0.6
    set border 7
    set x2label sprintf('temperature difference at %.0f W/m² (K)', g_W_m2) noenhanced offset 0,-0.4
}
set key off

# Two fills, light and dark, and between them nothing that could hide one of them: where one more
# window of this test would fall is a pair of dashed lines, inside or outside of the dark band (where
# calibration dominates it lies inside, as calibration moves both together).
have_bands = n_curve > 0
inner = end_next_high == end_next_high && end_curve_high == end_curve_high \
    && end_next_high < end_curve_high

# Labels beside the right end, in the order of the bands' upper edges so that no lines cross.
gap = (top - bottom) * 0.085
x_text = high + 0.02 * (high - low)
array edge[3] = [end_bench_high, end_next_high, end_curve_high]
array ink[3] = [0x555555, 0x007A57, 0x0072B2]
bench_words = "dotted, light: the truth,\nor another bench (95 %)"
next_words = "dashed: one more\nwindow of this test (95 %)"
curve_words = "dark: where the curve\nlies (95 %)"
words_of(k) = k == 1 ? bench_words : k == 2 ? next_words : curve_words
array order[3] = [1, inner ? 3 : 2, inner ? 2 : 3]
known_edge = edge[1] == edge[1] ? edge[1] : edge[3] == edge[3] ? edge[3] : end_y
place = known_edge + 1.2 * gap
room_top = top - 0.02 * (top - bottom)
place = place > room_top ? room_top : place
place = place - 3.6 * gap < bottom ? bottom + 3.6 * gap : place
do for [j=1:3] {
    k = order[j]
    words = words_of(k)
    if (have_bands && edge[k] == edge[k]) {
        set label 10 + k words at x_text,place left offset 0.4,0 font 'sans-serif,12' \
            tc rgb ink[k] noenhanced
        set arrow 10 + k from x_end,edge[k] to x_text,place nohead lw 0.8 lc rgb ink[k]
    }
    place = place - 1.5 * gap
}
set label 14 formula at graph 0.03,0.05 left front font 'sans-serif,14' tc rgb '#0072B2' noenhanced

# Groups differ by shape and by colour, so that neither a grey printer nor an eye that sees few colours
# takes one for another.
array shape[8] = [7, 5, 9, 13, 6, 4, 8, 12]
array tint[8] = ['#B85300', '#0072B2', '#007A57', '#A8497F', '#8A3C00', '#005A8C', '#00523B', '#7A3D61']
do for [k=1:8] {
    if (exists(sprintf('tint_%d', k - 1))) { tint[k] = value(sprintf('tint_%d', k - 1)) }
}
array mark[8] = ['●', '■', '▲', '◆', '○', '□', '△', '◇']
drawn_as(v) = v >= groups ? groups : v + 1
of_group(k) = is('point') && (groups == 0 || drawn_as(column(16)) == k) ? column(2) : NaN
kinds = groups > 0 ? groups : 1
group_word(k) = value(sprintf('group_%d', k - 1))

# What the marks mean, at the top right, outside of the drawing.
row = 0.915
if (n_point > 0) {
    set label 21 sprintf('%s%d point%s, cross = 95 %%', groups > 0 ? '' : '● ', n_point, n_point == 1 ? '' : 's') \
        at screen 0.985,row right font 'sans-serif,12' tc rgb '#B04A00' noenhanced
    row = row - 0.032
}
if (n_out > 0) {
    set label 22 sprintf('× %d left out, with its name', n_out) at screen 0.985,row right \
        font 'sans-serif,12' tc rgb '#333333' noenhanced
}

do for [k=1:groups] {
    set label 30 + k mark[k].' '.group_word(k) at graph 0.99,0.97 - 0.042 * (k - 1) right front \
        font 'sans-serif,12' tc rgb tint[k] noenhanced
}

# A left-out point's name stands off the curve: over a point that lies over it, under one below, on
# the side to which a falling curve leaves room (0 left, 1 right), except near the edge. The text
# itself must be a bare column: gnuplot 5.4 cuts strcol() of a quoted field at its first comma.
chord(x) = n_curve > 1 && x_end > curve_begin ? \
    begin_y + (end_y - begin_y) * (x - curve_begin) / (x_end - curve_begin) : top
is_over(u) = column(3) > chord(column(2))
share(u) = (column(2) - low) / (high - low)
to_right(u) = is_over(0) ? share(0) < 0.75 : share(0) < 0.25
named(over, right) = is('left out') && is_over(0) == over && to_right(0) == right ? column(2) : NaN
plot \
    for [i=1:n_curve>0] data skip 1 using (curve_x(0)):(at('curve', 12)):(at('curve', 13)) \
        with filledcurves lc rgb '#E6EDF2' notitle, \
    for [i=1:n_curve>0] data skip 1 using (curve_x(0)):(at('curve', 8)):(at('curve', 9)) \
        with filledcurves lc rgb '#9CC6E6' notitle, \
    for [i=1:n_curve>0] data skip 1 using (curve_x(0)):(at('curve', 12)) \
        with lines lw 1.4 dt 3 lc rgb '#555555' notitle, \
    for [i=1:n_curve>0] data skip 1 using (curve_x(0)):(at('curve', 13)) \
        with lines lw 1.4 dt 3 lc rgb '#555555' notitle, \
    for [i=1:n_curve>0] data skip 1 using (curve_x(0)):(at('curve', 10)) \
        with lines lw 1.6 dt 2 lc rgb '#007A57' notitle, \
    for [i=1:n_curve>0] data skip 1 using (curve_x(0)):(at('curve', 11)) \
        with lines lw 1.6 dt 2 lc rgb '#007A57' notitle, \
    for [i=1:n_curve>0] data skip 1 using (curve_x(0)):(at('curve', 3)) \
        with lines lw 2.5 lc rgb '#0072B2' notitle, \
    for [k=1:(n_point>0 ? kinds : 0)] data skip 1 using (of_group(k)):3:4:5:6:7 \
        with xyerrorbars pt 7 ps 0.01 lw 1 lc rgb tint[k] notitle, \
    for [k=1:(n_point>0 ? kinds : 0)] data skip 1 using (of_group(k)):3 \
        with points pt shape[k] ps (groups > 0 ? 0.9 : 0.7) lc rgb tint[k] notitle, \
    for [i=1:n_out>0] data skip 1 using (out_x(0)):3:4:5:6:7 with xyerrorbars pt 2 ps 0.01 lw 0.8 \
        lc rgb '#777777' notitle, \
    for [i=1:n_out>0] data skip 1 using (out_x(0)):3 \
        with points pt 2 ps 1.1 lw 1.6 lc rgb '#333333' notitle, \
    for [i=1:n_out>0] data skip 1 using (named(0, 0)):3:14 with labels right \
        offset -0.9,-0.7 font 'sans-serif,11' tc rgb '#333333' noenhanced notitle, \
    for [i=1:n_out>0] data skip 1 using (named(0, 1)):3:14 with labels left \
        offset 0.9,-0.7 font 'sans-serif,11' tc rgb '#333333' noenhanced notitle, \
    for [i=1:n_out>0] data skip 1 using (named(1, 0)):3:14 with labels right \
        offset -0.9,0.7 font 'sans-serif,11' tc rgb '#333333' noenhanced notitle, \
    for [i=1:n_out>0] data skip 1 using (named(1, 1)):3:14 with labels left \
        offset 0.9,0.7 font 'sans-serif,11' tc rgb '#333333' noenhanced notitle, \
    for [i=1:int(name_points > 0 && n_point > 0)] data skip 1 using (point_x(0)):3:14 \
        with labels left offset 0.8,0.6 font 'sans-serif,11' tc rgb '#8A3C00' noenhanced notitle
