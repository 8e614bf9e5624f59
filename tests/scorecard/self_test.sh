#!/usr/bin/env bash
# The scorecard over programs that are none: what fails, says nothing, or is not there must be seen in its row and in
# the exit code, and what passes must not.
set -uo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
work=$(mktemp -d "${TMPDIR:-/tmp}/ladderline-card.XXXXXX")
trap 'rm -rf "$work"' EXIT
build=$work/build
simulate=$build/tests/simulation/simulate
mkdir -p "$build/tests/simulation" "$build/Testing/Temporary"
log=$build/Testing/Temporary/LastTest.log
unset R1 R2 R3

wrong=0
# expect CODE PATTERN [not PATTERN] WORDS...: what the scorecard ends with, and what stands in a row of its table.
expect() {
    local code=$1 pattern=$2 got
    shift 2
    "$here/scorecard.sh" --build "$build" --as-built "$@" >"$work/said" 2>&1
    got=$?
    if [ "$got" -ne "$code" ] || ! grep -qE -e "$pattern" "$work/said"; then
        wrong=$((wrong + 1))
        echo "scorecard $*: exit code $got instead of $code, or no row with '$pattern' in:"
        cat "$work/said"
    fi
    # What it keeps for people to look at.
    sed -n 's/.*see \(\/[^ ]*ladderline-scorecard\.[A-Za-z0-9]*\)\/.*/\1/p' "$work/said" | sort -u | xargs -r rm -rf
}
# A program in the place of the simulation: its text and exit code.
program() {
    printf '#!/bin/sh\necho "%s"\nexit %s\n' "$1" "$2" >"$simulate"
    chmod +x "$simulate"
}

program "honest networks 1-5: 5 run, 0 failed; and more" 0
expect 0 '^R1 .* 10 networks, seeds 1-5.* 20,000 networks +1,000,000 networks +0 failed' --lines R1 R1=10
program "honest networks 1-5: 5 run, 1 failed; and more" 1
expect 1 '^R1 .* 10 networks, .* 2 failed; see ' --lines R1 R1=10
program "honest networks 1-5: 5 run, 0 failed; and more" 1
expect 1 '^R1 .* FAILED: exit code 1' --lines R1
program "nothing that a scorecard reads" 0
expect 1 '^R1 .* FAILED: exit code 0' --lines R1
program "networks with liars 1-5: 5 run, 0 failed" 0
expect 1 '^R1 .* FAILED' --lines R1,R2
rm "$simulate"
expect 1 '^R3 .* FAILED: exit code 1' --lines R3
expect 2 'there is no line R99' --lines R99

# What cannot run here is asked for and missing.
LADDERLINE_FUZZ_BUILD=$work/none expect 1 '^R7g .* not run: ' --lines R7g

# A record is written, and what it holds is not run again.
program "honest networks 1-1: 1 run, 0 failed" 0
expect 0 '^R1 .* 0 failed' --lines R1 R1=1 --record "$work/record"
program "nothing" 1
expect 0 '^R1 .* done before' --lines R1 R1=1 --record "$work/record" --resume
tr '\t' '|' <"$work/record" | grep -qF '|ci|R1|networks of honest members|1 networks, seeds 1-1|0 failed|' ||
    { wrong=$((wrong + 1)); echo "the record holds:"; cat "$work/record"; }

# Logs of ctest: a good one, one with a failed test, and one in which the test is missing.
in_log() {
    printf '1/1 Testing: %s\n%s\nTest time =   2.50 sec\n%s\n"%s" end time: now\n' "$1" "$2" "$3" "$1" >"$log"
}
in_log crash_disk "x.cpp:96: MESSAGE: power loss: rounds 2002, acknowledged 1265, lost 0, integrity ok 2002" \
    "Test Passed."
expect 0 '^R5 .* 2,002 cuts .* 0 failed; acknowledged 1,265, lost 0 +2.5' --from "$log" --lines R5
expect 1 '^R15 .* not run: soak is not in ' --from "$log" --lines R15
in_log crash_disk "x.cpp:96: MESSAGE: power loss: rounds 2002, acknowledged 1265, lost 3, integrity ok 2002" \
    "Test Failed."
expect 1 '^R5 .* 3 failed; acknowledged 1,265, lost 3' --from "$log" --lines R5
in_log crash_disk "x.cpp:96: MESSAGE: power loss: rounds 2002, acknowledged 1265, lost 0, integrity ok 2002" \
    "Test Failed."
expect 1 '^R5 .* FAILED: exit code 1' --from "$log" --lines R5

# reads LINE WANTED TEXT: what a line makes of what its programs say.
reads() {
    local got
    got=$(root=$here/../.. && . "$here/reading.sh" && . "$here/lines.sh" &&
        printf '%b' "$3" | "read_$1" | tr '\t' '|')
    [ "$got" = "$2" ] || { wrong=$((wrong + 1)); echo "read_$1 gives '$got' instead of '$2'"; }
}
reads R1 "25 networks, seeds 1-20, 31-35|1 failed" \
    "honest networks 31-35: 5 run, 1 failed\nhonest networks 11-20: 10 run, 0 failed
honest networks 1-10: 10 run, 0 failed\n"
reads R2 "5 networks, seeds 1-5|0 failed; 2 kinds of lies, the rarest 3 times" \
    "networks with liars 1-5: 5 run, 0 failed; x\n  2 x a lie\n  7 x another\n  1 x a lie\n"
calls="x.cpp:80: MESSAGE: failing calls: scripts 12, points 900, errors said 600, lost 1\n"
reads R6 "900 calls, 70 of 4,000 allocations|3 failed; lost 3" \
    "${calls}x.cpp:149: MESSAGE: failing allocations: scripts 12, points 70 of 4000, thrown 5, lost 2; of SQLite\n"
reads R6 "" "$calls"
reads R7g "200 inputs at 2 doors, 3 s|1 failed" "door a\nDone 200 runs in 3 second(s)\ndoor b\nFAILED b\n"
reads R12 "decoders 97.8%, fold 91.2%|1 failed; below its goal: fold" \
    "decoders 51 97/99 97.8% 1/2 1%\nfold 10 8/9 91.2% 1/2 1%\ncoverage: below its goal: fold\n"
reads R13 "3 rules|1 failed" \
    "a    killed by \"y\"\nb    killed by \"x\"\nc    SURVIVED\nrules: all of them\nmutants: all killed\n"
reads R13 "2 rules|1 failed" \
    "a    killed by \"y\"\nb    FAILED WITHOUT A TEST\nrules: all of them\nmutants: all killed\n"
reads R13 "2 rules|1 failed" \
    "The tests of a fail; see to that.\na    killed by \"y\"\nb    killed by \"x\"\nmutants: all killed\n"
reads R13 "1 rules|1 failed" \
    "a    killed by \"x\"\n"
honest="honest networks 1-20: 20 run, 1 failed; and more\n"
reads R14 "20 networks of R1, 0 of R2|1 failed" "$honest"
reads R14 "20 networks of R1, 7 of R2|1 failed" "${honest}networks with liars 1-7: 7 run, 0 failed\n"
load="100 logs and 20100 events built in 1.0 s\nG7   memory above idle   64   65.2 MiB   1.02\n"
reads R16 "20,100 events|1 failed; 65.2 and 17.0 of 64 MiB" \
    "${load}100 logs, 20100 events; memory above idle, allowed 64 MiB\nplaces   4.9     0.08  5  2.2  (goes on)
new logs     17.0     0.27     23     18.9  (goes on)\n"
reads R16 "" "$load"
reads R17 "3 stores, 1,000 bytes|0 failed" \
    "marker scan: stores 3, files 9, bytes 1000, markers found 0; in the control 8\n"
opened="x.cpp:50: MESSAGE: stores of released versions: opened 2\n"
reads R18 "2 versions|0 failed" "${opened}[doctest] test cases: 2 | 2 passed\n"
reads R18 "2 versions|1 failed" \
    "${opened}/released_stores_test.cpp:40: ERROR: CHECK( no )\n[doctest] test cases: 2 | 1 passed\n"
reads R18 "" "[doctest] test cases: 2 | 2 passed\n"

if [ "$wrong" -gt 0 ]; then
    echo "scorecard: $wrong of its own checks failed"
    exit 1
fi
echo "scorecard: its own checks passed"
