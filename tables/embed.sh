#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Writes the files named on the command line as C arrays, NUL-terminated: tables/compounds.ini
# becomes `const char sm_embedded_compounds[]`, page.css `const char sm_embedded_page_css[]`.
# Needs only a POSIX shell, od and awk.
set -eu

echo '/* Made by tables/embed.sh; do not edit. */'
for table in "$@"; do
    name=$(basename "$table" .ini | tr . _)
    printf 'extern const char sm_embedded_%s[];\n' "$name"
    printf 'const char sm_embedded_%s[] = {\n' "$name"
    # Octal escapes inside character constants: right whether char is signed or not.
    od -An -v -to1 "$table" | awk '{
        line = "   "
        for (i = 1; i <= NF; i++) line = line " '"'"'\\" $i "'"'"',"
        print line
    }'
    printf "    '\\\\0',\n};\n"
done
