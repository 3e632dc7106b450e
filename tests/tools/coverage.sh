#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Totals of an lcov file, and a fault when they are below what is asked for.
# Use: coverage.sh FILE.info LINES_PERCENT BRANCHES_PERCENT
set -eu

lcov --rc lcov_branch_coverage=1 --summary "$1" 2>/dev/null | awk -v lines="$2" -v branches="$3" '
function tell(name, hit, found, least) {
    printf "%-9s %6d of %6d reached: %.2f %% (at least %s %%)\n", name, hit, found,
        100 * hit / found, least
    seen++
    if (100 * hit / found < least) low = 1
}
{ gsub(/[()]/, "") }
$1 ~ /^lines/ && $5 > 0 { tell("lines", $3, $5, lines) }
$1 ~ /^branches/ && $5 > 0 { tell("branches", $3, $5, branches) }
END {
    if (seen != 2) { print "nothing was measured" > "/dev/stderr"; exit 1 }
    if (low) { print "fewer are reached than before" > "/dev/stderr"; exit 1 }
}'
