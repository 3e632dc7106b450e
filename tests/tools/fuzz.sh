#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Lets the fuzzer loose on each target for some seconds, from the corpus that is kept and from the
# files that the tests and examples hold anyway.  What it learns stays in FOLDER/corpus; what breaks
# a promise is left in FOLDER/found, and is a failure.
# Use: fuzz.sh SECONDS JOBS FOLDER TARGET...
#      fuzz.sh one SECONDS FOLDER TARGET, for one of them
#      FUZZFLAGS goes to the fuzzer: -seed=1 draws alike each time
set -eu

# as in sanitize.sh: the leak check at the end
export ASAN_OPTIONS="intercept_tls_get_addr=0"

one() { # seconds, folder, target
    name=$(basename "$3")
    learnt=$2/corpus/$name found=$2/found/$name
    mkdir -p "$learnt" "$found"
    case $name in
    drive | module | joint | tables) seeds='tests/bad examples tables' longest=8192 ;;
    quantity) seeds='' longest=96 ;;
    *) seeds='' longest=1024 ;;
    esac
    # shellcheck disable=SC2086 # the lists are meant to be split
    if "$3" -max_total_time="$1" -timeout=20 -rss_limit_mb=2048 -dict="$2/words.dict" \
        -max_len=$longest ${FUZZFLAGS:-} -print_final_stats=1 -artifact_prefix="$found/" \
        "$learnt" "tests/fuzz/corpus/$name" $seeds >"$2/$name.log" 2>&1; then
        awk -v name="$name" '/number_of_executed_units/ { runs = $2 }
            END { printf "fuzz: %-9s %10d runs\n", name, runs }' "$2/$name.log"
    else
        tail -n 40 "$2/$name.log" >&2
        echo "fuzz: $name broke a promise; see $found" >&2
        return 1
    fi
}

if [ "$1" = one ]; then
    shift
    one "$@"
    exit
fi

seconds=$1 jobs=$2 folder=$3
shift 3

# words of the tables: keys, sections, units, options
grep -oh '"[^"\\]*"' tables/swapmargin/keys_*.def tables/swapmargin/units.def \
    tables/swapmargin/log_columns.def tables/swapmargin/options.def \
    tables/swapmargin/commands.def tables/swapmargin/formats.def |
    awk 'length($0) > 2 && length($0) < 26' | LC_ALL=C sort -u >"$folder/words.dict"

printf '%s\n' "$@" | xargs -P "$jobs" -n 1 sh "$0" one "$seconds" "$folder"
