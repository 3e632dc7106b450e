#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The functions that the public headers declare, as the linker wants to know them.
#   exports.sh names COMPILER HEADER...   one name a line
#   exports.sh map   COMPILER HEADER...   a version script: these are seen, all else is hidden
# COMPILER: with the options that find the headers.
set -eu
form=$1 compiler=$2
shift 2

# Comments and macros are gone after the preprocessor; an inline function is no symbol.
names=$(for header; do printf '#include "%s"\n' "${header#include/}"; done |
    $compiler -E -P -x c - | sed '/static inline/d' | grep -o '\bsm_[a-z0-9_]* *(' |
    tr -d '( ' | LC_ALL=C sort -u)
[ -n "$names" ] || { echo 'exports: no public function found' >&2; exit 1; }

case $form in
names) echo "$names" ;;
map)
    echo 'SWAPMARGIN_0 {'
    echo 'global:'
    for name in $names; do echo "    $name;"; done
    echo 'local: *;'
    echo '};'
    ;;
*) exit 2 ;;
esac
