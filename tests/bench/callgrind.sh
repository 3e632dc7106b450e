#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Instructions of one sm_run() and where they go, counted by valgrind: the same on a busy machine.
#   callgrind.sh SPEED DRIVE MODULE
# The first call is left out: it pages memory in and binds library functions.
set -eu
speed=$1 drive=$2 module=$3
more=20
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
for calls in 1 $((more + 1)); do
    valgrind --tool=callgrind --toggle-collect=sm_run --callgrind-out-file="$folder/$calls" \
        "$speed" run $calls "$drive" "$module" 2>"$folder/log" || { cat "$folder/log" >&2; exit 1; }
    callgrind_annotate --threshold=100 --show-percs=no --auto=no "$folder/$calls" >"$folder/$calls.txt"
done
awk -v more=$more '
    function number(text) { gsub(",", "", text); return text + 0 }
    # "  1,234  path/file.c:function [object]", after the second line of dashes
    /^ *[0-9,]+ +[^ ]+:[^ ]/ {
        split($2, part, ":")
        file = part[1]; what = part[2]
        sub(/^.*\//, "", file)
        if (file == "???") { file = $0; sub(/^.*\[/, "", file); sub(/\].*$/, "", file); sub(/^.*\//, "", file) }
        count = number($1) * (FNR == NR ? -1 : 1)
        total += count; by_file[file] += count; by_function[file ":" what] += count
    }
    END {
        printf "\nOne sm_run(): %d instructions\n\n", total / more
        list = "sort -k1,1nr | head -n 40"
        for (name in by_function)
            if (by_function[name] > 0.005 * total)
                printf "  %9d  %5.1f %%  %s\n", by_function[name] / more, 100 * by_function[name] / total, name | list
        close(list)
        print "\nby file"
        for (name in by_file)
            if (by_file[name] > 0.01 * total)
                printf "  %9d  %5.1f %%  %s\n", by_file[name] / more, 100 * by_file[name] / total, name | list
        close(list)
    }' "$folder/1.txt" "$folder/$((more + 1)).txt"
