#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Writes the beginning of the example's sheet into README.md, between ```sheet and ```: up to the
# second frequency's bars.  Use: readme_sheet.sh PROGRAM README
set -eu

sheet=$(mktemp)
trap 'rm -f "$sheet" "$sheet.new"' EXIT
LC_ALL=C "$1" check examples/drive.ini examples/module-good.ini |
    awk '/^  60 Hz, IGBT/ { exit } { line[++n] = $0 }
         END { while (n > 0 && line[n] == "") n--; for (i = 1; i <= n; i++) print line[i] }' >"$sheet"
awk -v sheet="$sheet" '
    /^```$/ { inside = 0 }
    !inside { print }
    /^```sheet$/ { inside = 1; while ((getline line < sheet) > 0) print line }' "$2" >"$sheet.new"
cat "$sheet.new" >"$2"
