#!/usr/bin/env bash
# Breaks the vault in one named way after the other, in a copy of the tree, and requires that a test of it fails each
# time. Prints a table; exits with 1 if a mutant survives or could not be made.
#   tests/crash/mutants.sh [FOLDER]     FOLDER keeps the copy and its build for the next time
set -uo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
if [ $# -ge 1 ]; then
    work=$1
else
    work=$(mktemp -d)
    trap 'rm -rf "$work"' EXIT
fi
tree=$work/tree
build=$work/build
mkdir -p "$tree" "$build"
for part in CMakeLists.txt protocol store node tests samples; do cp -a --update "$root/$part" "$tree/"; done
# What an earlier run left broken is put right.
cp -a "$root/store/vault/." "$tree/store/vault/"
touch "$tree"/store/vault/*

cmake -S "$tree" -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Debug -DLADDERLINE_SANITIZE=OFF --log-level=WARNING || exit 1
jobs=${MUTANT_JOBS:-$(nproc)}
ninja -C "$build" -j "$jobs" unit_store >"$work/build.log" 2>&1 || { tail -20 "$work/build.log"; exit 1; }
# Half the usual power cuts are enough to see a mutant.
export LADDERLINE_POWER_CUTS=200 LADDERLINE_SQL_STATEMENTS=2000
run_tests() {
    # In a shell of its own, whose word about a process that was aborted nobody needs.
    (timeout 300 "$build/tests/unit_store" --source-file='*store/vault*' >"$work/test.log" 2>&1; exit $?) 2>/dev/null
}
run_tests || { echo "the tests of the vault fail without any mutant:"; tail -20 "$work/test.log"; exit 1; }

survivors=0
# mutant NAME FILE SED-SCRIPT: the script must change the file.
mutant() {
    local name=$1 file=$tree/store/vault/$2 original=$root/store/vault/$2
    sed -E -i "$3" "$file"
    local verdict
    if cmp -s "$file" "$original"; then
        verdict="NOT MADE: the place in $2 was not found"
        survivors=$((survivors + 1))
    elif ! ninja -C "$build" -j "$jobs" unit_store >"$work/build.log" 2>&1; then
        verdict="NOT MADE: it does not compile"
        survivors=$((survivors + 1))
    elif run_tests; then
        verdict="SURVIVES"
        survivors=$((survivors + 1))
    elif [ $? = 124 ]; then
        verdict="NO END: the tests ran out of time"
        survivors=$((survivors + 1))
    else
        verdict=$(awk '/^TEST CASE: / { name = substr($0, 13) } /ERROR|Result:/ { print name; exit }' "$work/test.log")
        verdict="killed by \"${verdict:-the end of the process}\""
    fi
    printf '%-34s %s\n' "$name" "$verdict"
    cp "$original" "$file"
    touch "$file"
}

no_check='s/if \(!protocol::equal_secret\(/if (false \&\& !protocol::equal_secret(/'
mutant "key proof" page_codec.cpp "$no_check"
mutant "page number not authenticated" page_codec.cpp 's/\(page_number >> \(8 \* i\)\)/(page_number * 0)/'
# The salt is authenticated twice, by the keys and as associated data: either alone suffices, so neither is a mutant.
mutant "hash of frame headers" frame_log.cpp \
    '/^bool FrameLog::chained/,/^}/ s/return protocol/return true || protocol/'
mutant "hash of the log header" frame_log.cpp "$no_check"
mutant "flush at the commit frame" wal_file.cpp 's/return is_commit\(stored\) \? .*;/return SQLITE_OK;/'
mutant "gap fill" main_file.cpp 's/if \(const int code = seal_gap\(offset\).*;//'
mutant "checksum masking" frame_log.cpp '/^FrameHeader FrameLog::append_written/,/^}/ s/std::copy\(mac\..*;//'
mutant "damage behind a torn frame" wal_file.cpp 's/damaged = commits >= 2;/damaged = false;/'
mutant "tail of a failed step kept" wal_file.cpp 's/if \(size > frame_offset\(frame\)\) \{/if (false) {/'
mutant "a failed sync forgotten" wal_file.cpp 's/keys_\.sync_failed = true;//'
mutant "a page of zeros taken for a page" main_file.cpp \
    's/if \(keys_\.codec\.open\(/if (all_zero(sealed) || keys_.codec.open(/'
mutant "any page taken for the log's" sealed_file.hpp 's/^( *)std::equal\(shown.*;/\1!shown.empty();/'

if [ "$survivors" -gt 0 ]; then
    echo "mutants: $survivors survived or were not made"
    exit 1
fi
echo "mutants: all killed"
