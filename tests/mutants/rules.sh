#!/bin/bash
# Switches each rule of who counts, who reads and whose key it is off in turn, on a scratch copy of the tree, and asks
# that a unit test fails. Prints one line a rule; ends with 1 if a rule can be lost without anybody noticing.
#
#   tests/mutants/rules.sh              all rules
#   tests/mutants/rules.sh return       those whose name holds that word
#
# A mutant is four lines: its name; the binary that must fail, and the file; text that stands there once; what replaces
# it.
set -euo pipefail

here=$(cd "$(dirname "$0")/../.." && pwd)
scratch=$(mktemp -d "${TMPDIR:-/tmp}/ladderline-rules.XXXXXX")
trap 'rm -rf "$scratch"' EXIT
wanted=${1:-}

mutants() {
    cat <<'LIST'
* no right needed
unit_protocol protocol/circle/fold.cpp
- if (!author || !is_allowed(past.state, Author{*author, e.author}, act)) return false;
+ if (!author) return false;
* own log is no past
unit_protocol protocol/circle/fold.cpp
- if (before != before_in_log_.end()) links.insert(before->second);
+
* cut is ignored for acts
unit_protocol protocol/circle/removals.cpp
- return last == r.last_seq.end() || e.seq > last->second;
+ return false;
* supports are ignored
unit_protocol protocol/circle/removals.cpp
- return std::any_of(supports.begin(), supports.end(), [&](std::size_t s) { return voids(removal, s); });
+ return false;
* what the remover saw is void too
unit_protocol protocol/circle/removals.cpp
-  || events_.at(removal).past->has(event)) return false;
+ ) return false;
* mutual removal voids both
unit_protocol protocol/circle/removals.cpp
- if (set.has(hit) && !mutual(hit) && !is_void(hit, set)) gone = true;
+ if (set.has(hit)) gone = true;
* laxest cut counts
unit_protocol protocol/circle/goings.cpp
- if (std::tie(other.seq, other.event) < std::tie(cut.seq, cut.event)) cut = other;
+ if (std::tie(cut.seq, cut.event) < std::tie(other.seq, other.event)) cut = other;
* unnamed log is not cut
unit_protocol protocol/circle/goings.cpp
- std::erase_if(out, [&](const auto& entry) { return !cuts.contains(entry.first); });
+ if (out.empty() || !cuts.contains(out.begin()->first)) continue;
* cut is ignored for words
unit_protocol protocol/circle/state.cpp
- last = std::min(last, cut->second.seq);
+
* extension needs to know nothing
unit_protocol protocol/circle/goings.cpp
- if (!has_all(past[i], removals) || !has_all(past[i], all(What::revocation))) continue;
+
* return needs to know nothing
unit_protocol protocol/circle/goings.cpp
- [&](std::size_t back) { return has_all(past[back], all(What::removal)); });
+ [&](std::size_t) { return true; });
* old removal follows a return
unit_protocol protocol/circle/removals.cpp
- if (!r.device && came_back_between(removal, e)) return false;
+
* second removal keeps the first cuts
unit_protocol protocol/circle/goings.cpp
- [&](std::size_t removal) { return !is_replaced(removal); });
+ [&](std::size_t removal) { return removal == removal || is_replaced(removal); });
* in-between log counts after a return
unit_protocol protocol/circle/state.cpp
- std::any_of(first_ctl.begin(), first_ctl.end(),
+ !std::all_of(first_ctl.begin(), first_ctl.end(),
* revoked device speaks
unit_protocol protocol/circle/state.cpp
- if (member == nullptr || member->removed || revoked.contains(device)) return std::nullopt;
+ if (member == nullptr || member->removed) return std::nullopt;
* revoked device's words count
unit_protocol protocol/circle/state.cpp
- if (of_device != revoked.end() && !cut_by(of_device->second)) return std::nullopt;
+
* revocation takes the whole member
unit_protocol protocol/circle/removals.cpp
- if (r.device && *r.device != e.device) return false;
+
* device reports itself lost
unit_protocol protocol/circle/state.cpp
- if (by == device) {
+ if (by == device && false) {
* false certificates pass
unit_protocol protocol/circle/acts.cpp
- event.genuine && std::visit
+ std::visit
* foreign device is taken
unit_protocol protocol/circle/acts.cpp
- return known == state.devices.end() || known->second.member == device.member;
+ return known == known;
* false reader list passes
unit_protocol protocol/circle/acts.cpp
- rotate.members == digest_of(members_of(past, rotate.readers));
+ true;
* anybody rotates
unit_protocol protocol/circle/acts.cpp
- may_rotate(past, author.member) && (rotate
+ (rotate
* widest epoch first
unit_protocol protocol/circle/epochs.cpp
- if (a.first != b.first) return b.first;
+ if (a.first != b.first) return a.first;
* no order of rank
unit_protocol protocol/circle/epochs.cpp
- if (a.rank != b.rank) return a.rank > b.rank;
+
* removal leaves the key
unit_protocol protocol/circle/epoch_order.cpp
- state.epochs.back().is_stale = misses_a_going(&past[i]);
+
* founding key outlives a removal
unit_protocol protocol/circle/epoch_order.cpp
- state.founding_key_is_stale = heads.empty() && misses_a_going(nullptr);
+
* consent has no end
unit_protocol protocol/circle/epochs.cpp
-  || state.consent->said.keep_until < today) return false;
+ ) return false;
* consent cannot be taken back
unit_protocol protocol/circle/epochs.cpp
- state.consent->said.withdrawn || state
+ state
* one adult is enough
unit_protocol protocol/circle/epochs.cpp
- (has_two_adults(state) && consent_in_force(state, today))
+ consent_in_force(state, today)
* household key for everybody
unit_protocol protocol/circle/epochs.cpp
- return readers_on(state, today) == Readers::everyone && !is_closed;
+ return readers_on(state, today) == Readers::everyone && is_closed == is_closed;
* anybody consents
unit_protocol protocol/circle/acts.cpp
- return may_consent(past, author.member).has_value();
+ return past.is_founded() || may_consent(past, author.member).has_value();
* wrapped key goes unproved
unit_protocol protocol/sync/wraps.cpp
- if (id_of_key(out) != key) return
+ if (false) return
* unasked keys are taken
unit_protocol protocol/sync/wraps.cpp
- if (!asked_.contains({answer.circle, copy.key})) continue;
+
* keys for strangers' circles
unit_protocol protocol/sync/wraps.cpp
- if (!is_shared(request.circle)) return
+ if (false) return
* link's key goes unproved
unit_protocol protocol/circle/epochs.cpp
- if (id_of_key(key) != link.key) return
+ if (false) return
* forks overwrite
unit_store store/event_log/remote.cpp
- if (held != e.id) return Appended::forked;
+
* rotation under a foreign key
unit_store store/event_log/event_log.cpp
- return !rotation || rotation.value().key != header.key;
+ return false;
* old key is written under
unit_store store/event_log/keys.cpp
- "key_id = (SELECT epoch FROM circle WHERE circle = ?1) DESC, "
+
* copies for anybody
unit_store store/circles/wrap_shelf.cpp
- if (is_own && !may_read(state.value(), peer->device, key, today_)) return std::optional<Wrap>();
+
* grants for anybody
unit_store store/circles/wrap_shelf.cpp
-  || !may_read(state.value(), device->device, id_of_key(key.value()), today)) {
+ ) {
LIST
}

# One source tree and one build of the binaries, changed back after every mutant.
(cd "$here" && git ls-files -z | xargs -0 tar cf - 2>/dev/null) | tar xf - -C "$scratch"
log="$scratch/build.log"
build() { nice ninja -C "$scratch/build" "$1" >"$log" 2>&1; }
cmake -S "$scratch" -B "$scratch/build" -G Ninja -DCMAKE_BUILD_TYPE=Debug -DLADDERLINE_WERROR=OFF \
    --log-level=ERROR >/dev/null
for binary in unit_protocol unit_store; do
    build "$binary" && (cd "$scratch/build" && "tests/$binary" >/dev/null) || {
        echo "The tests of $binary fail before any rule is switched off; see to that first."
        exit 1
    }
done

survived=0
while IFS= read -r name && IFS= read -r where && IFS= read -r text && IFS= read -r instead; do
    name=${name#"* "} binary=${where%% *} file=${where#* } text=${text#"- "} instead=${instead#+}
    instead=${instead# }
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
