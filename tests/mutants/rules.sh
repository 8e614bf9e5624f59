#!/bin/bash
# Switches each rule of who counts, who reads and whose key it is off in turn, on a scratch copy of the tree, and asks
# that a unit test fails. Prints one line a rule; ends with 1 if a rule can be lost without anybody noticing.
#
#   tests/mutants/rules.sh              all rules
#   tests/mutants/rules.sh return       those whose name, or whose file, holds that word
#   tests/mutants/rules.sh --look       only asks that each rule's text still stands once in its file
#
# A mutant is four lines: its name; the binary that must fail, and the file; text that stands there once; what replaces
# it.
set -euo pipefail

here=$(cd "$(dirname "$0")/../.." && pwd)
look=""
[ "${1:-}" != --look ] || { look=yes; shift; }
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
- return last == removal.last_seq.end() || e.seq > last->second;
+ return false;
* supports are ignored
unit_protocol protocol/circle/removals.cpp
- hits_[i] |= hits_[support];
+
* what was built before the removal came stays
unit_protocol protocol/circle/removals.cpp
- hit.insert(hit.end(), resting_on_[event].begin(), resting_on_[event].end());
+
* what the remover saw is void too
unit_protocol protocol/circle/removals.cpp
-  || removal.past->has(event)) return false;
+ ) return false;
* mutual removal voids both
unit_protocol protocol/circle/removals.cpp
- for (const std::size_t removal : ring) standing.reset(removal);
+
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
- if (seq) last = std::min(last, *seq);
+
* extension needs to know nothing
unit_protocol protocol/circle/goings.cpp
- if (has_all(past[i], in_force_) && has_all(past[i], revocations_)) extensions_
+ extensions_
* return needs to know nothing
unit_protocol protocol/circle/goings.cpp
- is_back_ = is_back_ || has_all(past[i], in_force_);
+ is_back_ = true;
* old removal follows a return
unit_protocol protocol/circle/removals.cpp
- if (!forgiven.has(removal) && voids(
+ if (forgiven.has(i) || voids(
* second removal keeps the first cuts
unit_protocol protocol/circle/goings.cpp
- std::erase_if(in_force_, [&](std::size_t removal) { return past[back].has(removal); });
+
* in-between log counts after a return
unit_protocol protocol/circle/state.cpp
- std::any_of(first_ctl.begin(), first_ctl.end(),
+ !std::all_of(first_ctl.begin(), first_ctl.end(),
* lost device is forgotten with its certificate
unit_protocol protocol/circle/fold.cpp
- member = removals_.member_of(i);
+ member = standing.state.devices.contains(std::get<RevokeBody>(act).device) ? removals_.member_of(i) : MemberId{};
* who comes later is not asked whether they went
unit_protocol protocol/circle/fold.cpp
- if (is_new) settle(standing, admit->member, i);
+
* revoked device speaks
unit_protocol protocol/circle/state.cpp
- if (member == nullptr || member->removed || revoked.contains(device)) return std::nullopt;
+ if (member == nullptr || member->removed) return std::nullopt;
* revoked device's words count
unit_protocol protocol/circle/state.cpp
- if (of_device != revoked.end() && !cut_by(of_device->second.cuts, of_device->second.member)) return std::nullopt;
+
* revocation takes the whole member
unit_protocol protocol/circle/removals.cpp
- Ends& ends = device ? devices_[*device] : members_[member];
+ Ends& ends = members_[member];
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
* guardian's key goes before no other
unit_protocol protocol/circle/epoch_order.cpp
- MemberRole::guardian ? 1 : 0
+ MemberRole::guardian ? 0 : 0
* removal leaves the key
unit_protocol protocol/circle/epoch_order.cpp
- epoch.is_stale = epoch.is_stale || makes_stale(*this, leaves, i, unseen);
+
* founding key outlives a removal
unit_protocol protocol/circle/epoch_order.cpp
- state.founding_key_is_stale = heads.empty() && !closing.is_empty();
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
+ return readers_on(state, today) == Readers::everyone;
* an ended consent opens again
unit_protocol protocol/circle/epochs.cpp
- [](const Epoch& e) { return e.consent_had_ended; })) {
+ [](const Epoch&) { return false; })) {
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
* answers that nobody asked for are looked at
unit_protocol protocol/sync/wraps.cpp
- if (awaited == open_.end()) {
+ if (false) {
* one circle uses up what others ask
unit_protocol protocol/sync/wraps.cpp
- std::size_t asked = count_in(asked_, circle);
+ std::size_t asked = asked_.size();
* keys for strangers' circles
unit_protocol protocol/sync/wraps.cpp
- if (!is_shared(request.circle)) return
+ if (false) return
* link's key goes unproved
unit_protocol protocol/circle/epochs.cpp
- if (id_of_key(key) != link.key) return
+ if (false) return
* forks are passed over
unit_store store/event_log/remote.cpp
- if (held == e->id) continue;
+ if (!held || *held != EventId{}) continue;
* rotation under a foreign key
unit_store store/event_log/event_log.cpp
- return !rotation || rotation.value().key != header.key;
+ return false;
* old key is written under
unit_store store/event_log/keys.cpp
- epoch AS key_id, 0 AS place
+ epoch AS key_id, 2 AS place
* copies for anybody
unit_store store/circles/wrap_shelf.cpp
- if (is_own && !may_any_read(*state.value(), owners, key, today_)) return std::optional<Wrap>();
+
* one member's inventions go first
unit_store store/circles/wrap_shelf.cpp
- out[member].push_back(std::move(log.keys));
+ out[MemberId{}].push_back(std::move(log.keys));
* oldest key is asked for first
unit_store store/circles/wrap_shelf.cpp
- std::tuple(a.log, b.last_seq) < std::tuple(b.log, a.last_seq);
+ std::tuple(a.log, a.last_seq) < std::tuple(b.log, b.last_seq);
* a log stands in front each time
unit_store store/circles/wrap_shelf.cpp
- begin_anywhere(logs, random_);
+
* grants for anybody
unit_store store/circles/wrap_shelf.cpp
-  || !may_any_read(*state.value(), devices, id_of_key(key.value()), today)) {
+ ) {
* coming back opens everything
unit_store store/circles/return_keys.cpp
- return !may_read(state, device.device, id_of_key(key), today);
+ return false;
* anybody's change of key counts
unit_store store/circles/circle_model.cpp
-  || state.without_effect.contains(e.id)) continue;
+ ) continue;
* keys that are linked to stand before the circle's own
unit_store store/circles/held_keys.cpp
- if (keys.size() == count_max) return keys;
+ keys.clear();
* being let back outlives the certificate
unit_store store/circles/circle_model.cpp
- if (state.devices.contains(device) || state.revoked.contains(device)) shown.push_back(device);
+
* a circle is remembered too long
unit_store store/circles/known_states.cpp
- { out.events = row.integer(0); }
+ { out.events = row.integer(0) * 0; }
* a fork is overlooked
unit_store store/circles/known_states.cpp
- { out.lost = row.integer(0); }
+ { out.lost = row.integer(0) * 0; }
* what was undone is remembered
unit_store store/circles/known_states.cpp
- if (db_.in_transaction()) {
+ if (false) {
* events beyond a fork count
unit_store store/circles/circle_model.cpp
- "AND NOT EXISTS (SELECT 1 FROM fork_proof AS f WHERE f.circle = e.circle AND f.log = e.log AND f.seq <= e.seq)",
+ "",
* forked log is shown whole
unit_store store/event_log/remote.cpp
- out.next_seq = *out.fork;
+
* a run ends where a log forks
unit_protocol protocol/event/run_cutter.cpp
- if (!counts && covered() == run_.events.size()) return false;
+ if (!counts) return false;
* nothing is kept beyond a fork
unit_store store/event_log/remote.cpp
- if (log->fork) fresh = fresh.first(kept_at_fork(fresh, *log->fork - mine, opening));
+ if (log->fork) fresh = fresh.first(std::min<std::uint64_t>(fresh.size(), *log->fork - mine));
* one branch proves a fork
unit_protocol protocol/event/fork_proof.cpp
- if (!verify(other.last.view(), proof.other.signature, device)) return no_proof;
+
* absurd clock is followed
unit_store store/event_log/event_log.cpp
-  && last.wall.ms <= now.ms + follow_ms_max)
+ )
* event out of another circle
unit_protocol protocol/event/chain.cpp
- if (log_id_of(committed, opening) != run.log) return Error{Fault::peer, "A log's name does not fit its opening."};
+
* seal names no circle
unit_protocol protocol/event/event.cpp
- header.body_hash = {};
+ header.body_hash = {}; header.circle = {}; header.log = {};
* old frames open again
unit_protocol protocol/handshake/cipher_state.cpp
- ++counter_;
+
* bodies of any size
unit_protocol protocol/event/chain.cpp
- auto sealed = codec::bounded<limits::body_bytes_max>(e.sealed);
+ auto& sealed = e.sealed;
* unsigned events pass
unit_protocol protocol/event/chain.cpp
- while (count > 0 && !is_signed(count)) --count;
+
* a signature stands over any number of events
unit_protocol protocol/event/chain.cpp
- at = before < at ? before : out = signed_beginning(reach - 1);
+ at = before < at ? before : reach - 1;
* who left is not seen off
unit_store store/circles/new_key.cpp
- if (!member.left || !may_remove(state, by, id)) continue;
+ continue;
* who came back side by side keeps the key
unit_protocol protocol/circle/epoch_order.cpp
- if (is_last) out[member].push_back(i);
+ out[member].push_back(i);
* who is gone is removed again
unit_protocol protocol/circle/state.cpp
- && target->second.left && !target->second.seen_off;
+ ;
* who was removed side by side has left
unit_protocol protocol/circle/goings.cpp
- knew = knew && past[removal].first_common(leaves).has_value();
+
* gaps are filled with nothing
unit_store store/event_log/remote.cpp
- if (run.first_seq > mine) return Appended::gap;
+ if (run.first_seq > mine) return Appended::known;
* roots are not compared at the end
unit_protocol protocol/sync/session_events.cpp
- if (root_of(circle->id, heads) == message.root) {
+ if (root_of(circle->id, heads) == message.root || all_sent) {
* no end to what is under way
unit_protocol protocol/sync/session_events.cpp
- if (run_bytes_taken_ - run_bytes_told_ >= limits::flight_bytes_max) {
+ if (false) {
* nonsense has an effect
unit_protocol protocol/circle/acts.cpp
- return found.level <= level_max;
+ return found.level <= level_max + 100;
* access without proof
unit_protocol protocol/courier/messages.cpp
- return verify(access_proof(claim.circle, claim.access, handshake).view(), claim.proof, claim.access);
+ return !claim.circle.is_zero() || handshake.is_zero();
* anybody renews at a courier
unit_protocol protocol/courier/messages.cpp
- return verify(renew_proof(message.circle, message.access, handshake).view(), message.by_registrar, registrar);
+ return !registrar.is_zero() || handshake.is_zero() || message.circle.is_zero();
* forged receipt is kept
unit_protocol protocol/courier/messages.cpp
- return verify(receipt_proof(receipt).view(), receipt.by_courier, courier);
+ return !courier.is_zero() || receipt.circle.is_zero();
* a word is placed by its clock alone
unit_protocol protocol/event/word_order.cpp
- if (!is_first) out[word->second].push_back(std::prev(word)->second);
+ if (!is_first) continue;
* a word that was seen moves nowhere
unit_protocol protocol/event/word_order.cpp
- if (const auto found = by_id.find(id); found != by_id.end()) out[place].push_back(found->second);
+ if (const auto found = by_id.find(id); found == by_id.end()) out[place].clear();
* a fork's proof is not counted
unit_store store/courier/quota_view.cpp
- if (outcomes[i] == Appended::forked) {
+ if (false) {
* a fork's proof needs no room
unit_store store/courier/quota_view.cpp
- bytes + proof_bytes_max(log->second, runs[i])
+ bytes
* a code takes over a circle's place
unit_store store/courier/courier_desk.cpp
- if (expected && !proven.contains({message.circle, *expected})) {
+ if (expected && proven.size() > limits::list_max) {
* commitment is not checked
unit_protocol protocol/handshake/check_words.cpp
- if (equal_secret(check_commit(handshake, responder_nonce).view(), commitment.view())) return ok();
+ if (!handshake.is_zero() || commitment.is_zero() || responder_nonce.is_zero()) return ok();
* a crowded circle takes new logs
unit_protocol protocol/sync/session_events.cpp
- if (circle.logs_here <= logs_taken_max) return true;
+ return true;
* a crowded circle takes proofs of new logs
unit_protocol protocol/sync/session_events.cpp
- if (!fits) return ok();
+ if (!fits && message.proof.opening.device.is_zero()) return ok();
* what other sessions began takes no room
unit_protocol protocol/sync/session_events.cpp
- circle.logs_here = std::max(circle.logs_here, heads.size());
+
* a crowded circle takes new logs from a bundle
unit_store store/carry/bundle_in.cpp
- if (logs_here_ >= logs_taken_max) {
+ if (logs_here_ >= 2 * logs_taken_max) {
* what others begin while a bundle is read takes no room
unit_store store/carry/bundle_in.cpp
- logs_here_ = std::max(logs_here_, heads.size());
+ if (logs_here_ == 0) logs_here_ = heads.size();
* made-up proofs make everybody fold
unit_store store/event_log/forks.cpp
- const bool changes = is_new && held && held->next_seq > 0;
+ const bool changes = is_new;
* a member's devices take all copies of a key
unit_store store/circles/new_key.cpp
- constexpr std::size_t member_copies_max = 64;
+ constexpr std::size_t member_copies_max = 1'000'000;
* more copies than a key has keep it from being changed
unit_store store/circles/new_key.cpp
- if (out.size() > limits::wrap_copies_max) out.resize(limits::wrap_copies_max);
+
* what builds on an event beyond a fork waits for it
unit_protocol protocol/circle/fold.cpp
- if (known_.contains(link)) links.insert(link);
+ links.insert(link);
* nobody names what stands beside the heads
unit_protocol protocol/circle/fold.cpp
- add_footing(heads, standing);
+
* a minor lets in a further guardian
unit_protocol protocol/circle/state.cpp
- TRY(check_guardians_word(state, by, role == MemberRole::guardian));
+
* a minor changes a guardian's seat
unit_protocol protocol/circle/state.cpp
- TRY(check_guardians_word(state, by, role == MemberRole::guardian || target->role == MemberRole::guardian));
+
LIST
}

# One source tree and one build of the binaries, changed back after every mutant.
[ -n "$look" ] || (cd "$here" && git ls-files -z | tar cf - --null --files-from -) | tar xf - -C "$scratch"
log="$scratch/build.log"
# A rule that is gone may leave a name unused, which is no reason not to build.
hush() {
    local what
    for what in variable parameter function but-set-variable but-set-parameter; do
        echo "#pragma GCC diagnostic ignored \"-Wunused-$what\""
    done
}
# What a sync costs is no rule, and measuring it takes longer than all the rest. One test that fails is enough.
run() {
    # In a shell of its own, whose word about a process that was aborted nobody needs.
    (cd "$scratch/build" && timeout 600 "tests/$1" -aa=1 -tce="*cost*,*without a cursor*" >"$scratch/test.log" 2>&1
        exit $?) 2>/dev/null
}
# What a run that failed with that status says of the mutant. A run without an end names no rule: it is no kill.
judge() {
    local test
    test=$(sed -n 's/^TEST CASE: *//p' "$scratch/test.log" | head -n 1)
    if [ -n "$test" ]; then
        echo "killed by \"$test\""
    elif [ "$1" = 124 ]; then
        echo "NO END"
    else
        echo "FAILED WITHOUT A TEST"
    fi
}
build() { nice ninja -C "$scratch/build" "$1" >"$log" 2>&1; }
prepare() {
    [ -d "$scratch/build" ] || cmake -S "$scratch" -B "$scratch/build" -G Ninja --log-level=ERROR >/dev/null
    [ ! -e "$scratch/sound-$1" ] || return 0
    build "$1" && run "$1" || {
        echo "The tests of $1 fail before any rule is switched off; see to that first."
        exit 1
    }
    touch "$scratch/sound-$1"
}

# Why that text cannot be replaced; nothing if it stands once.
misplaced() {
    local source=$1 text=$2 file=$3
    local without=${source/"$text"/}
    if [[ $without == "$source" ]]; then
        echo "the rule's text does not stand in $file"
    elif [[ $without == *"$text"* ]]; then
        echo "the rule's text stands in $file more than once"
    fi
}

survived=0
while IFS= read -r name && IFS= read -r where && IFS= read -r text && IFS= read -r instead; do
    name=${name#"* "} binary=${where%% *} file=${where#* } text=${text#"- "} instead=${instead#+}
    instead=${instead# }
    [[ $name == *"$wanted"* || $file == *"$wanted"* ]] || continue
    source=$(<"$here/$file")
    verdict=$(misplaced "$source" "$text" "$file")
    if [[ -n $look ]]; then
        [[ -z $verdict ]] || { survived=1; printf '%-38s %s\n' "$name" "$verdict"; }
        continue
    fi
    if [[ -z $verdict ]]; then
        prepare "$binary"
        cp "$scratch/$file" "$scratch/kept"
        { hush; printf '%s\n' "${source/"$text"/"$instead"}"; } >"$scratch/$file"
        if ! build "$binary"; then
            verdict="does not build"
        elif run "$binary"; then
            verdict="SURVIVED"
        else
            verdict=$(judge $?)
        fi
        cp "$scratch/kept" "$scratch/$file"
    fi
    [[ $verdict == killed* ]] || survived=1
    printf '%-38s %s\n' "$name" "$verdict"
done < <(mutants)
[[ -n $look || -n $wanted ]] || echo "rules: all of them were switched off in turn"
exit "$survived"
