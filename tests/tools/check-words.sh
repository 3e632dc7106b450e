#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# What the project must not hold: paths of one machine, hosts of package registries, work left
# open, and calls that are banned because a safer one exists.
# (A letter in brackets keeps a pattern from finding itself.)
set -eu

bad=0
forbid() { # reason, pattern, places...
    reason=$1 pattern=$2
    shift 2
    if git grep --untracked -nIE -e "$pattern" -- "$@"; then
        echo "^ $reason" >&2
        bad=1
    fi
}
forbid 'a path of one machine' '(^|[^A-Za-z0-9_.$)}])/([h]ome|[r]oot|[w]ork|[s]rv|[o]pt|[U]sers)/' \
    . ':!LICENSE'
forbid 'a package registry' '[p]ypi\.org|[n]pmjs\.|[c]rates\.io|[p]roxy\.golang|[d]eb\.debian\.org' .
forbid 'how the work is done, not the project' '\b[s]ubagents?\b|\b[t]ranscripts?\b|[t]his session' .
forbid 'work left open' '\b([T]ODO|[F]IXME|[X]XX|[n]ot implemented|[p]laceholder text|[s]tub)\b' \
    src include tables tests/tools
forbid 'a banned call' '(^|[^A-Za-z0-9_])(sprintf|vsprintf|strcpy|strcat|strtok|atof|atoi|gets) ?\(' \
    'src/*.c' 'src/*.h' 'include/*.h' 'tests/*.c'
forbid 'the locale stays "C" for numbers' 'setlocale *\( *(LC_ALL|LC_NUMERIC)' 'src/*.c'
exit $bad
