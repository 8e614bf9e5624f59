#!/usr/bin/env bash
# Every planted bug is found within the driver's own number of inputs, and without one nothing is found.
#   canary.sh PROGRAM CORPUS
set -u
program=$1
corpus=$2
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder" || exit 1
export ASAN_OPTIONS=detect_leaks=0

"$program" --corpus "$corpus" || { echo "Without a planted bug something was found."; exit 1; }
for bug in crash memory leak work throw sentence; do
    if LADDERLINE_PLANTED=$bug "$program" --corpus "$corpus" --runs 0 >/dev/null 2>&1; then :; else
        echo "The kept inputs alone reach the planted bug \"$bug\", so that finding it proves nothing."
        exit 1
    fi
    if LADDERLINE_PLANTED=$bug "$program" --corpus "$corpus" >/dev/null 2>found; then
        echo "The planted bug \"$bug\" was not found."
        exit 1
    fi
    grep -q "^CRASH at mutated input" found || { echo "\"$bug\" was found, but not said:"; cat found; exit 1; }
    if LADDERLINE_PLANTED=$bug "$program" crash-fuzz_canary >/dev/null 2>&1; then
        echo "The input kept for \"$bug\" does not bring it back."
        exit 1
    fi
done
echo "6 planted bugs found"
