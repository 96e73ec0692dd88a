#!/bin/sh
# Speed and memory of `etabench reduce` on long generated logs: a row a second, 8 columns, 100,000 and
# 10,000,000 rows. Called by `make bench`; the logs (0.6 GB each) are kept in build/bench and made once.
# RACE=1 also runs the same reduction with pandas, data.table and mawk, checks that all find the same
# windows and coefficients, and prints the ratios of times.
#
#   small, large   windows on every day
#   site           1,000,000 rows, windows on every day, with and without a [site]: the sun's place and
#                  the angle of every row, the check of the clock, the path of the sun
#   quiet          windows on the first day only: what reading alone takes
#   race           windows on the first 10 days, 26 a day: a test of ten sunny days in the log of a bench
#                  that logs all the year. The statistics of thousands of points, which only etabench
#                  does in full, would say nothing of the reading; a log without any is nobody's.
#
# What hashing takes is left out by a program built without it (unhashed.c).
#
# The times are those of the processor (user and system), so that other work on the machine disturbs
# less, on one core, and the least of RUNS runs (3 unless stated). What threads gain is told by the clock.
# Exit status 1 if memory is over its limit or grows with the rows, if the time grows faster than the
# rows, or if results of the race disagree.
set -eu
export LC_ALL=C OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
: "${ETABENCH:?}" "${BUILD:?}"
here=$(cd "$(dirname "$0")" && pwd)
small=100000
large=10000000
site=1000000
limit_kib=16384
runs=${RUNS:-3}
cd "$BUILD/bench"
failed=0

# make_logs ROWS STEADY_DAYS NAME
make_log() {
    if [ ! -f "$3.csv" ] || [ ./make_log -nt "$3.csv" ]; then
        ./make_log "$1" "$2" >"$3.csv.part"
        mv "$3.csv.part" "$3.csv"
    fi
    ./make_log --description "$3.csv" >"$3.txt"
}

# measured NAME COMMAND...: runs on one core; the figures go to NAME.took, output to NAME.out
measured() {
    name=$1
    shift
    rm -f "$name.took"
    for run in $(seq "$runs"); do
        if ! taskset -c 0 ./measure "$name.took" "$@" >"$name.out" 2>"$name.err"; then
            echo "bench: this failed: $*" >&2
            cat "$name.err" >&2
            exit 1
        fi
    done
}

took() { sort -n "$1.took" | head -n 1 | cut -d' ' -f1; }
passed() { cut -d' ' -f2 "$1.took" | sort -n | head -n 1; }
peak() { cut -d' ' -f3 "$1.took" | sort -n | tail -n 1; }
calc() { awk "BEGIN { printf \"$1\", $2 }"; }
windows_of() { echo $(($(wc -l <"$1/windows.csv") - 1)); }

# expect WORDS CONDITION (of awk)
expect() {
    word=ok
    if ! awk "BEGIN { exit !($2) }"; then
        word=FAILED
        failed=1
    fi
    printf '%-6s %s\n' "$word" "$1"
}

line() { printf '%-34s %9s %8s %8s %8s %9s\n' "$@"; }

# reduced WORDS NAME ROWS [OPTION]: one run, one line of the table
reduced() {
    measured "$2" "$ETABENCH" reduce ${4-} "$2.txt" -o "$2.results"
    line "$1" "$3" "$(windows_of "$2.results")" "$(took "$2")" \
        "$(calc %.0f "$(wc -c <"$2.csv") / 1e6 / $(took "$2")")" "$(peak "$2")"
}

make_log $small 99999 small
make_log $site 99999 site
for mount in fixed 'two axes' 'one axis'; do
    ./make_log --description site.csv "$mount" >"site-${mount% *}.txt"
done
make_log $large 99999 large
make_log $large 1 quiet
make_log $large 10 race
cat large.csv quiet.csv race.csv >/dev/null # into the machine's memory: the disk is not what is measured

line 'etabench reduce' rows windows s MB/s 'peak KiB'
reduced 'without plots' small $small --no-plots
reduced 'without plots' large $large --no-plots
large_s=$(took large)
large_kib=$(peak large)
reduced 'without plots, windows on 10 days' race $large --no-plots
race_s=$(took race)
reduced 'without plots, windows on 1 day' quiet $large --no-plots
reduced 'with plots (gnuplot counts)' large $large
bytes=$(wc -c <race.csv)
measured lines wc -l race.csv
lines_s=$(took lines)
hash_s=$(for run in $(seq "$runs"); do taskset -c 0 ./hash_file race.csv; done | sort -n | head -n 1 |
    cut -d' ' -f1)
measured bare ./unhashed reduce --no-plots race.txt -o bare.results
bare_s=$(took bare)
reduced 'without plots, no site' site $site --no-plots
site_s=$(took site)
site_windows=$(windows_of site.results)
for mount in fixed two one; do
    ln -f site.csv "site-$mount.csv"
    reduced "the same, site and mount ($mount)" "site-$mount" $site --no-plots
done
echo
echo "windows on 10 days: hashing (SHA-256) takes $hash_s s of the $race_s s;" \
    "without it $bare_s s, $(calc %.2f "$bytes / 1e9 / $bare_s") GB/s"
echo "wc -l takes $lines_s s ($(calc %.1f "$bytes / 1e9 / $lines_s") GB/s):" \
    "$(calc %.1f "$bare_s / $lines_s") times that, with hashing $(calc %.1f "$race_s / $lines_s")"
for n in 1 2 3; do
    rm -f threads.took
    for run in $(seq "$runs"); do
        ./measure threads.took "$ETABENCH" reduce --no-plots --threads $n race.txt -o threads.results \
            >/dev/null
    done
    echo "with --threads $n: $(passed threads) s by the clock, $(took threads) s of processors," \
        "$(peak threads) KiB ($(nproc --all) cores)"
done
echo "memory for one window: $(calc %.2f \
    "($large_kib - $(peak quiet)) / ($(windows_of large.results) - $(windows_of quiet.results))") KiB"
echo
rm -f draws.took
for run in $(seq "$runs"); do taskset -c 0 ./draws 100000 >>draws.took; done
echo "100,000 draws of a test of 40 points: $(took draws) s of one core," \
    "$(cut -d' ' -f2 draws.took | sort -n | head -n 1) s of it in the refits"
echo
small_s=$(took small)
expect "100 times the rows take $(calc %.0f "$large_s / $small_s") times as long (at most 110)" \
    "$large_s / $small_s <= 110"
expect "peak memory with $large rows and windows on every day: $large_kib KiB (at most $limit_kib)" \
    "$large_kib <= $limit_kib"
expect "the same number of windows in 100 times the rows: $(peak small) KiB, then $(peak quiet) KiB" \
    "$(peak quiet) - $(peak small) <= 1024"
for mount in fixed two one; do
    expect "a site costs $(calc %.2f "$(took "site-$mount") / $site_s") times as much (mount: $mount; at most 1.3)" \
        "$(took "site-$mount") / $site_s <= 1.3 && $(windows_of "site-$mount.results") == $site_windows"
done
[ -z "${RACE-}" ] || . "$here/race/run.sh"
exit $failed
