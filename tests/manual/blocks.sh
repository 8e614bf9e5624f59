#!/usr/bin/env bash
# Runs every block of a manual that is marked "sh", command by command, as the person whom the page is for.
#   tests/manual/blocks.sh PROGRAM PAGE [BUILD]    PAGE: of node/manual, or README.md; BUILD: for `cmake --install`
#
# A block "sh guardian" is typed by that other person. Between a page and its run differ: codes, addresses, groups of
# the spare key, dates, and folders that only root may write to. `ladderline run` goes on running. What needs root or
# systemd (sudo, apt, systemctl, loginctl) is done by the functions at the end: they look whether what is named is
# there, and a service is started with the words of its own unit, without the manager.
set -euo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
program=$(realpath "$1")
paper=$2
build=${3:+$(realpath "$3")}
page=$(basename "$paper" .md)

scratch=$(mktemp -d "${LADDERLINE_TEST_SCRATCH:-/tmp}/ladderline-manual.XXXXXX")
nodes=()
finish() {
    for pid in "${nodes[@]}"; do kill "$pid" 2>/dev/null || true; done
    for pid in "${nodes[@]}"; do wait "$pid" 2>/dev/null || true; done
    [ -n "${LADDERLINE_TEST_SCRATCH:-}" ] || rm -rf "$scratch"  # else searched for plain text, and removed, afterwards
}
trap finish EXIT
trap 'exit 130' INT TERM

unset LADDERLINE_HOME XDG_DATA_HOME XDG_CONFIG_HOME
export LADDERLINE_PASSPHRASE_MEMORY_MIB=8

give_up() {
    printf 'manual: %s: %s\n' "$paper" "$1" >&2
    exit 1
}

# as WHO WORDS...: the program with that person's home, from that person's folder; the store is where it is by itself
as() {
    local who=$1
    shift
    (cd "$scratch/$who" && HOME=$scratch/$who LADDERLINE_PASSPHRASE_FILE=$scratch/$who/the.passphrase \
        "$program" "$@" </dev/null)
}
settle() {
    mkdir -p "$scratch/$1"
    (umask 077 && printf 'the manuals only: seven made-up words\n' >"$scratch/$1/the.passphrase")
}
newly() {
    settle "$1"
    as "$@" >/dev/null
}

declare -A address=()
# node_of WHO WORDS...: in the background; up when it says where it is reached
node_of() {
    local who=$1 out=$scratch/$1.out _
    shift
    (cd "$scratch/$who" && HOME=$scratch/$who LADDERLINE_PASSPHRASE_FILE=$scratch/$who/the.passphrase \
        exec "$program" "$@" --listen 127.0.0.1:0) </dev/null >"$out" 2>&1 &
    nodes+=("$!")
    for _ in $(seq 1 600); do
        grep -qE 'Your pages are at|The courier is reached' "$out" && break
        sleep 0.1
    done
    address[$who]=127.0.0.1:$(
        sed -nE 's/^(Other nodes reach this one|The courier is reached) on port ([0-9]+).*/\2/p' "$out"
    )
    [ "${address[$who]}" != 127.0.0.1: ] || give_up "no node came up: $(cat "$out")"
}

code_of() { grep -oE '(LADDER|COURIER)-[0-9A-Z]+' <<<"$1" | head -n 1; }
# join_by WHO OF WORDS...: WHO is let in by an invite of OF
join_by() {
    local who=$1 of=$2
    shift 2
    as "$who" join "$(code_of "$(as "$of" invite "$@" --address "${address[$of]}")")" >/dev/null
}
until_true() {
    local what=$1 _
    shift
    for _ in $(seq 1 300); do
        if "$@" >/dev/null 2>&1; then return 0; fi
        sleep 0.1
    done
    give_up "gave up waiting until $what"
}

has_row() { as olive review | grep -q "Ada Finch, stage"; }
found_club() {
    newly olive begin --name "Olive Penn" --as officer --club "Example Valley Radio Club"
    node_of olive run
}
max_of_the_club() {
    newly max begin --name "Max Dale" --as mentor --call KF1XMD --locator FN31 --zone America/New_York
    node_of max run
    join_by max olive club --as mentor
    as max card --room 3 --times "Tue 18:00-21:00, Sat 09:00-12:00" --bands "2m" >/dev/null
}
ada_of_the_club() {
    newly ada begin --name "Ada Finch" --locator FN31 --zone America/New_York
    node_of ada run
    join_by ada olive club --as newcomer
    as ada card --times "Tue 19:00-21:00" --bands "2m" >/dev/null
}

# Who types, what they answer to the guide, and who else is there; then, what happens after a command of the page.
code=
answers=()
case $page in
    newcomer)
        me=ada
        answers=("Ada Finch" 1 no "" America/New_York yes "" "" 3)
        found_club
        max_of_the_club
        code=$(code_of "$(as olive invite club --as newcomer)") ;;
    mentor)
        me=max
        answers=("Max Dale" 2 KF1XMD America/New_York yes "" "" 3)
        found_club
        ada_of_the_club
        code=$(code_of "$(as olive invite club --as mentor)") ;;
    officer)
        me=olive
        answers=("Olive Penn" 3 "Example Valley Radio Club" "" America/New_York yes "" "") ;;
    courier)
        me=keeper
        newly keeper begin --name "Kit Barlow" --as mentor
        found_club
        settle ladderline-courier
        mkdir -m 700 "$scratch/ladderline-courier/state" "$scratch/ladderline-courier/etc" ;;
    what_if)
        me=ada
        found_club
        max_of_the_club
        ada_of_the_club
        join_by max ada path --as mentor
        until_true "Max sees Ada's way" as max way Ada
        as ada share --until "$(date -u -d '+180 days' +%F)" >/dev/null
        until_true "Max holds Ada's circles" as max sees
        as ada --json paper | sed 's/.*"key":"\([^"]*\)".*/\1/' >"$scratch/ada/spare_key.txt"
        settle anew  # Ada at another machine
        cp "$scratch/ada/spare_key.txt" "$scratch/anew/spare_key.txt"
        printf 'another one, for the manuals only\n' >"$scratch/ada/new.txt"
        printf 'and a third one, for the manuals only\n' >"$scratch/ada/newer.txt"
        kill "${nodes[-1]}"
        wait "${nodes[-1]}" || true ;;
    tour)
        me=ada
        answers=("Ada Finch" 1 no "" America/New_York yes "" "" 3)
        found_club
        max_of_the_club
        code=$(code_of "$(as olive invite club --as newcomer)") ;;
    commands)
        me=ada
        found_club
        max_of_the_club
        ada_of_the_club
        join_by max ada path --as mentor
        until_true "Max sees Ada's way" as max way Ada
        as ada share --until "$(date -u -d '+180 days' +%F)" >/dev/null
        until_true "Olive has Ada's row" has_row ;;
    security | privacy)
        me=ada
        found_club
        ada_of_the_club ;;
    safeguarding)
        me=cy
        answers=("Cy Marsh" 1 yes "" America/New_York yes "" "" 3)
        newly gale begin --name "Gale Marsh" --as guardian
        newly sam begin --name "Sam Orr" --as second-adult
        node_of gale run
        node_of sam run ;;
    README)
        me=you
        answers=("Your Name" 1 no "" America/New_York yes "" "" 3) ;;
    *) give_up "this page has no scene" ;;
esac
[ -d "$scratch/$me" ] || settle "$me"

after() {
    case "$page: $1" in
        'newcomer: invite path --as mentor'*) as max join "$code" >/dev/null ;;
        'mentor: join '*)
            [ -n "${let_in:-}" ] ||
                code=$(code_of "$(as ada invite path --as mentor --address "${address[ada]}")")
            let_in=yes ;;
        'mentor: assign '*)
            until_true "Ada's node has it" sh -c "HOME='$scratch/ada' '$program' way --all | grep -q 'asked for'"
            as ada tick 0.8 >/dev/null
            as ada tick 1.17 >/dev/null ;;
        'officer: run'*)
            ada_of_the_club
            max_of_the_club
            newly bo begin --name "Bo Lindt"
            node_of bo run
            join_by bo olive club --as newcomer ;;
        'tour: invite path --as mentor'*) as max join "$code" >/dev/null ;;
        'safeguarding: invite path --as guardian'*) as gale join "$code" >/dev/null ;;
        'safeguarding: invite path --as second-adult'*) as sam join "$code" >/dev/null ;;
    esac
}

# A word of the page as it is in this run. The day of consent must not lie in the past, nor the time of a contact, of
# which the page then says that it was made: that is taken from ten minutes before.
word_of_this_run() {
    case $2 in
        LADDER-... | CODE) printf %s "$code" ;;
        192.168.1.20:7300) printf %s "${address[$([ "$page" = what_if ] && echo max || echo olive)]:-127.0.0.1:7300}" ;;
        192.168.1.30:7300) printf %s "${address[$me]:-127.0.0.1:7300}" ;;
        192.168.1.40:7300) printf %s "${address[ladderline-courier]:-127.0.0.1:7300}" ;;
        20[0-9][0-9]-[01][0-9]-[0-3][0-9]) date -u -d '+180 days' +%F | tr -d '\n' ;;
        20[0-9][0-9]-*Z) date -u -d "$([ "$1" = meet ] && echo '+8 min' || echo '-1 hour')" +%FT%H:%MZ | tr -d '\n' ;;
        /var/lib/ladderline-courier*) printf %s "$scratch/ladderline-courier/state${2#/var/lib/ladderline-courier}" ;;
        /etc/ladderline-courier*) printf %s "$scratch/ladderline-courier/etc${2#/etc/ladderline-courier}" ;;
        *) printf %s "$2" ;;
    esac
}

# What a page types. A refusal has changed nothing, so it is typed again for a while: syncing takes a moment.
ladderline() {
    local words=() word out verdict='' i _
    for word in "$@"; do words+=("$(word_of_this_run "$1" "$word")"); done
    printf '%s$ ladderline %s\n' "$me" "$*"
    if [ "$*" = begin ]; then
        out=$(cd "$scratch/$me" && HOME=$scratch/$me LADDERLINE_PASSPHRASE_FILE=$scratch/$me/the.passphrase \
            "$program" begin --guide < <(printf '%s\n' "${answers[@]}")) || give_up "the guide gave up: $out"
        grep -q 'You are set up' <<<"$out" || give_up "the guide did not come to its end: $out"
        printf '%s\n' "$out"
        return
    fi
    [[ " $* " != *' recover '* ]] || words=(--paper-key-file spare_key.txt "${words[@]}")
    if [ "$1" = run ]; then
        node_of "$me" "${words[@]}"
        cat "$scratch/$me.out"
        after "$*"
        return
    fi
    for _ in $(seq 1 200); do
        if out=$(as "$me" "${words[@]}" 2>&1); then verdict=good; break; fi
        sleep 0.1
    done
    printf '%s\n' "$out"
    [ -n "$verdict" ] || give_up "it was refused: $*"
    [ -z "$(code_of "$out")" ] || code=$(code_of "$out")
    for ((i = 1; i < ${#words[@]}; i++)); do
        [ "${words[i - 1]}" != --new-passphrase-file ] || cp "$scratch/$me/${words[i]}" "$scratch/$me/the.passphrase"
    done
    after "$*"
}

# The words of a unit, with the folders of this run.
start_unit() {
    local who=$1 unit=$2 word words=()
    for word in $(sed -n 's/^ExecStart=ladderline //p' "$root/node/package/$unit"); do
        words+=("$(word_of_this_run run "${word//%E/$scratch/$who/.config}")")
    done
    node_of "$who" "${words[@]}"
    cat "$scratch/$who.out"
}
systemctl() {
    printf '%s$ systemctl %s\n' "$me" "$*"
    case "$*" in
        '--user enable --now ladderline') start_unit "$me" ladderline.service ;;
        'enable --now ladderline-courier') start_unit ladderline-courier courier.service ;;
        'status ladderline-courier') [ -n "${address[ladderline-courier]:-}" ] ;;
        *) give_up "nothing is known of systemctl $*" ;;
    esac
}
loginctl() { [ "$*" = enable-linger ] || give_up "nothing is known of loginctl $*"; }
sudo() {
    local before=$me
    case "$1 ${2:-}" in
        '-u ladderline-courier')
            grep -q "^u $2 " "$root/node/package/courier.sysusers" || give_up "the package makes no user $2"
            me=$2
            "${@:3}"
            me=$before ;;
        'apt install') [ "$3" = ./ladderline.deb ] || give_up "nothing is known of $*" ;;
        'cmake --install')
            [ -n "$build" ] || give_up "say the build, for $*"
            grep -q '^ninja .* ladderline papers$' "$root/samples/demo.sh" || give_up "the demo builds less than that"
            DESTDIR=$scratch/installed cmake --install "$build" >/dev/null
            find "$scratch/installed" -name ladderline -type f -perm -111 | grep -q . || give_up "there is no program"
            find "$scratch/installed" -name ladderline.1.gz | grep -q . || give_up "there is no manual page"
            rm -rf "$scratch/installed" ;;  # the program holds the words of its own tables
        'systemctl '*) "$@" ;;
        *) give_up "nothing is known of sudo $*" ;;
    esac
}

cd "$scratch/$me"
HOME=$scratch/$me
if [ "$page" = README ]; then
    for script in samples/demo.sh tests/run.sh; do  # tests of their own
        [ -x "$root/$script" ] || give_up "there is no $script"
        mkdir -p "$(dirname "$script")"
        printf '#!/bin/sh\n' >"$script"
        chmod 700 "$script"
    done
fi

count=0
block=
reader=
person=$me
declare -A people=([guardian]=gale [mentor]=max [officer]=olive [anew]=anew)
number=0
while IFS= read -r line <&4; do
    number=$((number + 1))
    case "$line" in
        '```sh'*)
            reader=yes
            me=$person
            block=${line#'```sh'}
            [ -z "${block// /}" ] || me=${people[${block// /}]:-} ;;
        '```'*) reader= ;;
        *)
            if [ -n "$reader" ] && [ -n "$line" ]; then
                [ -n "$me" ] || give_up "line $number: nobody is known as $block"
                eval "$line" || give_up "line $number went wrong: $line"
                count=$((count + 1))
            fi ;;
    esac
done 4<"$root/$paper"
[ "$count" -ge 1 ] || give_up "it has no command"
printf '\n%s is true: %d commands.\n' "$paper" "$count"
