#!/usr/bin/env bash
# Keeps, of the inputs that libFuzzer found, the few that run lines which the kept inputs of their door do not.
#   keep_found.sh BUILD FOUND [DOOR ...]
#     BUILD   a build with LADDERLINE_FUZZER=ON
#     FOUND   a folder with a folder of inputs for each door
#     DOOR    default: every door that FOUND has inputs for
# Prints a line a door. They are kept as found-HASH beside the door's own seeds; look at them before they are committed.
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
[ $# -ge 2 ] || { sed -n '2,7s/^# \{0,1\}//p' "$0" >&2; exit 2; }
build=$(realpath "$1")/tests/fuzz
found=$(realpath "$2")
shift 2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
[ $# -gt 0 ] || { cd "$found" && set -- *; }

for door in "$@"; do
    corpus=$here/corpus/$door
    [ -d "$corpus" ] || { echo "keep_found: there is no door $door" >&2; exit 1; }
    mkdir -p "$work/$door"
    # Lines alone: an input that only runs one of them more often is left.
    "$build/libfuzzer_$door" -set_cover_merge=1 -use_counters=0 -timeout=5 -rss_limit_mb=1024 \
        -artifact_prefix="$work/" "$work/$door" "$corpus" "$found/$door" >"$work/said" 2>&1 ||
        { cat "$work/said" >&2; exit 1; }
    kept=0
    for input in "$work/$door"/*; do
        name=${input##*/}
        [ -z "$(find "$corpus" -type f -exec cmp -s "$input" {} \; -print -quit)" ] || continue
        cp "$input" "$corpus/found-${name:0:12}"
        kept=$((kept + 1))
    done
    echo "$door: $kept kept of $(find "$found/$door" -type f | wc -l) found"
done
