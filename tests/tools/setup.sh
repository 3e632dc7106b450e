#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Installs those of the named Debian packages that are missing.  Silent, and without network, when
# all of them are there.
set -eu

if ! command -v dpkg-query >/dev/null 2>&1; then
    echo "setup: not a Debian system; taken to be installed by hand: $*" >&2
    exit 0
fi
missing=
for package in "$@"; do
    dpkg-query -W -f '${db:Status-Status}\n' "$package" 2>/dev/null | grep -qx installed ||
        missing="$missing $package"
done
[ -n "$missing" ] || exit 0

as_root=
if [ "$(id -u)" != 0 ]; then
    command -v sudo >/dev/null 2>&1 || {
        echo "setup: run as root: apt-get install$missing" >&2
        exit 1
    }
    as_root=sudo
fi
echo "setup: installing$missing"
export DEBIAN_FRONTEND=noninteractive
$as_root apt-get update -qq
# shellcheck disable=SC2086 # the list is meant to be split
$as_root apt-get install -y -qq --no-install-recommends $missing >/dev/null
