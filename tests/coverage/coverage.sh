#!/usr/bin/env bash
# Which lines of what reads bytes of others, decides who counts, and seals the store are run by the tests of protocol
# and store and by the kept inputs of the fuzzing doors. Prints a table by group; ends with 1 if decoders, fold or VFS
# stay below 95 of 100 lines, or if a test fails.
#   tests/coverage/coverage.sh [--build DIR] [--lines [GROUP]] [--as-run]
#     --build DIR       build folder of its own (default: build-coverage), made where it is not there
#     --lines [GROUP]   also every line that was not run, as file:line
#     --as-run          no build and no run: reads what the last one left
set -uo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
root=$(cd "$here/../.." && pwd)
build=$root/build-coverage
shown=()
runs=yes
usage() {
    echo "usage: tests/coverage/coverage.sh [--build DIR] [--lines [GROUP]] [--as-run]" >&2
    exit 2
}
while [ $# -gt 0 ]; do
    case "$1" in
        --build)
            [ $# -ge 2 ] || usage
            build=$(realpath -m "$2")
            shift ;;
        --lines)
            shown=(--lines)
            case "${2:---}" in --*) ;; *) shown+=("$2"); shift ;; esac ;;
        --as-run) runs= ;;
        *) usage ;;
    esac
    shift
done
give_up() {
    echo "coverage: $1" >&2
    exit 1
}
for tool in gcov python3; do
    command -v "$tool" >/dev/null || give_up "$tool is not installed (Debian packages gcc and python3)."
done

# The doors whose readers are in these groups; the kept inputs alone are knocked with.
doors=(armour beacon bodies bundle fork_proof frame greeting handshake paper_key run session sync_message wraps
    key_file vault)
binaries=(unit_protocol unit_store outside_protocol)
log=$build/coverage.log

build_all() {
    cmake -S "$root" -B "$build" -G Ninja -DCMAKE_BUILD_TYPE=Debug -DLADDERLINE_SANITIZE=OFF --log-level=WARNING \
        -DCMAKE_CXX_FLAGS=--coverage -DCMAKE_CXX_FLAGS_DEBUG=-O0 >"$log" 2>&1 &&
        nice -n "${COVERAGE_NICE:-10}" ninja -C "$build" "${binaries[@]}" "${doors[@]/#/fuzz_}" >>"$log" 2>&1
}
# What ran before must not count.
forget() { find "$build" -name '*.gcda' -delete; }
run_all() {
    local failed=0 name
    for name in "${binaries[@]}"; do
        (cd "$build" && "tests/$name" >"$name.log" 2>&1) || { failed=1; echo "failed: $name, see $build/$name.log"; }
    done
    for name in "${doors[@]}"; do
        (cd "$build" && "tests/fuzz/fuzz_$name" --runs 0 --corpus "$root/tests/fuzz/corpus/$name" \
            --crashers "$root/tests/fuzz/crashers/$name" >"fuzz_$name.log" 2>&1) ||
            { failed=1; echo "failed: fuzz_$name, see $build/fuzz_$name.log"; }
    done
    return "$failed"
}
failed=0
mkdir -p "$build"
if [ -n "$runs" ]; then
    echo "coverage: building in ${build#"$root"/} ($log)"
    build_all || { tail -20 "$log" >&2; give_up "the build stopped."; }
    forget
    echo "coverage: running ${#binaries[@]} test binaries and the kept inputs of ${#doors[@]} doors"
    run_all || failed=1
fi
find "$build" -name '*.gcda' -print0 | (cd "$build" && xargs -0 -r -n 8 gcov --json-format --stdout --branch-counts \
    --branch-probabilities 2>/dev/null) | python3 "$here/table.py" "$root" "${shown[@]}" || failed=1
exit "$failed"
