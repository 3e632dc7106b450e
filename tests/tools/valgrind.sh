#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Runs the program on the examples, and all tests, under valgrind.
# Use: valgrind.sh LOG_FOLDER TESTS PROGRAM NET...
#
# The runner forks a child for each test and hides its exit status, so each child writes a log and
# the logs are searched.  The NETs must be caught, or the search has a hole.
set -eu

logs=$1 tests=$2 program=$3
shift 3
rm -rf "$logs"
mkdir -p "$logs/net" "$logs/all"

watch() {
    folder=$1
    shift
    valgrind --quiet --leak-check=full --errors-for-leak-kinds=definite,indirect \
        --trace-children=yes --trace-children-skip='*/python3*,*/ngspice*,*/sh,*/dash,*/bash' \
        --log-file="$folder/vg.%p" "$@"
}
# --quiet leaves a log empty when there is nothing to tell
found() { [ -n "$(find "$1" -type f -size +0)" ]; }

watch "$logs/net" "$1" >/dev/null 2>&1 || true
found "$logs/net" || { echo "valgrind: $1 was not caught: the net has a hole" >&2; exit 1; }

for module in examples/module*.ini; do
    status=0
    watch "$logs/all" "$program" check examples/drive.ini "$module" >/dev/null || status=$?
    [ "$status" -le 1 ] || { echo "valgrind: check $module: $status" >&2; exit 1; }
done
watch "$logs/all" "$tests" --timeout 600
if found "$logs/all"; then
    find "$logs/all" -type f -size +0 -exec cat {} + >&2
    echo "valgrind: findings in $logs/all" >&2
    exit 1
fi
