#!/usr/bin/env bash
# Builds everything and runs every test. Works from any folder; the last line is "N passed, N failed[, N skipped]".
#   tests/run.sh [--plain | --threads] [--size N]
#     --plain    a release build without sanitizers (otherwise: address and undefined-behaviour sanitizers)
#     --threads  with the thread sanitizer (build-threads/)
#     --size N   heavier suites take N times their usual load (LADDERLINE_TEST_SIZE)
# Tests against large published tables read them from the folder LADDERLINE_CHECK_DATA, or else are skipped; so are
# those that say "left out: ..." because a program or library of others is missing.
set -uo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
build=$root/build-tests
options=(-DLADDERLINE_SANITIZE=ON -DCMAKE_BUILD_TYPE=RelWithDebInfo)
timeout_s=900

usage() {
    echo "usage: tests/run.sh [--plain | --threads] [--size N]" >&2
    exit 2
}
while [ $# -gt 0 ]; do
    case "$1" in
        --plain) build=$root/build-plain; options=(-DLADDERLINE_SANITIZE=OFF) ;;
        --threads) build=$root/build-threads; options[0]=-DLADDERLINE_SANITIZE=thread ;;
        --size)
            case "${2:-}" in '' | *[!0-9]*) usage ;; esac
            export LADDERLINE_TEST_SIZE=$2
            shift ;;
        *) usage ;;
    esac
    shift
done

# A step that fails before the tests is one failure.
give_up() {
    echo "$1"
    echo "0 passed, 1 failed"
    exit 1
}

step() {
    printf '[%4d s] %s\n' "$SECONDS" "$1"
}

step "Looking for what the build needs"
"$root/tests/support/install.sh" test || give_up "The build needs packages that are not here."

if [ -n "${LADDERLINE_CHECK_DATA:-}" ]; then
    export LADDERLINE_CHECK_DATA
    step "Check data: $LADDERLINE_CHECK_DATA"
else
    step "No check data (LADDERLINE_CHECK_DATA is not set): the tests that want it are skipped"
fi

step "Configuring ${build#"$root"/}"
cmake -S "$root" -B "$build" -G Ninja "${options[@]}" --log-level=WARNING || give_up "CMake stopped; see above."

step "Building with $(nproc) jobs"
quiet=()
[ -t 1 ] || quiet=(-- --quiet)
cmake --build "$build" -j "$(nproc)" "${quiet[@]}" || give_up "The build stopped; see above."

step "Running the tests"
log=$build/Testing/Temporary/LastTest.log
rm -f "$log"
export UBSAN_OPTIONS=${UBSAN_OPTIONS:-print_stacktrace=1}
ctest --test-dir "$build" -j "$(nproc)" --timeout "$timeout_s" --output-on-failure --no-tests=error
verdict=$?

[ -f "$log" ] || give_up "The tests did not run; see above."
step "The scorecard of this run"
"$root/tests/scorecard/scorecard.sh" --from "$log" --build "$build"
card=$?
step "Done; a test that is not a doctest binary counts as one, and so does a scorecard with a failure"
# A doctest binary counts its cases; one that ended without its summary counts as one failure.
awk -v verdict="$verdict" -v card="$card" '
    function close_test() {
        if (!open) return
        if (!cases) { if (good) passed++; else failed++ }
        else if (!good && !lost) failed++
        open = 0
    }
    /^[0-9]+\/[0-9]+ Testing: / {
        close_test(); open = 1; cases = 0; lost = 0; good = 0; skip_from = ""
        chosen = $3 == "crash_sql"  # runs some cases of a binary that has run: the others are not skipped
    }
    /^TEST CASE: / { name = $0 }
    /MESSAGE: (left out: |.*LADDERLINE_CHECK_DATA)/ { if (name != skip_from) { skipped++; passed--; skip_from = name } }
    /^\[doctest\] test cases:/ {
        cases = 1
        split($0, part, "|")
        passed += part[2]; failed += part[3]; lost += part[3]
        if (!chosen) skipped += part[4]
    }
    /^Test (Passed\.|Pass Reason:)$/ { good = 1 }
    END {
        close_test()
        if ((verdict != 0 || card != 0) && failed == 0) failed = 1
        tail = ""
        if (skipped > 0) tail = ", " skipped " skipped"
        printf "%d passed, %d failed%s\n", passed, failed, tail
        exit (failed > 0)
    }' "$log"
