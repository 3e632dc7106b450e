#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Tries the program with failing memory, failing calls, kills and files without end.  Each kind of
# trial is proven first on a program that takes no care: where that passes, the net has a hole.
# Use: faults.sh FOLDER PROGRAM EXAMPLES TABLES JOBS [--all] [PART]
set -eu

absolute() { (cd "$(dirname "$1")" && printf '%s/%s\n' "$(pwd)" "$(basename "$1")"); }
folder=$(absolute "$1") program=$(absolute "$2") examples=$(absolute "$3") tables=$(absolute "$4")
jobs=$5
shift 5

for part in hostile calls kills memory; do
    status=0
    "$folder/faults" "$folder/careless" "$folder/inject.so" "$examples" "$tables" "$jobs" $part \
        >"$folder/careless-$part" 2>&1 || status=$?
    if [ $status != 1 ]; then
        tail -n 5 "$folder/careless-$part" >&2
        echo "faults: $part: a program without any care was not caught: the net has a hole" >&2
        exit 1
    fi
done
exec "$folder/faults" "$program" "$folder/inject.so" "$examples" "$tables" "$jobs" "$@"
