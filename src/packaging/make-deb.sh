#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Builds the Debian packages from a copy of the sources, so that nothing is left among them.
#   make-deb.sh FOLDER VERSION     FOLDER/*.deb
set -eu
folder=$1 version=$2
tree=$folder/swapmargin-$version

# A package that does not say which version it is of helps nobody.
said=$(dpkg-parsechangelog -l src/packaging/debian/changelog -S Version)
[ "${said%-*}" = "$version" ] || {
    echo "make-deb: the changelog says $said, the Makefile $version" >&2
    exit 1
}
rm -rf "$folder"
mkdir -p "$tree"
cp -R Makefile LICENSE README.md DEVELOPERS.md src include tables examples docs tests "$tree"
mv "$tree/src/packaging/debian" "$tree/debian"
(cd "$tree" && dpkg-buildpackage --build=binary --unsigned-source --unsigned-changes) \
    >"$folder/log" 2>&1 || { tail -n 40 "$folder/log" >&2; exit 1; }
ls "$folder"/*.deb
