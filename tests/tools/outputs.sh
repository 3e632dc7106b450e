#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Writes what a program says to every command in every format, on the examples, into a folder.
#   outputs.sh PROGRAM FOLDER
set -eu
program=$1 folder=$2
mkdir -p "$folder"

# Words after a command, one set a line; a command that is not here stops the script.
arguments() {
    drive=examples/drive.ini
    case $1 in
    check | joint | loadrun)
        for module in examples/module-*.ini; do echo "$drive $module"; done
        for case in tests/reference/cases/*-drive.ini; do
            echo "$case ${case%-drive.ini}-module.ini"
        done
        [ "$1" != check ] || echo "$drive examples/module-good.ini --original examples/module-original.ini"
        ;;
    compare)
        echo "$drive examples/module-good.ini examples tests/bad tests/reference/cases"
        echo "--drives examples tests/reference/cases examples"
        ;;
    sweep)
        for over in 'load --from 50%,--to 250%' 'output_frequency --from 1Hz,--to 90Hz' \
            'joint_thickness --from 20um,--to 900um'; do
            echo "$drive examples/module-marginal.ini --steps 9 --over $over" | tr ',' ' '
        done
        ;;
    explain)
        echo "$drive examples/module-good.ini"
        for what in margin_k 'points[0].diode.tvj_max_c' 'limits[0].value' hold.margin_k; do
            echo "$drive examples/module-good.ini $what"
        done
        ;;
    template) printf '%s\n' drive module joint ;;
    *) echo "outputs: which words for the command '$1'?" >&2; exit 1 ;;
    esac
}

commands=$("$program" --help | awk '/^Commands/ { on = 1; next } /^$/ { on = 0 } on && /^  [a-z]/ { print $1 }')
[ -n "$commands" ] || { echo 'outputs: the help names no command' >&2; exit 1; }
for command in $commands; do
    formats=$("$program" "$command" --help | awk '/^Formats$/ { getline; print }')
    [ -n "$formats" ] || { echo "outputs: $command: the help names no format" >&2; exit 1; }
    arguments "$command" >"$folder/.words"
    n=0
    while read -r words; do
        n=$((n + 1))
        for format in $formats; do
            status=0
            # shellcheck disable=SC2086 # words are meant to be split
            "$program" "$command" $words --format "$format" \
                >"$folder/$command-$n.$format" 2>"$folder/$command-$n.$format.err" || status=$?
            echo "$status" >>"$folder/$command-$n.$format.err"
            [ "$status" -lt 3 ] || { echo "outputs: $command $words: $status" >&2; exit 1; }
        done
    done <"$folder/.words"
    rm "$folder/.words"
done
