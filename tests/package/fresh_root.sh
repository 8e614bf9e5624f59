#!/usr/bin/env bash
# The package in a fresh Debian 12: installed, two people begin by the guide, their nodes meet, a contact is logged, the
# package goes, the stores stay. By hand, as root: it makes a root with debootstrap below /tmp (some 400 MB).
#   tests/package/fresh_root.sh PACKAGE [BASE]      BASE: a root that debootstrap has made before; it is copied
set -euo pipefail

package=$(realpath "$1")
base=${2:-}
[ "$(id -u)" = 0 ] || { echo "fresh_root: only root can make a root" >&2; exit 2; }
mirror=$(sed -nE 's/^(URIs: |deb )(https?:\/\/[^ ]*debian\/?)( .*)?$/\2/p' /etc/apt/sources.list \
    /etc/apt/sources.list.d/* 2>/dev/null | grep -v security | head -n 1 || true)
scratch=$(mktemp -d /tmp/ladderline-root.XXXXXX)
fresh=$scratch/root
nodes=()
finish() {
    for pid in "${nodes[@]}"; do kill "$pid" 2>/dev/null || true; done
    for pid in "${nodes[@]}"; do wait "$pid" 2>/dev/null || true; done
    if mountpoint -q "$fresh/proc"; then umount "$fresh/proc"; fi
    mountpoint -q "$fresh/proc" || rm -rf --one-file-system "$scratch"
}
trap finish EXIT
trap 'exit 130' INT TERM

step() { printf '\n== %s\n' "$*"; }
give_up() { printf 'fresh_root: %s\n' "$1" >&2; exit 1; }
inside() {
    chroot "$fresh" /usr/bin/env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin LC_ALL=C.UTF-8 DEBIAN_FRONTEND=noninteractive \
        "$@"
}
# as WHO WORDS...: as that user, who has a home and a file with the passphrase
as() {
    local who=$1
    shift
    chroot --userspec="$who:$who" "$fresh" /usr/bin/env -i "HOME=/home/$who" PATH=/usr/bin:/bin LC_ALL=C.UTF-8 \
        "LADDERLINE_PASSPHRASE_FILE=/home/$who/the.passphrase" LADDERLINE_PASSPHRASE_MEMORY_MIB=64 "$@"
}

step "A fresh Debian 12 in $fresh"
if [ -n "$base" ]; then
    cp -a "$base" "$fresh"
else
    debootstrap --variant=minbase bookworm "$fresh" ${mirror:+"$mirror"} | tail -n 2
fi
cp /etc/resolv.conf "$fresh/etc/resolv.conf"
mount -t proc proc "$fresh/proc"
printf '#!/bin/sh\nexit 101\n' >"$fresh/usr/sbin/policy-rc.d"
chmod 755 "$fresh/usr/sbin/policy-rc.d"
inside sh -c 'sed -n "s/^PRETTY_NAME=//p" /etc/os-release; dpkg -l | grep -c ^ii'

step "The package is installed"
cp "$package" "$fresh/root/ladderline.deb"
inside apt-get -q update >/dev/null
inside apt-get -q -y install --no-install-recommends /root/ladderline.deb |
    grep -vE '^(Get|Selecting|Preparing|Unpacking)'
inside dpkg -L ladderline
inside ladderline --version

step "Two people begin, asked by the guide"
for who in ada max; do
    inside useradd --create-home "$who"
    printf 'a fresh root only: seven made-up words\n' >"$fresh/home/$who/the.passphrase"
    inside chown "$who:$who" "/home/$who/the.passphrase"
    inside chmod 600 "/home/$who/the.passphrase"
done

# to WORDS: reads what the guide shows, up to these words; in `shown`
shown=
to() {
    local one=
    shown=
    while IFS= read -r -u "$from_guide" -N 1 -t 120 one; do
        shown+=$one
        printf %s "$one"
        [[ $shown != *"$1" ]] || return 0
    done
    give_up "the guide did not come to '$1'"
}
type_in() {
    printf '%s\n' "$1"
    printf '%s\n' "$1" >&"$to_guide"
}
# by_guide WHO ANSWERS...: who they are; then the key is written down, and the last answer is who is with them
by_guide() {
    local who=$1 groups place began=$SECONDS pid
    shift
    coproc guide { as "$who" ladderline begin --guide 2>&1; }
    # shellcheck disable=SC2154  # coproc sets both, and takes them away when it ends
    pid=$guide_PID
    exec {from_guide}<&"${guide[0]}" {to_guide}>&"${guide[1]}"
    to 'called? '
    type_in "$1"
    to '[1]: '
    type_in "$2"
    if [ "$2" = 1 ]; then
        to '[no]: '
        type_in no
    fi
    if [ "$2" = 3 ]; then
        to 'club: '
        type_in "Example Valley Radio Club"
    fi
    to 'none yet: '
    type_in "$3"
    to 'such as America/New_York'
    type_in America/New_York
    to '[yes]: '
    type_in yes
    to 'leave the screen.'
    mapfile -t groups < <(sed -nE 's/^ +[1-6]\. +([0-9A-Z]{5}).*/\1/p' <<<"$shown")
    type_in ''
    for _ in 1 2; do
        to 'on your paper: '
        place=$(grep -oE '[1-6] on your paper' <<<"$shown" | tail -n 1 | cut -c 1)
        type_in "${groups[place - 1]}"
    done
    if [ "$2" != 3 ]; then
        to '[1]: '
        type_in 1
        to 'for later: '
        type_in "$4"
    fi
    cat <&"$from_guide"
    exec {from_guide}<&- {to_guide}>&-
    wait "$pid" || give_up "the guide of $who ended badly"
    printf '(%s: %d seconds)\n' "$who" "$((SECONDS - began))"
}
node_of() {
    as "$1" ladderline run --listen "127.0.0.1:$2" >"$scratch/$1.out" 2>&1 &
    nodes+=("$!")
    for _ in $(seq 1 300); do
        grep -q 'Your pages are at' "$scratch/$1.out" && break
        sleep 0.1
    done
    cat "$scratch/$1.out"
}
code_in() { grep -oE 'LADDER-[0-9A-Z]+' | head -n 1; }

by_guide max "Max Dale" 3 KF1XMD
node_of max 7300
by_guide ada "Ada Finch" 1 "" "$(as max ladderline invite club --as newcomer | code_in)"
node_of ada 7310

step "Their nodes meet"
as max ladderline join "$(as ada ladderline invite path --as mentor --address 127.0.0.1:7310 | code_in)"
for _ in $(seq 1 200); do
    as max ladderline way Ada >/dev/null 2>&1 && break
    sleep 0.1
done
as max ladderline next Ada
as ada ladderline sees

step "A contact is logged, as a guest, and seen by the mentor"
as ada ladderline contact KF1XME --at "$(date -u -d '-10 minutes' +%FT%H:%MZ)" --mhz 146.52 --mode FM --guest-of KF1XMD
for _ in $(seq 1 200); do
    as max ladderline --json contact --for Ada 2>/dev/null | grep -q '146.52' && break
    sleep 0.1
done
as max ladderline contact --for Ada

step "The package goes; the stores stay"
for pid in "${nodes[@]}"; do kill "$pid"; done
for pid in "${nodes[@]}"; do wait "$pid" || true; done
nodes=()
before=$(inside sha256sum /home/ada/.local/share/ladderline/store.db /home/max/.local/share/ladderline/store.db)
inside apt-get -q -y purge ladderline | tail -n 3
inside sh -c 'command -v ladderline' && give_up "the program is still there"
after=$(inside sha256sum /home/ada/.local/share/ladderline/store.db /home/max/.local/share/ladderline/store.db)
[ "$before" = "$after" ] || give_up "the stores are not as they were"
printf '%s\n' "$after"
step "Installed again, it opens them"
inside apt-get -q -y install --no-install-recommends /root/ladderline.deb >/dev/null
as ada ladderline contact
printf '\nThe package installs, serves, and leaves; what people wrote stays.\n'
