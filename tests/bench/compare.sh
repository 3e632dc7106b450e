#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# 10,000 module files against one drive, from a warm file cache: where the time goes on one
# processor, then the program itself on one and on all.
#   compare.sh PROGRAM SHARES DRIVE PYTHON
set -eu
program=$1 shares=$2 drive=$3 python=$4
count=10000
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
"$python" -B "$(dirname "$0")/../tools/make_modules.py" "$folder/modules" $count
find "$folder/modules" -name '*.ini' -exec cat {} + >/dev/null
"$shares" "$drive" "$folder/modules"
for threads in 1 "$(nproc)"; do
    for format in jsonl csv; do
        "$python" -B - "$program" "$drive" "$folder/modules" $format "$threads" <<'PY'
import os, resource, subprocess, sys, time
program, drive, modules, form, threads = sys.argv[1:]
best = 1e9
for _ in range(3):
    start = time.monotonic()
    subprocess.run([program, "compare", drive, modules, "--format", form], stdout=subprocess.DEVNULL, check=False,
                   env=dict(os.environ, OMP_NUM_THREADS=threads))
    best = min(best, time.monotonic() - start)
peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
print("  compare --format %-5s on %s processor(s): %.2f s, best of three; %.1f MB at the most" % (form, threads, best, peak))
PY
    done
done
