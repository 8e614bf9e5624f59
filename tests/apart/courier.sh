#!/usr/bin/env bash
# A newcomer and a mentor who are never online together, and a courier that meets one of them at a time. Each has a
# network namespace of its own; the newcomer's and the mentor's reach the courier's alone, and only one of the two lines
# is up at a time. Where the system does not allow that, the same steps run one after the other on the loopback, and the
# last line says so. At the end both hold the same, and every file of the courier's is searched for what was written.
#   courier.sh PROGRAM
set -euo pipefail

program=$1
work=$(mktemp -d "${LADDERLINE_TEST_SCRATCH:-${TMPDIR:-/tmp}}/ladderline-apart.XXXXXX")
keys=$(mktemp -d "${TMPDIR:-/tmp}/ladderline-apart-key.XXXXXX")
chmod 700 "$keys"
running=()
finish() {
    local pid
    for pid in "${running[@]}"; do kill "$pid" 2>/dev/null || true; done
    for pid in "${running[@]}"; do wait "$pid" 2>/dev/null || true; done
    rm -rf "$keys"
    [ -n "${LADDERLINE_TEST_SCRATCH:-}" ] || rm -rf "$work"  # else the search of the whole run comes first
}
trap finish EXIT
fail() {
    echo "apart: $1" >&2
    exit 1
}
moment() { read -r -t 0.05 <> <(:) || true; }

printf 'apart: words of a test only\n' >"$work/passphrase"
chmod 600 "$work/passphrase"
export LADDERLINE_PASSPHRASE_FILE=$work/passphrase
export LADDERLINE_PASSPHRASE_MEMORY_MIB=8

# A namespace is held by a process that sleeps in it.
declare -A home=()
unshare=(unshare --net)
"${unshare[@]}" true 2>/dev/null || unshare=()
hold() {
    mkfifo "$work/hold-$1"
    "${unshare[@]}" sh -c "echo \$\$ >'$work/pid-$1'; exec cat '$work/hold-$1'" &
    running+=("$!")
    while [ ! -s "$work/pid-$1" ]; do moment; done
    home[$1]=$(cat "$work/pid-$1")
}
inside() {
    local who=$1
    shift
    if [ -n "${home[$who]:-}" ]; then nsenter --target "${home[$who]}" --net "$@"; else "$@"; fi
}
# The same in the place of the calling shell, so that its pid is the program's.
become() {
    local who=$1
    shift
    [ -z "${home[$who]:-}" ] || exec nsenter --target "${home[$who]}" --net "$@"
    exec "$@"
}
# A cable from that member's namespace to the courier's; 10.77.0.1 is the courier's at the end of either.
cable() {
    local who=$1 net=$2
    inside keeper ip link add "to-$who" type veth peer name line netns "${home[$who]}" &&
        inside keeper ip addr add "10.77.$net.1/24" dev "to-$who" &&
        inside "$who" ip addr add "10.77.$net.2/24" dev line &&
        inside "$who" ip link set lo up
}
online() {
    [ -n "${home[$1]:-}" ] || return 0
    inside keeper ip link set "to-$1" up
    inside "$1" ip link set line up
    inside "$1" ip route replace 10.77.0.1 via "10.77.$2.1"
}
offline() {
    [ -n "${home[$1]:-}" ] || return 0
    inside "$1" ip link set line down
    inside keeper ip link set "to-$1" down
}
how="in network namespaces with one line up at a time"
host=10.77.0.1
lay_cables() {
    [ ${#unshare[@]} -gt 0 ] && command -v ip >/dev/null && command -v nsenter >/dev/null || return 1
    hold keeper
    hold ada
    hold max
    { cable ada 1 && cable max 2 && inside keeper ip link set lo up &&
        inside keeper ip addr add 10.77.0.1/32 dev lo; } >/dev/null 2>&1
}
if ! lay_cables; then
    home=()
    host=127.0.0.1
    how="one after the other on the loopback (no namespaces here)"
fi

as() {
    local who=$1
    shift
    inside "$who" "$program" --home "$work/$who" "$@"
}
# Starts `run` with these words; its pid is in $started, its port in $port.
start() {
    local who=$1
    shift
    : >"$work/out-$who"
    become "$who" "$program" --home "$work/$who" run "$@" >"$work/out-$who" 2>"$work/err-$who" &
    started=$!
    running+=("$started")
    for _ in $(seq 1 400); do
        ! grep -q -e 'Your pages are at' -e 'is reached on port' "$work/out-$who" || break
        kill -0 "$started" 2>/dev/null || fail "the node of $who ended: $(cat "$work/err-$who")"
        moment
    done
    port=$(sed -n 's/.*on port \([0-9]*\).*/\1/p' "$work/out-$who")
}
stop() {
    kill "$1"
    wait "$1" || true
}
# Until that member's node has a receipt for all that it wrote.
until_covered() {
    for _ in $(seq 1 400); do
        ! as "$1" --json couriers | grep '"stored":"[^"]*","not_covered":0' >/dev/null || return 0
        moment
    done
    fail "the courier gave $1 no receipt: $(as "$1" couriers)"
}
until_seen() {
    local who=$1 pattern=$2
    shift 2
    for _ in $(seq 1 400); do
        ! as "$who" "$@" 2>/dev/null | grep "$pattern" >/dev/null || return 0
        moment
    done
    fail "$who never saw '$pattern'"
}
field() { sed "s/.*\"$1\":\"\([^\"]*\)\".*/\1/"; }

# The courier unlocks itself by a key file that lies elsewhere.
as keeper courier begin >/dev/null
as keeper key-file "$keys/key" >/dev/null
start keeper --key-file "$keys/key" --listen "$host:0"
keeper=$started
courier=$host:$port

# The newcomer takes a place for her path; then, with the courier away, the mentor is let in.
as ada begin --name "Ada Finch" >/dev/null
online ada 1
place=$(as keeper --json courier place --mebibytes 16 --days 60 | field code)
as ada courier use "$courier" "$place" --circle path >/dev/null
offline ada
stop "$keeper"
as max begin --name "Max Dale" --as mentor --call KF1XMD >/dev/null
start ada --listen 127.0.0.1:0
code=$(as ada --json invite path --as mentor | field code)
inside ada "$program" --home "$work/max" join "$code" >/dev/null
stop "$started"

# From here on the two never meet, and the courier meets one of them at a time.
start keeper --key-file "$keys/key" --listen "$courier"
keeper=$started
as ada ask "which antenna for a flat" >/dev/null
online ada 1
start ada --listen no
until_covered ada
stop "$started"
offline ada

online max 2
start max --listen no
until_covered max
as max assign Ada 00 >/dev/null
until_covered max
stop "$started"
offline max

online ada 1
start ada --listen no
until_seen ada '00.01 .*asked for' way --all
as ada tick 0.1 >/dev/null
until_covered ada
stop "$started"
offline ada

online max 2
as max courier visit >/dev/null
offline max

digests() { as "$1" --json digest | tr ',{}' '\n' | grep ':' | sort; }
common=$(comm -12 <(digests ada) <(digests max))
[ -n "$common" ] || fail "no circle has the same digest on both: $(digests ada) / $(digests max)"
as max way Ada --all | grep '00.01 .*ticked' >/dev/null || fail "the mentor does not see the tick"
as keeper courier list | grep 'events' >/dev/null || fail "the courier's keeper sees no place"
stop "$keeper"

words=(-e 'Ada Finch' -e 'Max Dale' -e 'KF1XMD' -e 'which antenna')
if grep -rlaF "${words[@]}" "$work/keeper" "$work/out-keeper" "$work/err-keeper"; then
    fail "the courier's files tell a secret"
fi
[ "$(du -sb "$work/keeper" | cut -f1)" -gt 20000 ] || fail "the courier holds next to nothing"
# The same search finds them where they are plain, or it would prove nothing.
as max export "$work/plain" >/dev/null
grep -rqaF 'Ada Finch' "$work/plain" || fail "the search finds no name anywhere"
grep -rqaF 'which antenna' "$work/plain" || fail "the search finds no question anywhere"
rm -rf "$work/plain"
echo "apart: the same state digest on both through a courier, 0 of $((${#words[@]} / 2)) words found in its files, $how"
