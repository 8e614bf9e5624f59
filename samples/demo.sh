#!/usr/bin/env bash
# Installs what is needed, builds, and runs the main job with an invented club: an officer, a mentor and four newcomers,
# each on a node of their own. All people and call signs are made up; the call signs can belong to nobody.
#   samples/demo.sh          runs through, prints the club's review, ends
#   samples/demo.sh --stay   leaves the six nodes running and prints where their pages are
set -euo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
stay=no
case "${1:-}" in
    "") ;;
    --stay) stay=yes ;;
    *) echo "usage: demo.sh [--stay]" >&2; exit 2 ;;
esac

say() { printf '\n== %s\n' "$*"; }

say "Looking for what is needed"
"$root/tests/support/install.sh" build
say "Building (the first time takes 15 to 40 minutes)"
cmake -S "$root" -B "$root/build" -G Ninja -DCMAKE_BUILD_TYPE=RelWithDebInfo >/dev/null
ninja -C "$root/build" --quiet ladderline papers
program=$root/build/node/ladderline

demo=$(mktemp -d /tmp/ladderline-demo.XXXXXX)
nodes=()
finish() {
    for pid in "${nodes[@]}"; do kill "$pid" 2>/dev/null || true; done
    for pid in "${nodes[@]}"; do wait "$pid" 2>/dev/null || true; done
    rm -rf "$demo"
}
trap finish EXIT
trap 'exit 130' INT TERM

printf 'the demo only: seven made-up words\n' >"$demo/passphrase"
chmod 600 "$demo/passphrase"
export LADDERLINE_PASSPHRASE_FILE=$demo/passphrase
export LADDERLINE_PASSPHRASE_MEMORY_MIB=64  # the floor for small machines; six nodes start at once

# on WHO WORDS...: one command on that person's node, printed before it runs
on() {
    local who=$1
    shift
    printf '\n%s$ ladderline %s\n' "$who" "$*"
    "$program" --home "$demo/$who" "$@"
}
quietly() {
    local who=$1
    shift
    "$program" --home "$demo/$who" "$@"
}
days_ago() { date -u -d "$1 days ago" +%F; }
# until_true WHAT COMMAND...: syncing takes a moment
until_true() {
    local what=$1
    shift
    for _ in $(seq 1 200); do
        if "$@" >/dev/null 2>&1; then return 0; fi
        sleep 0.1
    done
    echo "demo: gave up waiting until $what" >&2
    exit 1
}

# sees WHO WORDS...: that person's node shows it
sees() {
    local who=$1 words=$2
    shift 2
    quietly "$who" way "$@" --all | grep -q -- "$words"
}

start_node() {
    local who=$1
    "$program" --home "$demo/$who" run --listen 127.0.0.1:0 >"$demo/$who.out" 2>"$demo/$who.err" &
    nodes+=("$!")
    until_true "$who's node is up" grep -q 'Your pages are at' "$demo/$who.out"
}

say "Six people begin"
on olive begin --name "Olive Penn" --as officer --club "Example Valley Radio Club"
on max begin --name "Max Dale" --as mentor --call KF1XMD --locator FN31 --zone America/New_York
on ada begin --name "Ada Finch" --locator FN31 --zone America/New_York
on bo begin --name "Bo Lindt"
on cy begin --name "Cy Marsh" --under-18
on di begin --name "Di Rowan"
for who in olive max ada bo cy di; do start_node "$who"; done

say "The officer invites, the others join"
for who in max ada bo cy di; do
    seat=newcomer
    [ "$who" = max ] && seat=mentor
    code=$(quietly olive --json invite club --as "$seat" | sed 's/.*"code":"\([^"]*\)".*/\1/')
    on "$who" join "$code" | cut -c 1-100
done
on max card --room 3 --topics "first contacts,antennas" --bands "2m,70cm" --times "Tue 18:00-21:00, Sat 09:00-12:00"
on ada card --times "Tue 19:00-21:00, Sat 09:00-11:00"
on bo card --times "Tue 18:30-20:30" --zone America/New_York --locator FN31 --bands 2m
on di card --times "Sat 10:00-12:00" --zone America/Chicago --locator EN61 --bands 70cm

say "Ada lets Max onto her path; he asks for the first stage"
code=$(quietly ada --json invite path --as mentor | sed 's/.*"code":"\([^"]*\)".*/\1/')
on max join "$code" | cut -c 1-100
until_true "Max sees Ada's way" quietly max way Ada
on max assign Ada 00
until_true "Ada has the assignment" sees ada 'asked for'
on ada next

say "From the exam to the grant, with the days"
on ada tick 3.8 --on "$(days_ago 20)" --evidence "certificate in hand"
on ada tick 4.3 --on "$(days_ago 16)"
on ada contact KF1XMD --at "$(date -u +%FT%H:%MZ)" --mhz 146.52 --mode FM || echo "(held shut: no own call sign yet)"
on ada tick 4.6 --on "$(days_ago 12)" --evidence KD0XAA
on ada tick 7.12 --on "$(days_ago 9)" --evidence "handheld, 5 W"
until_true "Max has Ada's exposure sheet" sees max '07.12 .*ticked' Ada
on max sign Ada 7.12 --saw "went through the sheet together"
on max touch Ada

say "An arranged contact, made, and written down on both sides"
on ada meet --at "$(date -u -d '+5 minutes' +%FT%H:%MZ)" --first 146.520 --second 147.480 --mode FM \
    --fallback "telephone"
on ada meet --made last
on ada contact KF1XMD --at "$(date -u +%FT%H:%MZ)" --mhz 146.52 --mode FM --sent 59 --received 57
until_true "Ada's exposure sheet is signed on her own node" sees ada '07.12 .*signed'
on ada tick 9.6 --evidence "KF1XMD on 146.52 MHz FM"
until_true "Max sees the first contact" sees max '09.06 .*ticked' Ada
on max sign Ada 9.6 --saw "heard her myself"

say "Somebody under 18: no mentor before a guardian and a second adult"
on cy invite path --as mentor || echo "(refused, as it must be)"

say "Four newcomers let the club hold twelve facts each"
until=$(date -u -d '+300 days' +%F)
on ada card --call KD0XAA
on bo tick 3.8 --on "$(days_ago 35)"
on bo ask "which antenna for a flat" --on "$(days_ago 9)"
on di ask "cannot get into the repeater" --on "$(days_ago 4)"
for who in ada bo cy di; do on "$who" share --until "$until"; done
until_true "the officer has four rows" sh -c "'$program' --home '$demo/olive' review | grep -c stage | grep -q 4"

say "The officer's proposal, and the review"
on olive pair
on olive review

say "Nothing of it stands in plain text on the disk"
markers='Olive|Penn|Finch|Lindt|Marsh|Rowan|Max Dale|KF1XMD|KD0XAA|Example Valley|146\.520|antenna for a flat'
found=$( (cat "$demo"/*/store.db* "$demo"/*/keys* | strings -n 3 | grep -E -c "$markers") || true)
control=$( (quietly olive review | grep -E -c "$markers") || true)
echo "Markers found in the stores' files: $found (in the review on the screen: $control lines)"
[ "$found" -eq 0 ]
[ "$control" -gt 0 ]

if [ "$stay" = yes ]; then
    say "The pages (each address opens once, in one browser)"
    for who in ada max olive bo cy di; do
        printf '%-6s %s\n' "$who" "$(quietly "$who" pages)"
    done
    echo "Try: tick something on Ada's page and watch Max's page change. Ctrl-C ends the demo and removes its stores."
    wait
fi
say "Done"
