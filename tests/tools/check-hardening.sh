#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# What the hardening flags promise is there in what was built.
#   check-hardening.sh COMPILER PROGRAM SHARED_LIBRARY OBJECT
set -eu
compiler=$1 program=$2 library=$3 object=$4
bad=0

want() { # file, what it is, pattern, readelf options
    file=$1 what=$2 pattern=$3
    shift 3
    if readelf -W "$@" "$file" | grep -Eq "$pattern"; then
        echo "ok  $file: $what"
    else
        echo "$file: no $what" >&2
        bad=1
    fi
}

want "$program" 'code at a random address (PIE)' 'FLAGS_1.*PIE' --dynamic
for file in "$program" "$library"; do
    want "$file" 'tables read-only after the start (relro)' 'GNU_RELRO' --program-headers
    want "$file" 'all names bound at the start (now)' 'FLAGS.*NOW' --dynamic
    want "$file" 'stack without code' 'GNU_STACK .* RW ' --program-headers
    want "$file" 'canaries on the stack' '__stack_chk_fail' --dyn-syms
    want "$file" 'calls with checked sizes (fortify)' '__vsnprintf_chk' --dyn-syms
done
# The C library's own start files may lack the marks, so that the whole program does not show them.
if $compiler -Werror -fcf-protection -S -x c -o /dev/null /dev/null 2>/dev/null; then
    want "$object" 'marks where jumps may land' 'IBT' --notes
fi
exit $bad
