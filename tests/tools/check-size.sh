#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The house's limits: a function's body has at most 60 lines and 6 parameters (aim at 15 and 5), a
# file 400 lines, a line 100 columns.  Use: check-size.sh FILE...
#
# A body is what stands between a brace alone at a line's start and the next closing one there;
# the parameters are counted in the lines before it.
set -eu

LC_ALL=C awk -v body_max=60 -v file_max=400 -v line_max=100 -v parameter_max=6 '
function tell(line, text) { print FILENAME ":" line ": " text > "/dev/stderr"; bad = 1 }
# Columns, not bytes: the later bytes of a UTF-8 character are not counted.
function columns(text) { gsub(/[\200-\277]/, "", text); return length(text) }
function parameters(head,    depth, i, c, n) {
    n = 1
    for (i = index(head, "("); i <= length(head); i++) {
        c = substr(head, i, 1)
        if (c == "(") depth++
        else if (c == ")") { if (--depth == 0) break }
        else if (c == "," && depth == 1) n++
    }
    return n
}
FNR == 1 { if (file) size(); file = FILENAME; head = "" }
function size() { if (last > file_max) { print file ": " last " lines; at most " file_max > "/dev/stderr"; bad = 1 } }
{ last = FNR }
columns($0) > line_max { tell(FNR, columns($0) " columns; at most " line_max) }
/^[A-Za-z_].*\(/ && !/;[ \t]*$/ { head = $0; next }
head != "" && /^[ \t]/ { head = head " " $0 }
/^\{/ {
    start = FNR
    # A Criterion test and a macro are not functions with parameters of ours.
    if (head ~ /^[a-z]/ && parameters(head) > parameter_max)
        tell(FNR, parameters(head) " parameters; at most " parameter_max)
}
/^\}/ {
    if (start && FNR - start - 1 > body_max)
        tell(start, "a body of " FNR - start - 1 " lines; at most " body_max)
    start = 0
    head = ""
}
/;[ \t]*$/ && !start { head = "" }
END { if (file) size(); exit bad }' "$@"
