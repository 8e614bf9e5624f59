#!/usr/bin/env bash
# What a node costs that nobody uses: resident memory, processor time, and the time from its start to its first page.
# By hand: minutes go by, and the figures are of this machine.
#   tests/package/idle.sh PROGRAM [SECONDS] [HOME PASSPHRASE-FILE]
#       SECONDS of rest, 180 without it; HOME: the store of somebody, in place of one that has just begun; it is copied
# Goals: 40 MB, 0.2 % of one core, 300 ms. The start is by a key file, which needs no key derivation. Exit code 1: over.
set -euo pipefail

program=$(realpath "$1")
rest_s=${2:-180}
scratch=$(mktemp -d /tmp/ladderline-idle.XXXXXX)
node=
finish() {
    [ -z "$node" ] || kill "$node" 2>/dev/null || true
    [ -z "$node" ] || wait "$node" 2>/dev/null || true
    rm -rf "$scratch"
}
trap finish EXIT
trap 'exit 130' INT TERM

unset LADDERLINE_HOME
export LADDERLINE_PASSPHRASE_MEMORY_MIB=8
home=$scratch/store
mkdir -m 700 "$scratch/keys"
if [ $# -ge 4 ]; then
    cp -a "$3" "$home"
    export LADDERLINE_PASSPHRASE_FILE=$4
else
    (umask 077 && printf 'an idle node only: seven made-up words\n' >"$scratch/the.passphrase")
    export LADDERLINE_PASSPHRASE_FILE=$scratch/the.passphrase
    "$program" --home "$home" begin --name "Ada Finch" >/dev/null
fi
"$program" --home "$home" key-file "$scratch/keys/node.key" >/dev/null

now_ms() { date +%s%3N; }
# start: in the background; `first_ms` is from its start to the last byte of its first page
start() {
    local began address _
    : >"$scratch/out"
    began=$(now_ms)
    "$program" --home "$home" run --key-file "$scratch/keys/node.key" --listen 127.0.0.1:0 >"$scratch/out" 2>&1 &
    node=$!
    for _ in $(seq 1 3000); do
        address=$(sed -n 's/^Your pages are at //p' "$scratch/out")
        [ -z "$address" ] || break
        sleep 0.01
    done
    [ -n "$address" ] || { cat "$scratch/out" >&2; exit 2; }
    curl --silent --fail --location --cookie-jar "$scratch/cookies" "$address" >"$scratch/page"
    first_ms=$(($(now_ms) - began))
    grep -q '</html>' "$scratch/page"
}
stop() {
    kill "$node"
    wait "$node" || true
    node=
}
ticks() { awk '{ print $14 + $15 }' "/proc/$node/stat"; }

starts=()
for _ in 1 2 3 4 5; do
    start
    starts+=("$first_ms")
    stop
done
median_ms=$(printf '%s\n' "${starts[@]}" | sort -n | sed -n 3p)

start
sleep 5  # the looks that follow a start
before=$(ticks)
sleep "$rest_s"
used=$(($(ticks) - before))
memory_kb=$(sed -n 's/^VmRSS:[^0-9]*\([0-9]*\).*/\1/p' "/proc/$node/status")
most_kb=$(sed -n 's/^VmHWM:[^0-9]*\([0-9]*\).*/\1/p' "/proc/$node/status")
own_kb=$(sed -n 's/^RssAnon:[^0-9]*\([0-9]*\).*/\1/p' "/proc/$node/status")
stop

awk -v first="$median_ms" -v used="$used" -v hz="$(getconf CLK_TCK)" -v rest="$rest_s" -v kb="$memory_kb" \
    -v most="$most_kb" -v own="$own_kb" -v each="${starts[*]}" 'BEGIN {
        mb = kb * 1024 / 1e6
        share = 100 * used / hz / rest
        printf "resident memory      %.1f MB, of it its own %.1f MB; at most %.1f MB; goal 40\n", mb,
            own * 1024 / 1e6, most * 1024 / 1e6
        printf "processor, %d s     %.3f %% of one core; goal 0.2\n", rest, share
        printf "start to first page  %d ms (median of %s); goal 300\n", first, each
        exit !(mb <= 40 && share <= 0.2 && first <= 300)
    }'
