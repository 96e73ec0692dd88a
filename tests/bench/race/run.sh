# Part of tests/bench/run.sh: the same reduction by other means. What is not installed is said and left
# out. Needed packages: python3-pandas, r-cran-data.table, mawk.

# agrees NAME: windows to the second, coefficients to 1 part in 100,000
agrees() {
    grep -v '^line' "$1.out" >"$1.windows" || :
    if ! cmp -s race.windows "$1.windows"; then
        echo "       $1: other windows than etabench"
        return 1
    fi
    awk -v eta0="$(coefficient eta0)" -v a1="$(coefficient a1)" '
        function far(a, b) { return a / b - 1 > 1e-5 || b / a - 1 > 1e-5 }
        /^line/ { n++; bad = far($2, eta0) || far($3, a1); print "       " FILENAME ": " $0 }
        END { exit n != 1 || bad }' "$1.out"
}

coefficient() { awk -F, -v name="$1" '$1 == name { print $4 }' race.results/curve_plain.csv; }

# contestant NAME COMMAND...
contestant() {
    name=$1
    shift
    measured "$name" "$@" large.csv
    line "$name" $large "$(grep -vc '^line' "$name.out")" "$(took "$name")" \
        "$(calc %.0f "$bytes / 1e6 / $(took "$name")")" "$(peak "$name")"
    echo "       $(calc %.1f "$(took "$name") / $race_s") times etabench without hashing," \
        "$(calc %.1f "$(took "$name") / $(took race)") times with it"
    if ! agrees "$name"; then
        echo "FAILED $name: results differ"
        failed=1
    fi
}

echo
cp "$here/race/water.csv" water.csv
{ cat large.txt && printf 'form = line\n\n[fluid]\ntable = water.csv\n'; } >race.txt
measured race "$ETABENCH" reduce --no-plots race.txt -o race.results
race_s=$(calc %.3f "$(took race) - $hash_s")
cut -d, -f1 race.results/windows.csv | tail -n +2 >race.windows
line 'the same reduction' rows windows s MB/s 'peak KiB'
line 'etabench' $large "$(windows_of race.results)" "$(took race)" \
    "$(calc %.0f "$bytes / 1e6 / $(took race)")" "$(peak race)"
echo "       plain least squares: $(coefficient eta0) $(coefficient a1); hashing: $hash_s s"
if /usr/bin/python3 -c 'import pandas' 2>/dev/null; then
    contestant pandas /usr/bin/python3 "$here/race/reduce_pandas.py"
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
else
    echo 'mawk: not installed'
fi
