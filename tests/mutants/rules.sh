#!/bin/bash
# Switches each rule of who counts, who reads and whose key it is off in turn, on a scratch copy of the tree, and asks
# that a unit test fails. Prints one line a rule; ends with 1 if a rule can be lost without anybody noticing.
#
#   tests/mutants/rules.sh              all rules
#   tests/mutants/rules.sh return       those whose name holds that word
#
# A mutant is: name | file | text that stands there once | what replaces it | binary that must fail.
set -euo pipefail

here=$(cd "$(dirname "$0")/../.." && pwd)
scratch=$(mktemp -d "${TMPDIR:-/tmp}/ladderline-rules.XXXXXX")
trap 'rm -rf "$scratch"' EXIT
wanted=${1:-}

mutants() {
    cat <<'LIST'
no right needed|protocol/circle/fold.cpp|if (!author \|\| !is_allowed(past.state, Author{*author, e.author}, act)) return false;|if (!author) return false;|unit_protocol
own log is no past|protocol/circle/fold.cpp|if (before != before_in_log_.end()) links.insert(before->second);||unit_protocol
cut is ignored for acts|protocol/circle/removals.cpp|return last == r.last_seq.end() \|\| e.seq > last->second;|return false;|unit_protocol
supports are ignored|protocol/circle/removals.cpp|return std::any_of(supports.begin(), supports.end(), [&](std::size_t s) { return voids(removal, s); });|return false;|unit_protocol
what the remover saw is void too|protocol/circle/removals.cpp| \|\| events_.at(removal).past->has(event)) return false;|) return false;|unit_protocol
mutual removal voids both|protocol/circle/removals.cpp|if (set.has(hit) && !mutual(hit) && !is_void(hit, set)) gone = true;|if (set.has(hit)) gone = true;|unit_protocol
laxest cut counts|protocol/circle/goings.cpp|if (std::tie(other.seq, other.event) < std::tie(cut.seq, cut.event)) cut = other;|if (std::tie(cut.seq, cut.event) < std::tie(other.seq, other.event)) cut = other;|unit_protocol
unnamed log is not cut|protocol/circle/goings.cpp|std::erase_if(out, [&](const auto& entry) { return !cuts.contains(entry.first); });|std::erase_if(out, [&](const auto&) { return false; }); for (const auto& [l, c] : out) { if (!cuts.contains(l)) return out; }|unit_protocol
cut is ignored for words|protocol/circle/state.cpp|last = std::min(last, cut->second.seq);||unit_protocol
extension needs to know nothing|protocol/circle/goings.cpp|if (!has_all(past[i], removals) \|\| !has_all(past[i], all(What::revocation))) continue;||unit_protocol
return needs to know nothing|protocol/circle/goings.cpp|[&](std::size_t back) { return has_all(past[back], all(What::removal)); });|[&](std::size_t) { return true; });|unit_protocol
old removal follows a return|protocol/circle/removals.cpp|if (!r.device && came_back_between(removal, e)) return false;||unit_protocol
second removal keeps the first cuts|protocol/circle/goings.cpp|[&](std::size_t removal) { return !is_replaced(removal); });|[&](std::size_t removal) { return removal == removal \|\| is_replaced(removal); });|unit_protocol
in-between log counts after a return|protocol/circle/state.cpp|std::any_of(first_ctl.begin(), first_ctl.end(),|!std::all_of(first_ctl.begin(), first_ctl.end(),|unit_protocol
revoked device speaks|protocol/circle/state.cpp|if (member == nullptr \|\| member->removed \|\| revoked.contains(device)) return std::nullopt;|if (member == nullptr \|\| member->removed) return std::nullopt;|unit_protocol
revoked device's words count|protocol/circle/state.cpp|if (of_device != revoked.end() && !cut_by(of_device->second)) return std::nullopt;||unit_protocol
revocation takes the whole member|protocol/circle/removals.cpp|if (r.device && *r.device != e.device) return false;||unit_protocol
device reports itself lost|protocol/circle/state.cpp|if (by == device) {|if (by == device && false) {|unit_protocol
false certificates pass|protocol/circle/acts.cpp|const bool whole = event.genuine && |const bool whole = |unit_protocol
foreign device is taken|protocol/circle/acts.cpp|return known == state.devices.end() \|\| known->second.member == device.member;|return known == known;|unit_protocol
false reader list passes|protocol/circle/acts.cpp|rotate.members == digest_of(members_of(past, rotate.readers));|true;|unit_protocol
anybody rotates|protocol/circle/acts.cpp|return may_rotate(past, author.member) && |return |unit_protocol
widest epoch first|protocol/circle/epochs.cpp|if (a.first != b.first) return b.first;|if (a.first != b.first) return a.first;|unit_protocol
no order of rank|protocol/circle/epochs.cpp|if (a.rank != b.rank) return a.rank > b.rank;||unit_protocol
removal leaves the key|protocol/circle/epoch_order.cpp|state.epochs.back().is_stale = misses_a_going(&past[i]);||unit_protocol
founding key outlives a removal|protocol/circle/epoch_order.cpp|state.founding_key_is_stale = heads.empty() && misses_a_going(nullptr);||unit_protocol
consent has no end|protocol/circle/epochs.cpp| \|\| state.consent->said.keep_until < today) return false;|) return false;|unit_protocol
consent cannot be taken back|protocol/circle/epochs.cpp|if (!state.consent \|\| state.consent->said.withdrawn |if (!state.consent |unit_protocol
one adult is enough|protocol/circle/epochs.cpp|(has_two_adults(state) && consent_in_force(state, today))|consent_in_force(state, today)|unit_protocol
household key for everybody|protocol/circle/epochs.cpp|return readers_on(state, today) == Readers::everyone && !state.household_keys.contains(key);|return readers_on(state, today) == Readers::everyone;|unit_protocol
anybody consents|protocol/circle/acts.cpp|return may_consent(past, author.member).has_value();|return past.is_founded() \|\| may_consent(past, author.member).has_value();|unit_protocol
wrapped key goes unproved|protocol/sync/wraps.cpp|if (id_of_key(out) != key) return|if (false) return|unit_protocol
unasked keys are taken|protocol/sync/wraps.cpp|if (!asked_.contains({answer.circle, copy.key})) continue;||unit_protocol
keys for strangers' circles|protocol/sync/wraps.cpp|if (!is_shared(request.circle)) return|if (false) return|unit_protocol
link's key goes unproved|protocol/circle/epochs.cpp|if (id_of_key(key) != link.key) return|if (false) return|unit_protocol
forks overwrite|store/event_log/remote.cpp|if (held != e.id) return Appended::forked;||unit_store
rotation under a foreign key|store/event_log/event_log.cpp|return !rotation \|\| rotation.value().key != header.key;|return false;|unit_store
old key is written under|store/event_log/keys.cpp|"key_id = (SELECT epoch FROM circle WHERE circle = ?1) DESC, "||unit_store
copies for anybody|store/circles/wrap_shelf.cpp|if (is_own && !may_read(state.value(), peer->device, key, today_)) return std::optional<Wrap>();||unit_store
grants for anybody|store/circles/wrap_shelf.cpp| \|\| !may_read(state.value(), device->device, id_of_key(key.value()), today)) {|) {|unit_store
LIST
}

# One source tree and one build of the binaries, changed back after every mutant.
(cd "$here" && git ls-files -z | xargs -0 tar cf - 2>/dev/null) | tar xf - -C "$scratch"
log="$scratch/build.log"
build() { nice ninja -C "$scratch/build" "$1" >"$log" 2>&1; }
cmake -S "$scratch" -B "$scratch/build" -G Ninja -DCMAKE_BUILD_TYPE=Debug -DLADDERLINE_WERROR=OFF --log-level=ERROR >/dev/null
for binary in unit_protocol unit_store; do
    build "$binary" && (cd "$scratch/build" && "tests/$binary" >/dev/null) || {
        echo "The tests of $binary fail before any rule is switched off; see to that first."
        exit 1
    }
done

survived=0
while IFS= read -r line; do
    # A bar inside a text is written \|.
    readarray -t part < <(sed 's/\\|/\x01/g; s/|/\n/g; s/\x01/|/g' <<<"$line"$'\n')
    name=${part[0]} file=${part[1]} text=${part[2]} instead=${part[3]} binary=${part[4]}
    [[ $name == *"$wanted"* ]] || continue
    cp "$scratch/$file" "$scratch/kept"
    source=$(<"$scratch/$file")
    without=${source/"$text"/}
    verdict=""
    if [[ $without == "$source" ]]; then
        verdict="the rule's text does not stand in $file"
    elif [[ $without == *"$text"* ]]; then
        verdict="the rule's text stands in $file more than once"
    else
        printf '%s\n' "${source/"$text"/"$instead"}" >"$scratch/$file"
    fi
    if [[ -z $verdict ]]; then
        if ! build "$binary"; then
            verdict="does not build"
        elif (cd "$scratch/build" && timeout 600 "tests/$binary" >"$scratch/test.log" 2>&1); then
            verdict="SURVIVED"
        else
            verdict="caught by $(grep -c '^TEST CASE:' "$scratch/test.log") tests"
        fi
    fi
    [[ $verdict == caught* ]] || survived=1
    printf '%-38s %s\n' "$name" "$verdict"
    cp "$scratch/kept" "$scratch/$file"
done < <(mutants)
exit "$survived"
