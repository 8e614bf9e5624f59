#!/usr/bin/env bash
# The manual page, the completion and the units, looked at by the programs that will read them.
#   tests/package/papers.sh PROGRAM PACKAGE-FOLDER
# What needs a program that is not here is named and left out.
set -euo pipefail

program=$(realpath "$1")
package=$(realpath "$2")
scratch=$(mktemp -d /tmp/ladderline-papers.XXXXXX)
trap 'rm -rf "$scratch"' EXIT
failed=0

wrong() {
    printf 'papers: %s\n' "$1" >&2
    failed=1
}
left_out() { printf 'papers: left out, because there is no %s here: %s\n' "$1" "$2"; }

"$program" manual-page >"$scratch/ladderline.1"
if command -v man >/dev/null; then
    said=$(LC_ALL=C.UTF-8 MANROFFSEQ='' MANWIDTH=100 man --warnings -E UTF-8 -l -Tutf8 -Z "$scratch/ladderline.1" 2>&1 \
        >/dev/null || true)
    [ -z "$said" ] || wrong "man warns: $said"
    shown=$(LC_ALL=C.UTF-8 MANWIDTH=100 man -P cat -l "$scratch/ladderline.1" | sed 's/.\x08//g')
    grep -q 'ladderline backup folder' <<<"$shown" || wrong "man does not show the usage of backup"
else
    left_out man "the look of the manual page"
fi

# completes LINE EXPECTED: the last word of the line, completed
"$program" completion >"$scratch/completion"
completes() {
    local found
    # shellcheck disable=SC2086  # the words of the line
    found=$(bash -c '
        source "$1"
        shift
        COMP_WORDS=("$@")
        COMP_CWORD=$(($# - 1))
        _ladderline
        printf "%s " "${COMPREPLY[@]}"' completes "$scratch/completion" $1 | sed 's/ *$//')
    [ "$found" = "$2" ] || wrong "'$1' is completed to '$found', not to '$2'"
}
completes 'ladderline bac' backup
completes 'ladderline courier pl' place
completes 'ladderline --home /tmp/x courier pl' place
completes 'ladderline invite --lig' --light-screen
completes 'ladderline courier place --pass' --passphrase-file
completes 'ladderline tick 9.6 --for back' ''

if command -v systemd-analyze >/dev/null; then
    mkdir -m 700 "$scratch/run"
    for unit in ladderline courier; do
        # The program need not be installed for this.
        sed "s|^ExecStart=ladderline|ExecStart=$program|" "$package/$unit.service" >"$scratch/$unit.service"
        manager=--system
        [ "$unit" = courier ] || manager=--user
        said=$(XDG_RUNTIME_DIR=$scratch/run systemd-analyze verify "$manager" --man=no "$scratch/$unit.service" 2>&1) ||
            wrong "systemd does not take $unit.service"
        [ -z "$said" ] || wrong "systemd says of $unit.service: $said"
        exposure=$(XDG_RUNTIME_DIR=$scratch/run systemd-analyze security "$manager" --offline=true --no-pager \
            "$scratch/$unit.service" | sed -n 's/.*Overall exposure level.*: \([0-9.]*\) .*/\1/p')
        printf 'papers: exposure of %s.service by systemd-analyze: %s of 10\n' "$unit" "$exposure"
        most=2.0
        [ "$unit" = courier ] || most=4.5
        awk -v is="$exposure" -v most="$most" 'BEGIN { exit !(is != "" && is + 0 <= most) }' ||
            wrong "$unit.service is more open than $most"
    done
    # notify-send need not be installed either.
    sed -E "s#^(ExecCondition=|ExecStart=)(ladderline|notify-send)#\1$program#" "$package/today.service" \
        >"$scratch/ladderline-today.service"
    cp "$package/today.timer" "$scratch/ladderline-today.timer"
    said=$(XDG_RUNTIME_DIR=$scratch/run systemd-analyze verify --user --man=no "$scratch/ladderline-today.service" \
        "$scratch/ladderline-today.timer" 2>&1) || wrong "systemd does not take ladderline-today"
    [ -z "$said" ] || wrong "systemd says of ladderline-today: $said"
    # A day that was missed is made up for at the very moment of the login: neither node nor desktop is ready then.
    first=$(sed -n 's/^Exec[A-Za-z]*=//p' "$package/today.service" | head -n 1)
    [[ "$first" =~ ^sleep\ [0-9]+$ ]] || wrong "ladderline-today is too early for node and desktop: '$first' first"
    for line in After=graphical-session.target Restart=on-failure; do
        grep -qx "$line" "$package/today.service" || wrong "ladderline-today is lost without a desktop: no $line"
    done
else
    left_out systemd-analyze "the units"
fi
exit "$failed"
