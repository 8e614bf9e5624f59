# What the lines of the scorecard have in common: what a program said, or a log of ctest, becomes "SIZE<tab>RESULT".
# A result without a fault begins with "0 failed"; nothing at all is printed if nothing was counted.

with_commas() {
    awk '{ while (match($0, /[0-9][0-9][0-9][0-9]+/)) {
        at = RSTART + RLENGTH - 3
        $0 = substr($0, 1, at - 1) "," substr($0, at)
    } print }'
}

# from_log TEST ...: what these tests of ctest said; 0 if all passed, 77 if one is not in the log.
from_log() {
    local name status=0
    for name in "$@"; do
        awk -v name="$name" '
            /^[0-9]+\/[0-9]+ Testing: / { open = $3 == name; found = found || open }
            open { print }
            open && /^Test (Passed\.|Pass Reason:)$/ { passed = 1 }
            END { exit !found ? 77 : !passed }' "$log" || { status=$?; [ "$status" -ne 77 ] || break; }
    done
    [ "$status" -ne 77 ] || echo "$name is not in $log"
    return "$status"
}

# The time of all tests in a piece of a log.
seconds_in_log() {
    awk '/^Test time = / { sum += $4 } END { printf "%.1f", sum }' "$1"
}

# said KIND: the ranges, runs and failures of lines such as "KIND 1-24: 24 run, 0 failed".
said() {
    awk -v kind="$1" -v word="$2" '
        match($0, kind " [0-9]+-[0-9]+: [0-9]+ run, [0-9]+ failed") {
            split(substr($0, RSTART + length(kind) + 1, RLENGTH), part, /[-: ,]+/)
            first[++n] = part[1] + 0; last[n] = part[2] + 0; run += part[3]; failed += part[5]
        }
        END {
            if (!n) exit
            for (i = 2; i <= n; i++)  # few, so by insertion
                for (k = i; k > 1 && first[k] < first[k - 1]; k--) {
                    t = first[k]; first[k] = first[k - 1]; first[k - 1] = t
                    t = last[k]; last[k] = last[k - 1]; last[k - 1] = t
                }
            ranges = first[1] "-"; end = last[1]
            for (i = 2; i <= n; i++) {
                if (first[i] != end + 1) ranges = ranges end ", " first[i] "-"
                end = last[i]
            }
            printf "%d %s, seeds %s%d\t%d failed\n", run, word, ranges, end, failed
        }'
}

# kept KIND: the rounds of "KIND: rounds 300, acknowledged 4850, ..., lost 0, ...", summed.
kept() {
    awk -v kind="$1" '
        index($0, kind ": rounds ") {
            n++
            text = substr($0, index($0, kind))
            for (; match(text, /[a-z]+ [0-9]+/); text = substr(text, RSTART + RLENGTH)) {
                split(substr(text, RSTART, RLENGTH), part, " ")
                if (part[1] == "rounds") rounds += part[2]
                if (part[1] == "acknowledged") acknowledged += part[2]
                if (part[1] == "lost") lost += part[2]
            }
        }
        END { if (n) printf "%d\t%d\t%d\n", rounds, acknowledged, lost }'
}

# cases BINARY FILTER...: how many cases of a doctest binary these filters choose.
cases() {
    local binary=$1
    shift
    "$build/tests/$binary" --count "$@" 2>/dev/null | sed -n 's/.*filters: *\([0-9]*\).*/\1/p'
}
# Failures of one test file in what its binary said. A binary that ended early has no summary, and counts as one.
faults_of() {
    awk -v file="$1" '
        index($0, file ":") && /(ERROR|FATAL)/ { n++ }
        /^\[doctest\] test cases:/ { whole = 1 }
        END { print n + !whole }'
}
