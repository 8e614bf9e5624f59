#!/usr/bin/env bash
# Searches every file that the tests of this run left under the scratch folder for texts that only ever stood in
# encrypted stores. Passes if none is found there, and some in the unencrypted control store; then removes the folder.
#   marker_scan.sh begin FOLDER     an empty folder for the run
#   marker_scan.sh search FOLDER    the search
set -uo pipefail

# Plain by intent, by name: what a person typed (passphrases, logs to be taken in, question pools), exports and prints
# that they asked for, and the control.
plain=(-name '*.passphrase' -o -name '*.adi' -o -name 'pool.txt' -o -name 'wrong' -o -name '*.plain' -o -name 'export*'
    -o -name '*.html' -o -name '*.csv' -o -name '*.ics' -o -name 'events.jsonl' -o -path '*/ladderline-control.*')

# Texts that tests write into stores, and the beginning of every SQLite file.
markers=('MARKER-kept' 'MARKER-in the program' 'MARKER-beacon' 'still in the log' 'Ada Finch' 'seven made-up words'
    'certificate in hand' 'CREATE TABLE event' 'SQLite format 3')

fail() {
    echo "marker scan: $1"
    exit 1
}

[ $# -eq 2 ] || fail "usage: marker_scan.sh begin|search FOLDER"
folder=$2
case "$1" in
    begin)
        rm -rf "$folder" && mkdir -p "$folder" || fail "no folder $folder"
        exit 0 ;;
    search) ;;
    *) fail "begin or search?" ;;
esac

patterns=()
for marker in "${markers[@]}"; do patterns+=(-e "$marker"); done
files=$(find "$folder" -type f ! \( "${plain[@]}" \) | wc -l)
bytes=$(find "$folder" -type f ! \( "${plain[@]}" \) -printf '%s\n' | awk '{ s += $1 } END { print s + 0 }')
hits=$(find "$folder" -type f ! \( "${plain[@]}" \) -print0 | xargs -0 -r grep -laF "${patterns[@]}")
if [ -n "$hits" ]; then
    echo "$hits" | head -20
    fail "texts of an encrypted store stand in the files above"
fi
# The same search must find them where they are plain.
control=0
for marker in 'MARKER-kept' 'CREATE TABLE event' 'SQLite format 3'; do
    found=$(find "$folder" -type f -path '*/ladderline-control.*' -print0 | xargs -0 -r grep -aoF -e "$marker" | wc -l)
    [ "$found" -gt 0 ] || fail "the control store does not show '$marker', so the search proves nothing"
    control=$((control + found))
done
stores=$(find "$folder" -type f -name 'store.db' ! -path '*/ladderline-control.*' | wc -l)
[ "$stores" -gt 0 ] || fail "no store was written under $folder"
echo "marker scan: stores $stores, files $files, bytes $bytes, markers found 0; in the plain control $control"
rm -rf "$folder"
