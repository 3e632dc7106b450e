#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The completions in the shells themselves: each reads its file, zsh takes it for the program's,
# fish offers what the help names.   check-shells.sh DOC_FOLDER PROGRAM
set -eu
docs=$1 program=$2
fail() { echo "check-shells: $*" >&2; exit 1; }

bash -n "$docs/swapmargin.bash"
zsh -n "$docs/swapmargin.zsh"
fish --no-execute "$docs/swapmargin.fish"

functions=$(mktemp -d)
trap 'rm -rf "$functions"' EXIT
cp "$docs/swapmargin.zsh" "$functions/_swapmargin"
bound=$(FUNCTIONS=$functions zsh -fc \
    'fpath=($FUNCTIONS $fpath); autoload -U compinit; compinit -D -u; print $_comps[swapmargin]')
[ "$bound" = _swapmargin ] || fail "zsh completes swapmargin with '$bound'"

offered() { fish -c "source $docs/swapmargin.fish; complete -C '$1'" | cut -f 1 | LC_ALL=C sort; }
commands=$("$program" --help |
    awk '/^Commands/ { on = 1; next } /^$/ { on = 0 } on && /^  [a-z]/ { print $1 }' | LC_ALL=C sort)
[ "$(offered 'swapmargin ')" = "$commands" ] || fail "fish offers: $(offered 'swapmargin ')"
for command in $commands; do
    formats=$("$program" "$command" --help | awk '/^Formats$/ { getline; print }' |
        tr -s ' ' '\n' | grep . | LC_ALL=C sort)
    [ "$(offered "swapmargin $command --format ")" = "$formats" ] ||
        fail "fish offers after $command --format: $(offered "swapmargin $command --format ")"
done
