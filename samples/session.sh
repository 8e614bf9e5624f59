#!/usr/bin/env bash
# Runs the session of the README: two people, two fresh stores, two nodes, on the loopback of this machine. Every
# command is taken from the README as it stands there, and every line that the README shows must come.
#   samples/session.sh [PROGRAM]     PROGRAM: ladderline, if it is not the one that samples/demo.sh builds
#
# Between the README and a run differ: addresses, invite codes, check words, groups of the spare key, dates and times.
# "..." in the README stands for any text. A line of check words stands for as many others.
set -euo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
program=${1:-$root/build/node/ladderline}
[ -x "$program" ] || { echo "session: $program is not there; samples/demo.sh builds it" >&2; exit 2; }

session=$(mktemp -d "${LADDERLINE_TEST_SCRATCH:-/tmp}/ladderline-session.XXXXXX")
nodes=()
finish() {
    for pid in "${nodes[@]}"; do kill "$pid" 2>/dev/null || true; done
    for pid in "${nodes[@]}"; do wait "$pid" 2>/dev/null || true; done
    [ -n "${LADDERLINE_TEST_SCRATCH:-}" ] || rm -rf "$session"  # else searched for plain text, and removed, afterwards
}
trap finish EXIT
trap 'exit 130' INT TERM

(umask 077 && printf 'the session only: seven made-up words\n' >"$session/the.passphrase")
export LADDERLINE_PASSPHRASE_FILE=$session/the.passphrase
export LADDERLINE_PASSPHRASE_MEMORY_MIB=${LADDERLINE_PASSPHRASE_MEMORY_MIB:-64}

declare -A address=([max]= [ada]=)     # of the nodes that run
declare -A in_text=([max]=192.168.1.20:7300 [ada]=192.168.1.30:7300)
code=
words=
groups=
alphabet='Alfa|Bravo|Charlie|Delta|Echo|Foxtrot|Golf|Hotel|India|Juliett|Kilo|Lima|Mike|November|Oscar|Papa|Quebec'
alphabet="($alphabet|Romeo|Sierra|Tango|Uniform|Victor|Whiskey|X-ray|Yankee|Zulu)"

give_up() {
    printf 'session: %s\n' "$1" >&2
    exit 1
}

addresses_in() {
    local text=$1 who
    for who in max ada; do
        [ -z "${address[$who]}" ] || text=${text//${in_text[$who]}/${address[$who]}}
    done
    printf '%s\n' "$text"
}
# A command of the README with the code, the words and the groups of this run.
of_this_run() {
    sed -E "s/LADDER-\.\.\./$code/; s/--heard \"[^\"]*\"/--heard \"$(last_words)\"/
        s/--confirm \"[^\"]*\"/--confirm \"$groups\"/" <<<"$(addresses_in "$1")"
}
last_words() { sed -E 's/^.* ([^ ]+ [^ ]+)$/\1/' <<<"$words"; }

# A line of the README as a pattern of the shell.
pattern_of() {
    local line
    line=$(addresses_in "$1")
    if [[ $line =~ ^\ +$alphabet(\ $alphabet)*$ ]]; then
        sed -E "s/$alphabet/@@/g; s/@@/[A-Z]*/g" <<<"$line"
        return
    fi
    sed -E 's/[][\\*?]/\\&/g; s/\.\.\./*/g
        s/[0-9]{4}-[0-9]{2}-[0-9]{2}/????-??-??/g; s/T[0-9]{2}:[0-9]{2}Z/T??:??Z/g' <<<"$line"
}

# shows OUTPUT LINES...: each of the README's lines is in the output, in this order
shows() {
    local out=$1 expected pattern line found
    shift
    exec 3<<<"$out"
    for expected in "$@"; do
        pattern=$(pattern_of "$expected")
        found=no
        while IFS= read -r line <&3; do
            # shellcheck disable=SC2053
            if [[ $line == $pattern ]]; then found=yes; break; fi
        done
        if [ "$found" = no ]; then missing=$expected; exec 3<&-; return 1; fi
    done
    exec 3<&-
}

# What later commands need of what was printed.
remember() {
    local out=$1 found
    found=$(grep -oE 'LADDER-[0-9A-Z]+' <<<"$out" | head -n 1 || true)
    [ -z "$found" ] || code=$found
    found=$(grep -E "^ +($alphabet ){5}$alphabet\$" <<<"$out" | head -n 1 || true)
    [ -z "$found" ] || words=$found
    found=$(grep -oE '\b[0-9A-Z]{5}\b' <<<"$out" | head -n 2 | tr '\n' ' ' || true)
    [[ $found != *' '*' ' ]] || groups=${found% }
}

start_node() {
    local who=$1 _
    "$program" --home "$session/$who" run --listen 127.0.0.1:0 >"$session/$who.out" 2>&1 &
    nodes+=("$!")
    for _ in $(seq 1 600); do
        grep -q 'Your pages are at' "$session/$who.out" && break
        sleep 0.1
    done
    address[$who]=127.0.0.1:$(sed -n 's/^Other nodes reach this one on port \([0-9]*\).*/\1/p' "$session/$who.out")
}

# run_block WHO COMMAND LINES...: looking is repeated until it shows the lines, because syncing takes a moment
run_block() {
    local who=$1 command out tries=1 _
    command=$(of_this_run "$2")
    shift 2
    printf '\n%s$ %s\n' "$who" "$command"
    if [ "$command" = 'ladderline run' ]; then
        start_node "$who"
        cat "$session/$who.out"
        shows "$(cat "$session/$who.out")" "$@" || give_up "the README shows a line that did not come: $missing"
        return
    fi
    case "${command#ladderline }" in next* | way* | sees* | waiting*) tries=300 ;; esac
    for _ in $(seq 1 "$tries"); do
        # The words of the README, quotes and all; it is our own text.
        out=$(eval "'$program' --home '$session/$who' ${command#ladderline }" 2>&1) ||
            [ "$tries" -gt 1 ] || give_up "it was refused: $out"
        if shows "$out" "$@"; then
            printf '%s\n' "$out"
            remember "$out"
            return
        fi
        [ "$tries" = 1 ] || sleep 0.1
    done
    printf '%s\n' "$out"
    give_up "the README shows a line that did not come: $missing"
}

# The blocks of the section: a line "who$ ladderline ...", then lines of output.
missing=
count=0
who=
block=()
flush() {
    [ -z "$who" ] || { run_block "$who" "${block[@]}"; count=$((count + 1)); }
    who=
}
inside=no
fenced=no
while IFS= read -r line <&4; do
    case "$line" in
        '## A session of twenty minutes') inside=yes; continue ;;
        '## '*) inside=no ;;
    esac
    [ "$inside" = yes ] || continue
    if [[ $line == '```'* ]]; then
        flush
        [ "$fenced" = no ] && fenced=yes || fenced=no
    elif [ "$fenced" = yes ] && [[ $line =~ ^(max|ada)\$\ (ladderline\ .*)$ ]]; then
        command=${BASH_REMATCH[2]} next=${BASH_REMATCH[1]}
        flush
        who=$next
        block=("${command%% \#*}")
    elif [ "$fenced" = yes ] && [ -n "$line" ] && [ "$line" != ... ]; then
        block+=("$line")
    fi
done 4<"$root/README.md"
[ "$count" -ge 20 ] || give_up "the README's session has only $count commands"
printf '\nThe README is true: %d commands.\n' "$count"
