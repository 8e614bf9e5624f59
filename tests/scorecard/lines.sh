# The lines of the scorecard. A line R has its words, sizes and goals; run_R SIZE, which runs it and says what it did;
# log_R, the same from a log of ctest, where ctest has it; read_R, which makes size and result of what was said; and
# lacks_R, which says in words why it cannot run here, or nothing.
# What cannot be run ends run_R with 77, its reason as the last line.

order=()
declare -A words ci_size long_size ci_goal long_goal needs
# line ID WORDS CI-SIZE LONG-SIZE CI-GOAL LONG-GOAL TARGETS; a size of - leaves it out of that column.
line() {
    order+=("$1")
    words[$1]=$2 ci_size[$1]=$3 long_size[$1]=$4 ci_goal[$1]=$5 long_goal[$1]=$6 needs[$1]=${7:-}
}

# in_parts SIZE FLAG COMMAND...: the seeds from the first on, in as many processes as there are cores.
in_parts() {
    local size=$1 flag=$2 parts part first next pids=() pid status=0
    shift 2
    parts=$(nproc)
    [ "$size" -ge "$parts" ] || parts=1
    for ((part = 0; part < parts; part++)); do
        first=$((first_seed + size * part / parts))
        next=$((first_seed + size * (part + 1) / parts))
        "$@" --seed "$first" "$flag" "$((next - first))" &
        pids+=("$!")
    done
    for pid in "${pids[@]}"; do wait "$pid" || status=1; done
    return "$status"
}
# How many times its usual load (SIZE / USUAL, rounded up) a suite takes.
times_of() { echo $((($1 + $2 - 1) / $2)); }

line R1 "networks of honest members" 400 100000 "20,000 networks" "1,000,000 networks" simulate
run_R1() { in_parts "$1" --seeds "$build/tests/simulation/simulate"; }
log_R1() { from_log simulation_tests; }
read_R1() { said "honest networks" networks | with_commas; }

line R2 "networks with liars among their members" 300 50000 "5,000 networks" "250,000, each lie 500" simulate
run_R2() { in_parts "$1" --seeds "$build/tests/simulation/simulate" --byzantine; }
log_R2() { from_log simulation_tests; }
read_R2() {
    local text lies
    text=$(cat)
    lies=$(awk '$1 ~ /^[0-9]+$/ && $2 == "x" { sum[substr($0, index($0, " x ") + 3)] += $1 } END {
        for (lie in sum) { n++; if (!least || sum[lie] < least) least = sum[lie] }
        if (n) printf "; %d kinds of lies, the rarest %d times", n, least }' <<<"$text")
    said "networks with liars" networks <<<"$text" | awk -v lies="$lies" '{ print $0 lies }' | with_commas
}

line R3 "any order of the same events" 100000 5000000 "100,000 sets" "5,000,000 sets" simulate
run_R3() { in_parts "$1" --folds "$build/tests/simulation/simulate"; }
log_R3() { from_log simulation_tests; }
read_R3() { said "orders of events" sets | with_commas; }

line R4 "kill -9, nothing acknowledged lost" 300 10000 "300 kills" "10,000 kills" "crash_kill program_tests ladderline"
run_R4() {
    local times
    times=$(times_of "$1" 300)
    LADDERLINE_TEST_SIZE=$times "$build/tests/crash/crash_kill" --test-case='a process killed*' &&
        LADDERLINE_TEST_SIZE=$times "$build/tests/program_tests" --test-case='the program killed*'
}
log_R4() { from_log crash_kill program_tests; }
read_R4() {
    local text store program
    text=$(cat)
    store=$(kept "kill -9" <<<"$text")
    program=$(kept "kill -9 of the program" <<<"$text")
    [ -n "$store" ] && [ -n "$program" ] || return 0
    printf '%s\t%s\n' "$store" "$program" | awk -F '\t' '{
        printf "%d kills of a store, %d of the program\t", $1, $4
        printf "%d failed; acknowledged %d, lost %d\n", $3 + $6, $2 + $5, $3 + $6 }' | with_commas
}

line R5 "power cut, nothing acknowledged lost" 2000 100000 "2,000 cuts" "100,000 cuts" crash_disk
run_R5() { LADDERLINE_TEST_SIZE=$(times_of "$1" 2000) "$build/tests/crash/crash_disk" --test-case='a power cut*'; }
log_R5() { from_log crash_disk; }
read_R5() {
    kept "power loss" | awk -F '\t' '{ printf "%d cuts\t%d failed; acknowledged %d, lost %d\n", $1, $3, $2, $3 }' |
        with_commas
}

# With 1, of the script with the most allocations only some are tried; with 9 all of them.
line R6 "every call of disk and memory fails once" 1 9 "all, of one script 1 in 8" "every call" \
    "crash_disk crash_memory"
run_R6() {
    "$build/tests/crash/crash_disk" --test-case='every script*' &&
        LADDERLINE_TEST_SIZE=$1 "$build/tests/crash/crash_memory"
}
log_R6() { from_log crash_disk crash_memory; }
read_R6() {
    awk '/MESSAGE: failing (calls|allocations): scripts/ {
            n++
            for (text = $0; match(text, /(points|of|lost) [0-9]+/); text = substr(text, RSTART + RLENGTH)) {
                split(substr(text, RSTART, RLENGTH), part, " ")
                sum[part[1] (part[1] == "points" ? n : "")] += part[2]
            }
        }
        END { if (n == 2) printf "%d calls, %d of %d allocations\t%d failed; lost %d\n", sum["points1"], sum["points2"],
            sum["of"], sum["lost"], sum["lost"] }' | with_commas
}

line R7 "changed bytes at every door, from seeds" 1 100 "60 s a door" "1,000,000,000 a door" all_doors
run_R7() {
    local door
    for door in "$build"/tests/fuzz/fuzz_*; do
        [ -x "$door" ] && [ -f "$door" ] && [ "${door##*/}" != fuzz_canary ] && printf '%s\0' "${door##*/fuzz_}"
    done | LADDERLINE_TEST_SIZE=$1 xargs -0 -r -n 1 -P "$(nproc)" sh -c '
        fuzz=$3/tests/fuzz
        cd "$1" && exec "$2/tests/fuzz/fuzz_$4" --corpus "$fuzz/corpus/$4" --crashers "$fuzz/crashers/$4"
        ' door "$work" "$build" "$root"
}
doors_in_log() { sed -n 's/^[0-9]*\/[0-9]* Testing: \(fuzz_.*\)/\1/p' "$log" | grep -v -e canary -e planted; }
log_R7() {
    local doors
    mapfile -t doors < <(doors_in_log)
    [ ${#doors[@]} -gt 0 ] || { echo "no door is in $log"; return 77; }
    from_log "${doors[@]}"
}
read_R7() {
    awk '/^fuzz_[a-z_]+: [0-9]+ executions/ { doors++; sum += $2 }
        END { if (doors) printf "%d inputs at %d doors\t0 failed\n", sum, doors }' | with_commas
}

line R7g "the same, guided by coverage (libFuzzer)" - 600 "60 s a door" "24 h a door" ""
fuzz_build=${LADDERLINE_FUZZ_BUILD:-$root/build-fuzz}
lacks_R7g() {
    if [ ! -f "$fuzz_build/build.ninja" ]; then
        echo "there is no ${fuzz_build#"$root"/}/; DEVELOPERS.md, Fuzzing, says how it is made"
    fi
}
run_R7g() {
    local door fresh status=0
    for door in "$root"/tests/fuzz/corpus/*; do
        door=${door##*/}
        [ "$door" != canary ] || continue
        ninja -C "$fuzz_build" "libfuzzer_$door" || return 1
        fresh=$work/new-$door
        mkdir -p "$fresh"
        echo "door $door"
        "$fuzz_build/tests/fuzz/libfuzzer_$door" -max_total_time="$1" -timeout=5 -rss_limit_mb=1024 \
            -artifact_prefix="$work/" "$fresh" "$root/tests/fuzz/corpus/$door" || { status=1; echo "FAILED $door"; }
    done
    return "$status"
}
read_R7g() {
    awk '/^door / { doors++ } /^FAILED / { failed++ }
        /^Done [0-9]+ runs in [0-9]+ second/ { runs += $2; seconds += $5 }
        END { if (doors) printf "%d inputs at %d doors, %d s\t%d failed\n", runs, doors, seconds, failed }' |
        with_commas
}

line R8 "sync with a peer that changes its messages" 10000 5000000 "50,000 sessions" "5,000,000 sessions" simulate
run_R8() { in_parts "$1" --sessions "$build/tests/simulation/simulate"; }
log_R8() { from_log simulation_tests; }
read_R8() { said "sessions with a liar" sessions | with_commas; }

line R9 "published vectors of the cryptography" 1 1 "all" "all" outside_protocol
run_R9() { (cd "$build" && tests/outside_protocol); }
log_R9() { from_log outside_protocol; }
lacks_R9() { [ -n "${LADDERLINE_CHECK_DATA:-}" ] || echo "LADDERLINE_CHECK_DATA names no folder of check data"; }
read_R9() {
    awk '/^TEST CASE: / { name = $0 }
        /MESSAGE: LADDERLINE_CHECK_DATA/ && name != last { left++; last = name }
        /^\[doctest\] test cases:/ { split($0, part, "|"); passed = part[2] + 0; failed = part[3] + 0; found = 1 }
        END { if (!found) exit
            printf "%d checks", passed - left
            if (left) printf " (%d without check data)", left
            printf "\t%d failed%s\n", failed, left ? "; " left " left out" : "" }'
}

line R10 "bytes and trips of a sync within limits" 1 1 "all" "all" unit_protocol
run_R10() { (cd "$build" && tests/unit_protocol --source-file='*session_cost_test.cpp'); }
log_R10() { from_log unit_protocol; }
read_R10() {
    local count
    count=$(cases unit_protocol --source-file='*session_cost_test.cpp')
    [ "${count:-0}" -eq 0 ] || printf '%d checks\t%d failed\n' "$count" "$(faults_of session_cost_test.cpp)"
}

line R11 "whole suite under sanitizers" - 1 "all" "all" ""
run_R11() {
    echo "address and undefined behaviour" && "$root/tests/run.sh" && echo "threads" && "$root/tests/run.sh" --threads
}
# What LADDERLINE_SANITIZE is in the build that was tested.
sanitizer() { sed -n 's/^LADDERLINE_SANITIZE:[A-Z]*=//p' "$build/CMakeCache.txt" 2>/dev/null; }
is_sanitized() { case "$(sanitizer)" in ON | thread) return 0 ;; *) return 1 ;; esac; }
log_R11() {
    if [ "$(sanitizer)" = ON ]; then echo "address and undefined behaviour"; else echo "threads"; fi
    awk '/^[0-9]+\/[0-9]+ Testing: / { all++ } /^Test (Passed\.|Pass Reason:)$/ { passed++ } /^Test time = / { print }
        END { printf "%d passed, %d failed\n", passed, all - passed }' "$log"
}
read_R11() {
    awk '/^(address|threads)/ { kinds = kinds (kinds ? "; " : "") $0 }
        /^[0-9]+ passed, [0-9]+ failed/ { passed += $1; failed += $3; found = 1 }
        END { if (found) printf "%d, %s\t%d failed\n", passed, kinds, failed }' | with_commas
}

line R12 "lines run by tests (decoders, fold, VFS)" - 1 "95 %, branches 90 %" "100 % of decoders" ""
run_R12() { "$root/tests/coverage/coverage.sh"; }
read_R12() {
    awk '/^(decoders|fold|VFS) +[0-9]/ { size = size (size ? ", " : "") $1 " " $4 }
        /^coverage: below/ { below = "; " substr($0, 11) }
        END { if (size) printf "%s\t%d failed%s\n", size, below != "", below }'
}

line R13 "rules switched off, each caught by a test" - 1 "all" "all" ""
run_R13() { "$root/tests/mutants/rules.sh" && "$root/tests/crash/mutants.sh" "$work/mutants"; }
read_R13() {
    awk '/ killed by "/ { caught++ }
        /(SURVIVED|SURVIVES|FAILED WITHOUT A TEST|does not build|NOT MADE)/ { failed++ }
        /(does not stand|stands in .* more than once)/ { failed++ }
        /^rules: all of them/ { whole += 1 }
        /^mutants: / { whole += 1 }
        END { if (caught) printf "%d rules\t%d failed\n", caught + failed, failed + (whole < 2) }'
}

line R14 "at rest within 3 rounds after a fault" 100 100 "in R1" "in R1" simulate
# Every network of R1 and R2 is asked for it; alone, the line runs some of its own.
run_R14() {
    if [ -s "$work/R1" ] && [ -s "$work/R2" ]; then cat "$work/R1" "$work/R2"; else run_R1 "$1"; fi
}
log_R14() { from_log simulation_tests; }
read_R14() {
    awk 'match($0, /(honest networks|networks with liars) [0-9]+-[0-9]+: [0-9]+ run, [0-9]+ failed/) {
            text = substr($0, RSTART, RLENGTH); kind = text ~ /^honest/ ? "R1" : "R2"
            split(text, part, /[:,] /); run[kind] += part[2]; failed += part[3]; found = 1
        }
        END { if (found) printf "%d networks of R1, %d of R2\t%d failed\n", run["R1"], run["R2"], failed }' |
        with_commas
}

line R15 "soak: 5 nodes, a courier, lines that fail" 20 3600 "300 s" "86,400 s" "soak ladderline"
run_R15() { "$build/tests/soak/soak" "$build/node/ladderline" --seconds "$1" --seed "$first_seed"; }
log_R15() { from_log soak; }
read_R15() {
    awk '/^soak: connections / { sub(/:.*/, "", $5); hurt = $5 }
        /^soak: memory / { match($0, /-?[0-9.]+ %/); drift = substr($0, RSTART, RLENGTH) }
        /^soak: seconds / { seconds = $3; failed = $NF; found = 1 }
        END { if (found) printf "%d s\t%d failed; %d connections hurt, memory grew %s\n", seconds, failed, hurt,
            drift }' | with_commas
}

line R16 "memory of a load, of the worst frames" 100000 1000000 "1,000,000 events" "1,000,000 events" \
    "bench_sync_bench bench_worst_bench"
run_R16() {
    local logs=$(($1 / 200 > 100 ? $1 / 200 : 100))
    "$build/tests/bench_sync_bench" "$1" "$logs" && "$build/tests/bench_worst_bench" "$logs" "$1"
}
# The worst table gives MiB and their share of what is allowed behind the words of a line.
read_R16() {
    awk '/ events built in / { events = $4 }
        /^G7 / { allowed = $(NF - 3); measured = $(NF - 2); found = 1 }
        / memory above idle, allowed / { in_worst = 1; next }
        in_worst && match($0, / +[0-9]+\.[0-9] +[0-9]+\.[0-9][0-9] /) {
            split(substr($0, RSTART, RLENGTH), part, " "); if (part[1] + 0 > worst + 0) worst = part[1]
        }
        END { if (found && events && worst) printf "%d events\t%d failed; %s and %s of %s MiB\n", events,
            (measured + 0 > allowed + 0) + (worst + 0 > allowed + 0), measured, worst, allowed }' | with_commas
}

line R17 "no plain text in any file ever written" 1 2 "0 found" "0 found" "crash_kill ladderline"
run_R17() {
    local writers='crash_kill|apart_.*|session_script'
    [ "$1" -lt 2 ] || writers+='|unit_store|unit_node|program_tests|soak'
    ctest --test-dir "$build" -V -R "^(scratch_begin|$writers|marker_scan)\$"
}
log_R17() { from_log marker_scan; }
read_R17() {
    awk '/marker scan: stores / {
            match($0, /stores [0-9]+/); stores = substr($0, RSTART + 7, RLENGTH - 7)
            match($0, /bytes [0-9]+/); bytes = substr($0, RSTART + 6, RLENGTH - 6)
            match($0, /found [0-9]+/); found = substr($0, RSTART + 6, RLENGTH - 6)
            printf "%d stores, %d bytes\t%d failed\n", stores, bytes, found
        }' | with_commas
}

line R18 "stores of released versions open" 1 1 "all versions" "all versions" "program_tests ladderline"
run_R18() { (cd "$build" && tests/program_tests --source-file='*released_stores_test.cpp'); }
log_R18() { from_log program_tests; }
read_R18() {
    local text versions
    text=$(cat)
    versions=$(sed -n 's/.*MESSAGE: stores of released versions: opened \([0-9]*\).*/\1/p' <<<"$text")
    [ "${versions:-0}" -eq 0 ] || printf '%d version%s\t%d failed\n' "$versions" "$([ "$versions" -eq 1 ] || echo s)" \
        "$(faults_of released_stores_test.cpp <<<"$text")"
}
