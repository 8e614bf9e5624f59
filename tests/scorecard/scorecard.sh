#!/usr/bin/env bash
# The scorecard: one row for each promise that tests with a size hold, with the size run now beside the two that it is
# meant for, so that a small run never looks like the goal. Ends with 1 if a line failed, or was asked for and not run.
#   tests/scorecard/scorecard.sh [--column ci|long] [--lines R1,R5] [--build DIR] [--as-built] [R1=COUNT ...]
#     --column ci|long   which sizes (default: ci, six minutes of two cores; long is for a night). R1=200000, or R1 in
#                        the environment, gives a line another one; what is counted says the row
#     --lines R1,R5      these lines alone; without it all that the column has
#     --build DIR        the build folder whose programs run (default: build); only they are built
#     --as-built         nothing is built
#     --first-seed N     where seeds begin (default: 1), to go on after an earlier run
#     --record FILE      each row is added to FILE as a line with date, commit and machine
#     --resume           lines that FILE holds for this commit and column without a failure are not run again
#   tests/scorecard/scorecard.sh --from LOG [--build DIR]
#                        the card of a run of ctest that has been: reads its LastTest.log and runs nothing
# Ctrl-C ends the line that runs, and the card with what was done.
set -uo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
root=$(cd "$here/../.." && pwd)
column=ci
build=$root/build
chosen=
log=
record=
resume=
builds=yes
first_seed=1

. "$here/reading.sh"
. "$here/lines.sh"

usage() {
    sed -n '2,/^set /{/^set /d;s/^# \{0,1\}//;p}' "${BASH_SOURCE[0]}" >&2
    exit 2
}
while [ $# -gt 0 ]; do
    case "$1" in
        --column | --lines | --build | --from | --record | --first-seed)
            [ $# -ge 2 ] || usage
            case "$1" in
                --column) column=$2 ;;
                --lines) chosen=${2//,/ } ;;
                --build) build=$(realpath -m "$2") ;;
                --from) log=$2 ;;
                --record) record=$2 ;;
                --first-seed) first_seed=$2 ;;
            esac
            shift ;;
        --as-built) builds= ;;
        --resume) resume=yes ;;
        R[0-9]*=[0-9]*) declare "${1%%=*}=${1#*=}" ;;
        *) usage ;;
    esac
    shift
done
case "$column" in ci | long) ;; *) usage ;; esac
case "$first_seed" in '' | *[!0-9]*) usage ;; esac
[ -z "$log" ] || column=ci
for id in $chosen; do
    [ -n "${words[$id]:-}" ] || { echo "scorecard: there is no line $id" >&2; exit 2; }
done

work=$(mktemp -d "${TMPDIR:-/tmp}/ladderline-scorecard.XXXXXX")
job=
cancelled=
failed=0
missing=0
keep_work=
finish() {
    [ -z "$job" ] || kill -TERM -- "-$job" 2>/dev/null
    [ -n "$keep_work" ] || rm -rf "$work"
}
trap finish EXIT
trap 'cancelled=yes; [ -z "$job" ] || kill -INT -- "-$job" 2>/dev/null' INT TERM

commit=$(git -C "$root" rev-parse --short HEAD 2>/dev/null || echo unknown)
[ -z "$(git -C "$root" status --porcelain 2>/dev/null)" ] || commit+=+changes
machine="$(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -1), $(nproc) cores, Linux $(uname -r)"

size_of() {
    local id=$1
    if [[ ${!id:-} =~ ^[0-9]+$ ]]; then echo "${!id}"; elif [ "$column" = ci ]; then echo "${ci_size[$id]}"
    else echo "${long_size[$id]}"; fi
}
is_asked() {
    if [ -n "$chosen" ]; then [[ " $chosen " == *" $1 "* ]]; else [ -n "$log" ] || [ "$(size_of "$1")" != - ]; fi
}

row() {
    printf '%-4s %-43s %-41s %-25s %-21s %-48s %7s\n' "$@"
}
# tell ID SIZE RESULT SECONDS: the row, and its line of the record.
tell() {
    local id=$1
    row "$id" "${words[$id]}" "$2" "${ci_goal[$id]}" "${long_goal[$id]}" "$3" "$4"
    [ -z "$record" ] || printf '%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s s\t%s\n' "$(date -u +%FT%TZ)" "$commit" "$column" "$id" \
        "${words[$id]}" "$2" "$3" "$4" "$machine" >>"$record"
}

is_recorded() {
    awk -F '\t' -v commit="$commit" -v column="$column" -v id="$1" \
        '$2 == commit && $3 == column && $4 == id && $7 ~ /^0 failed/ && $7 !~ /cancelled/ { found = 1 }
        END { exit !found }' "$record" 2>/dev/null
}

# What a line says while it runs goes to a file; in a process group of its own, so that it can be ended as a whole.
run_line() {
    local id=$1 size=$2
    set -m
    "run_$id" "$size" >"$work/$id" 2>&1 </dev/null &
    job=$!
    set +m
    local status=0
    while :; do
        wait "$job"
        status=$?
        kill -0 "$job" 2>/dev/null || break
    done
    job=
    return "$status"
}

# card ID: runs the line, or reads it, and tells it.
card() {
    local id=$1 size result status=0 begun seconds cannot=
    size=$(size_of "$id")
    if [ -n "$resume" ] && is_recorded "$id"; then
        row "$id" "${words[$id]}" "-" "${ci_goal[$id]}" "${long_goal[$id]}" "done before, see $record" "-"
        return
    fi
    [ "$size" != - ] || size=${long_size[$id]}
    begun=$(date +%s%N)
    if [ -n "$cancelled" ]; then
        cannot=cancelled
    elif [ -n "$log" ]; then
        "log_$id" >"$work/$id" || status=$?
    elif declare -F "lacks_$id" >/dev/null && cannot=$("lacks_$id") && [ -n "$cannot" ]; then
        :
    elif [ -n "$builds" ] && [ -n "${needs[$id]}" ] && ! build_for "${needs[$id]}"; then
        cannot="${needs[$id]} cannot be built, see $work/build"
        keep_work=yes
    else
        run_line "$id" "$size" || status=$?
    fi
    seconds=$(awk -v from="$begun" -v to="$(date +%s%N)" 'BEGIN { printf "%.1f", (to - from) / 1e9 }')
    [ -z "$log" ] || seconds=$(seconds_in_log "$work/$id")
    if [ -n "$cannot" ] || [ "$status" -eq 77 ]; then
        missing=$((missing + 1))
        tell "$id" "0" "not run: ${cannot:-$(tail -1 "$work/$id")}" "$seconds"
        return
    fi
    IFS=$'\t' read -r size result < <("read_$id" <"$work/$id")
    if [ -z "${result:-}" ] && [ -n "$cancelled" ]; then
        missing=$((missing + 1))
        tell "$id" "0" "not run: cancelled before anything was counted" "$seconds"
        return
    fi
    if [ -z "${result:-}" ] || { [ "$status" -ne 0 ] && [[ $result == "0 failed"* ]]; }; then
        result="FAILED: exit code $status${result:+, though what it counted says $result}"
    fi
    if [[ $result != "0 failed"* ]]; then
        failed=$((failed + 1))
        keep_work=yes
        result+="; see $work/$id"
    elif [ -n "$cancelled" ]; then
        missing=$((missing + 1))
        result+="; cancelled"
    fi
    tell "$id" "${size:-0}" "$result" "$seconds"
}

build_for() {
    [ -f "$build/build.ninja" ] || { echo "no build in $build" >"$work/build"; return 1; }
    # shellcheck disable=SC2086
    ninja -C "$build" $1 >"$work/build" 2>&1
}

[ -z "$log" ] || is_sanitized || unset -f log_R11
row line "what" "run now" "goal of CI" "goal of a long run" "result" "seconds"
for id in "${order[@]}"; do
    [ -z "$chosen" ] || is_asked "$id" || continue
    if [ -n "$log" ] && ! declare -F "log_$id" >/dev/null; then
        [ -z "$chosen" ] || missing=$((missing + 1))
        row "$id" "${words[$id]}" 0 "${ci_goal[$id]}" "${long_goal[$id]}" "not part of this run of ctest" "-"
    elif is_asked "$id"; then
        card "$id"
    else
        row "$id" "${words[$id]}" 0 "${ci_goal[$id]}" "${long_goal[$id]}" "not in this column; --lines $id runs it" "-"
    fi
done
[ -z "$log" ] || echo "(read from a run of ctest: seconds are those of the whole tests that hold the line)"
echo "scorecard: $failed failed, $missing asked for and not run; commit $commit, $machine"
[ "$failed" -eq 0 ] && [ "$missing" -eq 0 ]
