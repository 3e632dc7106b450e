#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Runs the tests and the examples of a sanitized build.
# Use: sanitize.sh LOG_FOLDER TESTS PROGRAM NET...
#
# A test that only leaks is reported and still counted as passed, so the exit status is not enough:
# what the address sanitizer finds is also written to a log file, and any log file is a failure.
# Undefined arithmetic aborts the program (134, never a status of ours).  NETs are programs with
# one deliberate fault each; each must fail or leave a log file, or the net has a hole.
set -eu

logs=$1 tests=$2 program=$3
shift 3

rm -rf "$logs"
mkdir -p "$logs/net" "$logs/tests" "$logs/examples"
settings() {
    # exitcode=0: a leak ends no program, its log file tells; errors still abort.
    # intercept_tls_get_addr=0: clang 14's leak check takes a thread's variables that happen to
    # stand 16 bytes into a page for another kind, reads an address beside them and dies of it
    export ASAN_OPTIONS="abort_on_error=1:detect_leaks=1:exitcode=0:intercept_tls_get_addr=0"
    ASAN_OPTIONS="$ASAN_OPTIONS:log_path=$1/asan"
    export UBSAN_OPTIONS="abort_on_error=1:print_stacktrace=1:log_path=$1/ubsan"
}
found() { [ -n "$(ls -A "$1")" ]; }

# The test library's own process may leak a few bytes of the library's: a log that tells of leaks
# only, with no frame of a source of ours in any, is put aside.
put_aside() { # folder
    for log in "$1"/*; do
        [ -f "$log" ] || continue
        if grep -q 'LeakSanitizer: detected memory leaks' "$log" &&
            ! grep -q 'ERROR: AddressSanitizer' "$log" &&
            ! grep -v '__interceptor_' "$log" | grep -Eq '\.[ch]:[0-9]+|/tests/all\+0x'; then
            echo "sanitize: put aside $log: leaks of a library, none of ours" >&2
            rm "$log"
        fi
    done
}

for net in "$@"; do
    folder=$logs/net/$(basename "$net")
    mkdir -p "$folder"
    settings "$folder"
    if "$net" >/dev/null 2>&1 && ! found "$folder"; then
        echo "sanitize: $net was not caught: the net has a hole" >&2
        exit 1
    fi
done

settings "$logs/examples"
# with the part that is replaced beside them, and a data sheet full of slips
for module in examples/module*.ini tests/slips/module.ini; do
    status=0
    "$program" check examples/drive.ini "$module" --original examples/module-original.ini \
        >/dev/null 2>"$logs/slips" || status=$?
    [ "$status" -le 1 ] || { echo "sanitize: --original $module: $status" >&2; exit 1; }
done
for drive in examples/drive*.ini; do
    for module in examples/module*.ini; do
        for format in text json; do
            status=0
            "$program" check "$drive" "$module" --format "$format" >/dev/null || status=$?
            [ "$status" -le 1 ] || { echo "sanitize: check $drive $module: $status" >&2; exit 1; }
        done
    done
done

settings "$logs/tests"
status=0
"$tests" || status=$?
put_aside "$logs/tests"
for folder in "$logs/examples" "$logs/tests"; do
    if found "$folder"; then
        cat "$folder"/* >&2
        echo "sanitize: findings in $folder" >&2
        exit 1
    fi
done
exit $status
