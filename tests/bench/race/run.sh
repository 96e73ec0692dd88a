# Part of tests/bench/run.sh: the same reduction by other means. What is not installed is said and left
# out. Needed packages: python3-pandas, r-cran-data.table, mawk. Only etabench hashes its input and judges
# errors: ratios are given without the hashing and with it, and with all the judging. All are on one core,
# but for the ratio by the clock, where etabench without hashing has two threads.

# agrees NAME: windows to the second, coefficients to 1 part in 100,000
agrees() {
    grep -v '^line' "$1.out" >"$1.windows" || :
    if ! cmp -s line.windows "$1.windows"; then
        echo "       $1: other windows than etabench"
        return 1
    fi
    awk -v eta0="$(coefficient eta0)" -v a1="$(coefficient a1)" '
        function far(a, b) { return a / b - 1 > 1e-5 || b / a - 1 > 1e-5 }
        /^line/ { n++; bad = far($2, eta0) || far($3, a1); print "       " FILENAME ": " $0 }
        END { exit n != 1 || bad }' "$1.out"
}

coefficient() { awk -F, -v name="$1" '$1 == name { print $4 }' line.results/curve_plain.csv; }

# contestant NAME COMMAND...
contestant() {
    name=$1
    shift
    measured "$name" "$@" race.csv
    line "$name" $large "$(grep -vc '^line' "$name.out")" "$(took "$name")" \
        "$(calc %.0f "$bytes / 1e6 / $(took "$name")")" "$(peak "$name")"
    echo "       $(calc %.1f "$(took "$name") / $bare_s") times etabench without hashing," \
        "$(calc %.1f "$(took "$name") / $(took line)") times with it;" \
        "$(calc %.1f "$(passed "$name") / $two_s") times by the clock if etabench has two threads"
    if ! agrees "$name"; then
        echo "FAILED $name: results differ"
        failed=1
    fi
}

echo
cp "$here/race/water.csv" water.csv
{ cat race.txt && printf 'form = line\n\n[fluid]\ntable = water.csv\n'; } >line.txt
measured line "$ETABENCH" reduce --no-plots line.txt -o line.results
measured bare ./unhashed reduce --no-plots line.txt -o bare.results
bare_s=$(took bare)
rm -f two.took
for run in $(seq "$runs"); do
    ./measure two.took ./unhashed reduce --no-plots --threads 2 line.txt -o two.results >/dev/null
done
two_s=$(passed two)
cut -d, -f1 line.results/windows.csv | tail -n +2 >line.windows
line 'the same reduction' rows windows s MB/s 'peak KiB'
line 'etabench' $large "$(windows_of line.results)" "$(took line)" \
    "$(calc %.0f "$bytes / 1e6 / $(took line)")" "$(peak line)"
echo "       plain least squares: $(coefficient eta0) $(coefficient a1); hashing: $hash_s s," \
    "without it $bare_s s; by the clock with two threads $two_s s ($(nproc --all) cores)"
if /usr/bin/python3 -c 'import pandas' 2>/dev/null; then
    contestant pandas /usr/bin/python3 "$here/race/reduce_pandas.py"
    expect 'pandas takes at least 10 times as long, without hashing' "$(took pandas) >= 10 * $bare_s"
else
    echo 'pandas: not installed (python3-pandas)'
fi
if Rscript -e 'library(data.table)' >/dev/null 2>&1; then
    contestant data.table Rscript "$here/race/reduce.R"
else
    echo 'data.table: not installed (r-cran-data.table)'
fi
if command -v mawk >/dev/null; then
    contestant mawk mawk -f "$here/race/reduce.awk"
    expect 'mawk takes at least 7 times as long, without hashing' "$(took mawk) >= 7 * $bare_s"
else
    echo 'mawk: not installed'
fi
