#!/bin/sh
# Speed and memory of `etabench reduce` on long generated logs, on one processor core: a row a second,
# 8 columns, 100,000 and 10,000,000 rows. Called by `make bench`; the logs (0.6 GB) are kept in
# build/bench and made once. RACE=1 also runs the same reduction with pandas, data.table and mawk, checks
# that all find the same windows and coefficients, and prints the ratios of times.
#
# The times are those of the processor (user and system), so that other work on the machine disturbs
# less. Exit status 1 if memory is over its limit or grows with the rows, if the time grows faster than
# the rows, or if results of the race disagree.
set -eu
export LC_ALL=C OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
: "${ETABENCH:?}" "${BUILD:?}"
here=$(cd "$(dirname "$0")" && pwd)
small=100000
large=10000000
limit_kib=16384
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
    if ! taskset -c 0 ./measure "$name.took" "$@" >"$name.out" 2>"$name.err"; then
        echo "bench: this failed: $*" >&2
        cat "$name.err" >&2
        exit 1
    fi
}

took() { cut -d' ' -f1 "$1.took"; }
peak() { cut -d' ' -f3 "$1.took"; }
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
    bytes=$(wc -c <"$2.csv")
    line "$1" "$3" "$(windows_of "$2.results")" "$(took "$2")" \
        "$(calc %.0f "$bytes / 1e6 / $(took "$2")")" "$(peak "$2")"
}

make_log $small 99999 small
make_log $large 99999 large
make_log $large 1 quiet
cat large.csv >/dev/null # into the machine's memory: the disk is not what is measured

line 'etabench reduce' rows windows s MB/s 'peak KiB'
reduced 'without plots' small $small --no-plots
reduced 'without plots' large $large --no-plots
large_s=$(took large)
large_kib=$(peak large)
reduced 'without plots, windows on 1 day' quiet $large --no-plots
reduced 'with plots (gnuplot counts)' large $large
measured lines wc -l large.csv
lines_s=$(took lines)
hash_s=$(taskset -c 0 ./hash_file large.csv | cut -d' ' -f1)
echo
echo "hashing (SHA-256) takes $hash_s s of the $large_s s ($(calc %.0f "100 * $hash_s / $large_s") %)"
echo "wc -l takes $lines_s s: $(calc %.1f "$large_s / $lines_s") times that, without hashing" \
    "$(calc %.1f "($large_s - $hash_s) / $lines_s")"
echo "memory for one window: $(calc %.2f \
    "($large_kib - $(peak quiet)) / ($(windows_of large.results) - $(windows_of quiet.results))") KiB"
echo
small_s=$(took small)
expect "100 times the rows take $(calc %.0f "$large_s / $small_s") times as long (at most 110)" \
    "$large_s / $small_s <= 110"
expect "peak memory with $large rows and windows on every day: $large_kib KiB (at most $limit_kib)" \
    "$large_kib <= $limit_kib"
expect "the same number of windows in 100 times the rows: $(peak small) KiB, then $(peak quiet) KiB" \
    "$(peak quiet) - $(peak small) <= 1024"
[ -z "${RACE-}" ] || . "$here/race/run.sh"
exit $failed
