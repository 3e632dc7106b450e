#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Installs, uses what was installed as a stranger would, uninstalls.  MAKE and CC stand in the
# environment.   check-install.sh FOLDER SHARED_LIBRARY DRIVE MODULE
set -eu
folder=$1 shared=$2 drive=$3 module=$4
: "${MAKE:=make}" "${CC:=cc}" "${CXX:=g++}"

fail() { echo "check-install: $*" >&2; exit 1; }
tell() { echo "ok  $*"; }

rm -rf "$folder"
mkdir -p "$folder"
here=$(cd "$folder" && pwd)

# --------------------------------------------------- install and uninstall undo each other
$MAKE install DESTDIR="$here/stage dir" PREFIX=/usr LIBDIR=lib/some-triplet
[ -x "$here/stage dir/usr/bin/swapmargin" ] || fail 'no program under DESTDIR PREFIX'
grep -q '^prefix=/usr$' "$here/stage dir/usr/lib/some-triplet/pkgconfig/swapmargin.pc" ||
    fail 'swapmargin.pc does not name the prefix'
! grep -r "$here" "$here/stage dir/usr/lib/some-triplet/pkgconfig" "$here/stage dir/usr/share" ||
    fail 'a path of this machine was installed'
$MAKE uninstall DESTDIR="$here/stage dir" PREFIX=/usr LIBDIR=lib/some-triplet
[ -z "$(find "$here/stage dir" -mindepth 1)" ] ||
    fail "left behind: $(find "$here/stage dir" -mindepth 1)"
tell 'nothing is left in DESTDIR after uninstall'

prefix=$here/prefix
mkdir -p "$prefix/bin" "$prefix/include/swapmargin"
echo mine >"$prefix/include/swapmargin/mine.h"
$MAKE install PREFIX="$prefix"

# ----------------------------------------------------- the library's face and nothing else
names() { nm --dynamic --defined-only "$1" | sed -n 's/^[0-9a-f]* [A-Z] //p' | LC_ALL=C sort; }
# Declarations as the compiler itself lists them, not as exports.sh reads them.
declared() {
    (cd "$prefix/include" && for header in swapmargin/*.h; do
        case $header in */mine.h) ;; *) printf '#include "%s"\n' "$header" ;; esac
    done) >"$here/all.c"
    gcc -std=c11 -fsyntax-only -aux-info "$here/all.txt" "-I$prefix/include" "$here/all.c"
    grep -v ' static ' "$here/all.txt" | grep "$prefix/include/swapmargin/" |
        grep -o '\bsm_[a-z0-9_]* (' | tr -d '( ' | LC_ALL=C sort -u
}
names "$shared" | sed 's/@@SWAPMARGIN_0$//' | grep -vx 'SWAPMARGIN_0' >"$here/exported"
declared >"$here/declared"
diff "$here/declared" "$here/exported" ||
    fail '< declared in a public header, > exported by the shared library'
nm --defined-only --extern-only "$prefix/lib/libswapmargin.a" | sed -n 's/^[0-9a-f]* [A-Z] //p' |
    LC_ALL=C sort >"$here/static"
diff "$here/declared" "$here/static" ||
    fail '< declared in a public header, > defined by the static library'
tell "both libraries define the $(wc -l <"$here/declared") declared functions and no other name"
readelf -d "$shared" | grep -q 'SONAME.*\[libswapmargin\.so\.0\]' || fail 'SONAME'
tell 'SONAME is libswapmargin.so.0'

# ------------------------------------------------------------ headers, where they now are
PKG_CONFIG_PATH=$prefix/lib/pkgconfig
export PKG_CONFIG_PATH
cflags=$(pkg-config --cflags swapmargin)
for header in "$prefix"/include/swapmargin/*.h; do
    case $header in */mine.h) continue ;; esac
    printf '#include <swapmargin/%s>\nextern int header_alone;\n' "$(basename "$header")" >"$here/a.c"
    # shellcheck disable=SC2086 # lists of options are meant to be split
    {
        $CC -std=c11 -Wall -Wextra -Wpedantic -Werror $cflags -fsyntax-only -x c "$here/a.c"
        $CXX -std=c++17 -Wall -Wextra -Wpedantic -Werror $cflags -fsyntax-only -x c++ "$here/a.c"
    }
done
tell 'each installed header compiles alone as C11 and C++17'

# --------------------------------------------------------------- a program with the library
embed=$prefix/share/swapmargin/examples/embed.c
libs=$(pkg-config --libs swapmargin)
all_libs=$(pkg-config --static --libs swapmargin)
# shellcheck disable=SC2086 # lists of options are meant to be split
{
    $CC -std=c11 -Wall -Wextra -Werror "$embed" $cflags $libs -o "$here/embed-shared"
    $CXX -std=c++17 -Wall -Wextra -Werror -x c++ "$embed" -x none $cflags $libs -o "$here/embed-c++"
    $CC -std=c11 -Wall -Wextra -Werror -static "$embed" $cflags $all_libs -o "$here/embed-static"
}
readelf -d "$here/embed-shared" | grep -q 'NEEDED.*\[libswapmargin\.so\.0\]' || fail 'not shared'
! readelf -d "$here/embed-shared" | grep -q 'NEEDED.*\(gsl\|jansson\)' ||
    fail 'a user of the shared library links with what is behind it'
! readelf -d "$here/embed-static" 2>/dev/null | grep -q NEEDED || fail 'not static'
sheet_margin=$("$prefix/bin/swapmargin" check "$drive" "$module" --format json |
    jq -r '.margin_k * 100 | round / 100') || [ $? = 1 ]
for kind in shared c++ static; do
    said=$(LD_LIBRARY_PATH=$prefix/lib "$here/embed-$kind" "$drive" "$module")
    [ "$said" = "margin $sheet_margin K" ] || fail "embed-$kind: $said, the program $sheet_margin"
done
tell "examples/embed.c, shared, as C++ and static: $said, as the program"

# ------------------------------------------------------ the program needs no file but itself
cp "$prefix/bin/swapmargin" "$here/moved"
(cd / && env -i "$here/moved" template drive >"$here/template.ini")
[ -s "$here/template.ini" ] || fail 'the program does not run from another place'
tell 'the program runs alone from another folder'

# A system's folders stay, and what others put into ours.
$MAKE uninstall PREFIX="$prefix"
[ -z "$(find "$prefix" -mindepth 1 ! -type d ! -name mine.h)" ] ||
    fail "left behind: $(find "$prefix" ! -type d)"
[ -f "$prefix/include/swapmargin/mine.h" ] && [ -d "$prefix/bin" ] || fail 'took too much away'
rm "$prefix/include/swapmargin/mine.h"
rmdir "$prefix/include/swapmargin"
[ -z "$(find "$prefix" -name swapmargin)" ] || fail "left behind: $(find "$prefix" -name swapmargin)"
tell 'uninstall takes away what install put there, and no more'
