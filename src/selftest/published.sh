#!/bin/sh
# Turns published data sets into C:
#   sh src/selftest/published.sh testdata/published/A.csv ... > published.c
set -e
LC_ALL=C
export LC_ALL
echo '/* Made by src/selftest/published.sh from testdata/published; do not edit. */'
echo '#include "selftest/published.h"'
for file in "$@"; do
    name=$(basename "$file" .csv | tr - _)
    echo "static const unsigned char bytes_$name[] = {"
    od -An -v -tu1 "$file" | sed 's/  */,/g; s/^,/    /; s/$/,/'
    echo '};'
done
echo 'static const struct published_file all[] = {'
for file in "$@"; do
    name=$(basename "$file" .csv)
    echo "    {\"$name\", bytes_$(echo "$name" | tr - _), sizeof bytes_$(echo "$name" | tr - _)},"
done
echo '};'
echo 'const struct published_file *published_files(size_t *n)'
echo '{'
echo '    *n = sizeof all / sizeof all[0];'
echo '    return all;'
echo '}'
