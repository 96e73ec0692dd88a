#!/bin/sh
# Turns gnuplot templates into C: sh plots/templates.sh plots/*.gp > templates.c
set -e
LC_ALL=C
export LC_ALL
echo '/* Made by plots/templates.sh from the templates; do not edit. */'
echo '#include "plots/templates.h"'
for file in "$@"; do
    name=$(basename "$file" .gp)
    echo "static const unsigned char bytes_$name[] = {"
    od -An -v -tu1 "$file" | sed 's/  */,/g; s/^,/    /; s/$/,/'
    echo '};'
done
echo 'static const struct plot_template all[] = {'
for file in "$@"; do
    name=$(basename "$file" .gp)
    echo "    {\"$name\", bytes_$name, sizeof bytes_$name},"
done
echo '};'
echo 'const struct plot_template *plot_templates(size_t *n)'
echo '{'
echo '    *n = sizeof all / sizeof all[0];'
echo '    return all;'
echo '}'
