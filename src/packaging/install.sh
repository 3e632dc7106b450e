#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Puts files in their places, or takes the same files away again.
#   install.sh install|uninstall DESTDIR PREFIX ROW...
#   ROW: MODE|FOLDER|FILE|NAME    FILE goes to PREFIX/FOLDER/NAME; MODE `link`: NAME points to FILE
#
# Folders named after the program are taken away too once they are empty; in a DESTDIR, which is
# a place to collect files for a package, all that were made on the way to a file.
set -eu
do=$1 destdir=$2 root=$2$3
shift 3

put() { # mode folder file name
    case $1 in
    link)
        mkdir -p "$root/$2"
        ln -sf "$3" "$root/$2/$4"
        ;;
    *) install -D -m "$1" "$3" "$root/$2/$4" ;;
    esac
}

take() { # mode folder file name
    rm -f "$root/$2/$4"
    [ -d "$root/$2" ] || return 0
    if [ -n "$destdir" ]; then
        folder=${root#"$destdir"}/$2
        (cd "$destdir" && rmdir -p --ignore-fail-on-non-empty "${folder#/}")
    else
        folder=$2
        while case $folder in */swapmargin | */swapmargin/*) true ;; *) false ;; esac do
            rmdir --ignore-fail-on-non-empty "$root/$folder"
            folder=${folder%/*}
        done
    fi
}

case $do in
install) act=put ;;
uninstall) act=take ;;
*) exit 2 ;;
esac
for row; do
    set -f
    IFS='|'
    # shellcheck disable=SC2086 # a row is meant to be split
    set -- $row
    unset IFS
    $act "$@"
done
