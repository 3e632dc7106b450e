#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The same input gives the same bytes, whatever the compiler, its optimisation and the number of
# threads; and a processor that multiplies and adds in one step, so that last bits differ, gives the
# same text.
#   check-same.sh FOLDER PYTHON PROGRAM FUSED OTHER_PROGRAM...
set -eu
folder=$1 python=$2 program=$3 fused=$4
shift 4
rm -rf "$folder"
mkdir -p "$folder"
here=$(dirname "$0")

expect_same() { # outputs, what they are of
    diff -r "$folder/first" "$1" >"$folder/difference" || {
        head -n 20 "$folder/difference" >&2
        echo "check-same: $2 gives other bytes than $program" >&2
        exit 1
    }
    echo "ok  the same bytes: $2"
}

OMP_NUM_THREADS=1 sh "$here/outputs.sh" "$program" "$folder/first"
for threads in 2 7; do
    OMP_NUM_THREADS=$threads sh "$here/outputs.sh" "$program" "$folder/$threads-threads"
    expect_same "$folder/$threads-threads" "$threads threads"
done
n=0
for other; do
    n=$((n + 1))
    sh "$here/outputs.sh" "$other" "$folder/other-$n"
    expect_same "$folder/other-$n" "$other"
done

if ! grep -qw fma /proc/cpuinfo 2>/dev/null; then
    echo 'check-same: this processor cannot multiply and add in one step: that part is left out' >&2
    exit 0
fi
objdump -d "$fused" | grep -q vfmadd || { echo "check-same: $fused fuses nothing" >&2; exit 1; }
sh "$here/outputs.sh" "$fused" "$folder/fused"
"$python" -B "$here/same_numbers.py" "$folder/first" "$folder/fused" || {
    echo "check-same: those of $fused differ by more than a last digit" >&2
    exit 1
}
echo 'ok  other last bits: the same text, documents to eight digits'
