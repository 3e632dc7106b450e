#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Each layer includes only the layers it may know, and the public headers; the engine's layers do
# not include <stdio.h>.  Use: check-layers.sh SOURCE_FOLDER
set -eu

find "$1" -name '*.[ch]' | sort | xargs awk '
function allow(layer, list,    part, n, i) {
    n = split(list " " layer, part, " ")
    for (i = 1; i <= n; i++) may[layer, part[i]] = 1
    known[layer] = 1
}
BEGIN {
    allow("base", "")
    allow("quantity", "base")
    allow("device", "base quantity")
    allow("load", "base quantity device")
    allow("thermal", "base quantity")                      # heat knows no electricity
    allow("solve", "base quantity device load thermal")
    allow("assess", "base quantity device load thermal solve")
    allow("engine.c", "base quantity device load thermal solve assess")
    allow("explain", "base quantity device load thermal solve assess")   # knows case and result, no files
    allow("sweep", "base quantity thermal")                # many runs of the engine
    allow("joint", "base device load thermal solve")       # the layer under the module
    allow("loadrun", "base load thermal solve")                    # what to read beside the drive
    allow("input", "base quantity")                        # reading computes nothing
    allow("report", "base quantity")                       # writing computes nothing
    allow("cmd", "base quantity input report")             # no formulas
    split("device load thermal solve assess engine.c sweep explain joint loadrun", list, " ")
    for (i in list) engine[list[i]] = 1
}
FNR == 1 {
    path = FILENAME
    sub(/^.*src\//, "", path)
    layer = path
    sub(/\/.*/, "", layer)
    if (!(layer in known)) tell("belongs to no layer")
}
function tell(text) { print FILENAME ":" FNR ": " text > "/dev/stderr"; bad = 1 }
/^[ \t]*#[ \t]*include[ \t]*</ {
    if (layer in engine && /<stdio\.h>/) tell("the engine does no input or output")
}
/^[ \t]*#[ \t]*include[ \t]*"/ {
    split($0, quoted, "\"")
    target = quoted[2]
    if (target ~ /^swapmargin\// || target ~ /\.def$/) next
    if (target !~ /\//) { tell("includes are written with the layer: " target); next }
    sub(/\/.*/, "", target)
    if (!((layer, target) in may)) tell(layer " may not include " target)
}
END { exit bad }'
