#!/usr/bin/env bash
# Two nodes that are never online together: what one writes reaches the other in bundle files on a "stick", both ways.
# Once the mentor has been let in, every command runs in a network namespace of its own that has no network at all;
# where the system does not allow that, nothing else runs at the same time either, and the last line says so.
#   carried.sh PROGRAM
set -euo pipefail

program=$1
work=$(mktemp -d "${LADDERLINE_TEST_SCRATCH:-${TMPDIR:-/tmp}}/ladderline-apart.XXXXXX")
node=
finish() {
    [ -z "$node" ] || { kill "$node" 2>/dev/null || true; wait "$node" 2>/dev/null || true; }
    [ -n "${LADDERLINE_TEST_SCRATCH:-}" ] || rm -rf "$work"  # else the search of the whole run comes first
}
trap finish EXIT

printf 'apart: words of a test only\n' >"$work/passphrase"
chmod 600 "$work/passphrase"
export LADDERLINE_PASSPHRASE_FILE=$work/passphrase
export LADDERLINE_PASSPHRASE_MEMORY_MIB=8
stick=$work/stick
mkdir "$stick"

alone=(unshare --net)
how="each in a network namespace without a network"
if ! unshare --net true 2>/dev/null; then
    alone=(unshare --user --map-root-user --net)
    if ! "${alone[@]}" true 2>/dev/null; then
        alone=()
        how="one after the other (no namespaces here)"
    fi
fi
as() {
    local who=$1
    shift
    "${alone[@]}" "$program" --home "$work/$who" "$@"
}
fail() {
    echo "apart: $1" >&2
    exit 1
}

"$program" --home "$work/ada" begin --name "Ada Finch" >/dev/null
"$program" --home "$work/max" begin --name "Max Dale" --as mentor --call KF1XMD >/dev/null
"$program" --home "$work/ada" run --listen 127.0.0.1:0 >"$work/out" 2>"$work/err" &
node=$!
for _ in $(seq 1 400); do
    ! grep -q 'Your pages are at' "$work/out" || break
    kill -0 "$node" 2>/dev/null || fail "the newcomer's node ended: $(cat "$work/err")"
    read -r -t 0.05 <> <(:) || true
done
code=$("$program" --home "$work/ada" --json invite path --as mentor | sed 's/.*"code":"\([^"]*\)".*/\1/')
"$program" --home "$work/max" join "$code" >/dev/null
kill "$node"
wait "$node" || true
node=

# From here on they never meet.
as ada ask "which antenna for a flat" >/dev/null
as ada bundle write --for path --to "$stick" >/dev/null
as max bundle read "$stick" >/dev/null
as max assign Ada 00 >/dev/null
as max bundle write --for Ada --to "$stick" >/dev/null
as ada bundle read "$stick" >/dev/null
as ada tick 0.1 >/dev/null
as ada bundle write --for path --to "$stick" >/dev/null
as max bundle read "$stick" >/dev/null
# A node says some things by itself once it is in step (its card, its paper key's box): they go the same way.
for _ in 1 2; do
    as max bundle write --for Ada --to "$stick" >/dev/null || true
    as ada bundle read "$stick" >/dev/null
    as ada bundle write --for path --to "$stick" >/dev/null || true
    as max bundle read "$stick" >/dev/null
done

digests() { as "$1" --json digest | tr ',{}' '\n' | grep ':' | sort; }
common=$(comm -12 <(digests ada) <(digests max))
[ -n "$common" ] || fail "no circle has the same digest on both: $(digests ada) / $(digests max)"
as max way Ada --all | grep '00.01 .*ticked' >/dev/null ||
    fail "the mentor does not see the tick that came on the stick"
if grep -rlaF -e 'Ada Finch' -e 'which antenna' "$stick" >/dev/null; then fail "the stick tells a secret"; fi
# The same search finds both where they are plain, or it would prove nothing.
as ada export "$work/plain" >/dev/null
grep -rqaF 'Ada Finch' "$work/plain" || fail "the search finds no name anywhere"
grep -rqaF 'which antenna' "$work/plain" || fail "the search finds no question anywhere"
rm -rf "$work/plain"
echo "apart: $(find "$stick" -type f | wc -l) files carried, the same state digest on both, $how"
