#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Each source, script and table names its licence within its first three lines.
set -eu

bad=0
for file in $(find include src tests tables -name __pycache__ -prune -o \
    -type f \( -name '*.[ch]' -o -name '*.def' -o -name '*.sh' -o -name '*.py' \) -print |
    sort) Makefile tables/*.ini .ci/run; do
    head -n 3 "$file" | grep -q 'SPDX-License-Identifier: GPL-3.0-or-later' || {
        echo "$file: no SPDX line" >&2
        bad=1
    }
done
exit $bad
