#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The packages in FOLDER: what lintian says of them, and whether a bare system of the same release
# as this one installs them, runs the program as a user without rights, and is rid of them again.
#   check-deb.sh FOLDER PROGRAM
# The mirror is the one that this machine's apt uses.
set -eu
folder=$1 program=$2
root=$folder/root

fail() { echo "check-deb: $*" >&2; exit 1; }
tell() { echo "ok  $*"; }

lintian --fail-on error "$folder"/*.changes || fail 'lintian finds errors'
tell 'lintian finds no error'

[ "$(id -u)" = 0 ] || fail 'a bare system can be set up by root only'
release=$(. /etc/os-release && echo "${VERSION_CODENAME:?no Debian release}")
mirror=$(apt-get indextargets --format '$(REPO_URI)' 'Created-By: Packages' "Codename: $release" \
    'Component: main' | head -n 1)
[ -n "$mirror" ] || fail "apt knows no mirror of $release"
eval "$(apt-config shell http_proxy Acquire::http::Proxy https_proxy Acquire::https::Proxy)"
export http_proxy https_proxy

clean() {
    ! mountpoint -q "$root/proc" || umount "$root/proc"
    rm -rf --one-file-system "$root"
}
trap clean EXIT
clean
debootstrap --variant=minbase "$release" "$root" "$mirror" >"$folder/debootstrap.log" 2>&1 ||
    { tail -n 20 "$folder/debootstrap.log" >&2; fail 'debootstrap: no bare system'; }
# Every system has it; the program hands texts to its INI reader through /proc/self/fd.
mount -t proc proc "$root/proc" || fail 'no /proc in the bare system: not allowed here'
tell "a bare $release system"

inside() { chroot "$root" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/ DEBIAN_FRONTEND=noninteractive \
    http_proxy="${http_proxy:-}" https_proxy="${https_proxy:-}" "$@"; }
listed() { (cd "$root" && find etc opt srv usr var/lib/dpkg/info -name '*swapmargin*'); }

mkdir "$root/packages"
cp "$folder"/swapmargin_*.deb "$folder"/libswapmargin0_*.deb "$root/packages"
inside sh -c 'apt-get install -y --no-install-recommends /packages/*.deb' >"$folder/apt.log" 2>&1 ||
    { tail -n 20 "$folder/apt.log" >&2; fail 'apt does not install the packages'; }
tell 'apt installs them with what they depend on'

examples=/usr/share/swapmargin/examples
as_user() { chroot --userspec=nobody:nogroup "$root" env -i PATH=/usr/bin:/bin "$@"; }
as_user sh -c "cd / && swapmargin check $examples/drive.ini $examples/module-good.ini" \
    >"$folder/sheet" || fail "the program ends with $?"
grep -q '^CONDITIONAL' "$folder/sheet" || fail 'no sheet'
as_user swapmargin check "$examples/drive.ini" "$examples/module-good.ini" --format json |
    jq 'del(.. | .file?, .line?)' >"$folder/theirs.json"
"$program" check examples/drive.ini examples/module-good.ini --format json |
    jq 'del(.. | .file?, .line?)' >"$folder/ours.json"
cmp "$folder/ours.json" "$folder/theirs.json" || fail 'the result differs from that of the build'
tell 'a user without rights gets the sheet, and the numbers of the build'

inside apt-get purge -y swapmargin libswapmargin0 >>"$folder/apt.log" 2>&1 || fail 'apt-get purge'
[ -z "$(listed)" ] || fail "left behind: $(listed)"
tell 'purge leaves nothing'
