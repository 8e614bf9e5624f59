// Events coming in, and how the two sides know that they hold the same.

#include <algorithm>

#include "protocol/sync/room.hpp"
#include "protocol/sync/session.hpp"

namespace ladderline::protocol {
namespace {

constexpr std::size_t retries_max = 3;

// A message of at least half a batch is one of many.
constexpr std::size_t burst_bytes_min = 32 * 1024;
// In a burst readers are told now and then, about once for each mebibyte.
constexpr std::size_t messages_a_tell = 16;

const Error not_named{Fault::peer, "The peer asked for what was not named."};

const Error more_than_it_takes{Fault::peer, "The peer asks for more than it takes."};

}  // namespace

// Logs that this session brought are not in the tree, which is made anew only where nothing else helps.
Result<std::optional<LogId>> Session::log_of_tag(Circle& circle, const LogTag& tag) {
    const auto begun = circle.begun.find(tag);
    if (begun != circle.begun.end()) return std::optional(begun->second);
    TRY(const HeadTree::Leaf* leaf, leaf_of(circle, tag));
    return leaf != nullptr ? std::optional(leaf->head.log) : std::optional<LogId>();
}

// A run of a log that is named by its tag. None if its earlier events, and with them its name, are not here.
Result<std::optional<Run>> Session::read_entry(Circle& circle, const RunMessage::Entry& entry,
                                               std::vector<NeedPlace>& needs) {
    TRY(Run run, decode_run_body({}, entry.run));
    if (run.opening) {
        run.log = log_id_of(run.opening->founding ? CircleId{} : circle.id, *run.opening);
        if (circle.tree.tag_of(run.log) != entry.log) {
            return Error{Fault::peer, "A log's name does not fit its opening."};
        }
        return std::optional(std::move(run));
    }
    TRY(const auto log, log_of_tag(circle, entry.log));
    if (!log) {
        const auto [asked, first] = circle.asked.emplace(entry.log, 0);
        if (first) needs.push_back({{entry.log, 0, std::nullopt, {}}});
        // Names are made up at no cost; a circle has no more logs than this.
        if (circle.asked.size() > limits::heads_max) return more_than_it_takes;
        return std::optional<Run>();
    }
    run.log = *log;
    return std::optional(std::move(run));
}

Result<void> Session::on(const RunMessage& message) {
    TRY(Circle * circle, in_talk(message.circle));
    if (run_bytes_taken_ - run_bytes_told_ >= limits::flight_bytes_max) {
        return Error{Fault::peer, "The peer sends more at once than was agreed."};
    }
    circle->taken += 1;
    run_bytes_taken_ += message_bytes_;
    std::vector<NeedPlace> needs;
    std::vector<Run> runs;
    for (const RunMessage::Entry& entry : message.runs) {
        TRY(auto run, read_entry(*circle, entry, needs));
        if (!run) continue;
        bool fits = true;
        if (run->opening) {
            TRY(fits, has_room(*circle, run->log));
        }
        if (fits) runs.push_back(std::move(*run));
    }
    // What is dear to work out waits while a peer's past comes in. News come in small messages.
    const bool is_burst = !circle->in_step && message_bytes_ >= burst_bytes_min;
    circle->burst_messages = is_burst ? circle->burst_messages + 1 : 0;
    auto appended = is_burst ? log_.append_burst(circle->id, runs) : log_.append_runs(circle->id, runs);
    TRY(const auto outcomes, std::move(appended));
    ENSURE(outcomes.size() == runs.size());
    for (std::size_t i = 0; i < runs.size(); ++i) {
        TRY(take_outcome(*circle, runs[i], outcomes[i], needs));
    }
    if (!needs.empty()) push_counted(*circle, NeedMessage{circle->index, std::move(needs), {}, false});
    return ok();
}

// A log costs its author a few hundred bytes and every node a place in each comparison. Once a circle has as many as
// can be named, new ones stay with the peer, so that those that are here go on. Other sessions begin logs too, so each
// message that names new ones has them counted anew, until there is no room: then it costs nothing more.
Result<bool> Session::has_room(Circle& circle, const LogId& log) {
    if (circle.begun.contains(circle.tree.tag_of(log))) return true;
    TRY(const std::uint64_t next_seq, log_.next_seq(circle.id, log));
    if (next_seq > 0) return true;
    TRY(const auto proof, log_.fork_proof(circle.id, log));
    if (proof) return true;
    if (circle.logs_here < logs_taken_max && std::exchange(circle.counted_at, circle.taken) != circle.taken) {
        TRY(const auto heads, log_.heads(circle.id));
        circle.logs_here = std::max(circle.logs_here, heads.size());
    }
    circle.logs_here += 1;
    if (circle.logs_here <= logs_taken_max) return true;
    circle.is_full = true;
    return false;
}

Result<void> Session::take_outcome(Circle& circle, const Run& run, Appended outcome, std::vector<NeedPlace>& needs) {
    if (outcome == Appended::forked) {
        note_change(circle);
        push(Task::What::missing, circle);
        return ok();
    }
    const LogTag tag = circle.tree.tag_of(run.log);
    // News can come before the comparison has found that the log parted. The peer is told what is here, and finds the
    // place; whoever goes on all the same is not honest.
    if (outcome == Appended::strange) {
        if (!circle.strange.insert(run.log).second) {
            return Error{Fault::peer, "A run of events carries no valid signature."};
        }
        return ask_from_here(circle, run.log, needs);
    }
    PeerPlace peer = circle.peer.at(run.log);
    peer.next_seq = std::max<std::uint64_t>(peer.next_seq, run.first_seq + run.events.size());
    circle.peer.set(run.log, peer);
    if (outcome == Appended::stored) {
        note_change(circle);
        if (run.opening) circle.begun.emplace(tag, run.log);
    }
    if (outcome != Appended::gap) return ok();
    TRY(const std::uint64_t mine, log_.next_seq(circle.id, run.log));
    const auto [asked, first] = circle.asked.emplace(tag, mine);
    if (!first && std::exchange(asked->second, mine) == mine) return ok();
    return ask_from_here(circle, run.log, needs);
}

Result<void> Session::ask_from_here(Circle& circle, const LogId& log, std::vector<NeedPlace>& needs) {
    TRY(const std::uint64_t mine, log_.next_seq(circle.id, log));
    EventId head;
    if (mine > 0) {
        TRY(const auto id, log_.event_id(circle.id, log, mine - 1));
        head = id.value_or(EventId{});
    }
    needs.push_back({{circle.tree.tag_of(log), mine, std::nullopt, circle.tree.head_tag(log, mine, head)}});
    return ok();
}

Result<void> Session::end_burst(Circle& circle) {
    TRY(log_.end_burst(circle.id));
    if (std::exchange(circle.burst_messages, 0) > 0) tell_change(circle);
    return ok();
}

Result<void> Session::end_bursts() {
    Result<void> outcome = ok();
    for (Circle& circle : circles_) {
        const Result<void> ended = end_burst(circle);
        if (!ended) outcome = ended.error();
    }
    return outcome;
}

void Session::note_change(Circle& circle) {
    circle.tree_stale = true;
    if (circle.burst_messages < 2 || circle.burst_messages % messages_a_tell == 0) tell_change(circle);
}

void Session::tell_change(const Circle& circle) {
    const bool told = std::find(changed_.begin(), changed_.end(), circle.id) != changed_.end();
    if (!told) changed_.push_back(circle.id);
}

Result<void> Session::on(const NeedMessage& message) {
    TRY(Circle * circle, in_talk(message.circle));
    circle->taken += 1;
    for (const NeedPlace& named : message.logs) {
        LogPlace place = named;
        if (named.number > circle->told_logs.size()) return not_named;
        if (named.number > 0) place.log = circle->told_logs[named.number - 1];
        TRY(learn(*circle, place, nullptr));
    }
    std::size_t at = 0;
    for (const std::uint32_t between : message.unchanged) {
        at += between;
        if (at >= circle->told_changes.size()) return not_named;
        const LogChange& change = circle->told_changes[at++];
        circle->peer.set(change.now.log, {change.from});
    }
    if (message.ends_comparison) {
        circle->awaiting = Awaiting::nothing;
        push(Task::What::missing, *circle);
        push(Task::What::done, *circle);
    }
    push(Task::What::missing, *circle);
    return ok();
}

Result<void> Session::on(const ProbeMessage& message) {
    TRY(Circle * circle, in_talk(message.circle));
    circle->taken += 1;
    TRY(const HeadTree::Leaf* leaf, leaf_of(*circle, message.log));
    if (leaf == nullptr) return ok();
    const LogId log = leaf->head.log;
    PeerPlace peer = circle->peer.at(log);
    peer.next_seq = 0;
    for (const ProbeMessage::Place& place : message.places) {
        if (place.next_seq == 0 || place.next_seq > limits::seq_max) continue;
        TRY(const auto id, log_.event_id(circle->id, log, place.next_seq - 1));
        if (!id || circle->tree.head_tag(log, place.next_seq, *id) != place.head) continue;
        peer.next_seq = place.next_seq;
        break;
    }
    circle->peer.set(log, peer);
    push(Task::What::missing, *circle);
    return ok();
}

Result<void> Session::on(const ProofMessage& message) {
    TRY(Circle * circle, in_talk(message.circle));
    circle->taken += 1;
    TRY(verify_fork(circle->id, message.proof));
    const LogId log = log_of(circle->id, message.proof);
    // Of a log that is not here too: whoever makes up devices makes up proofs, and each takes a log's place.
    TRY(const bool fits, has_room(*circle, log));
    if (!fits) return ok();
    TRY(const bool is_new, log_.append_fork_proof(circle->id, message.proof));
    PeerPlace peer = circle->peer.at(log);
    peer.fork = std::min(peer.fork.value_or(message.proof.seq), message.proof.seq);
    circle->peer.set(log, peer);
    if (is_new) note_change(*circle);
    push(Task::What::missing, *circle);
    return ok();
}

// Roots can be compared only if the peer's speaks of all that was sent, and all that is here has been sent. If not, a
// Done of this side follows when that is so.
Result<void> Session::on(const DoneMessage& message) {
    TRY(Circle * circle, in_talk(message.circle));
    if (message.taken > circle->said) return Error{Fault::peer, "The peer took in more than was sent."};
    if (circle->awaiting == Awaiting::turn) finish_compare(*circle, {});  // the peer has nothing more to ask
    TRY(end_burst(*circle));
    TRY(const auto heads, log_.heads(circle->id));
    const bool all_sent =
        std::none_of(heads.begin(), heads.end(), [&](const LogHead& head) { return is_lacked(*circle, head); });
    if (root_of(circle->id, heads) == message.root) {
        std::erase_if(tasks_, [&](const Task& task) { return task.circle == circle; });
        circle->peer.assume(heads);
        TRY(read_position());
        const std::uint64_t own = position_ ? position_->arrivals : 0;
        TRY(on_equal(*circle, message.arrivals, own));
        // Said once for each Done; of several under way only the last counts.
        push(SameMessage{circle->index, ++circle->peer_dones, hides_position_ ? 0 : own});
        return ok();
    }
    circle->peer_dones += 1;
    circle->in_step = false;
    if (all_sent && message.taken == circle->said) return on_mismatch(*circle);
    push(Task::What::missing, *circle);
    push(Task::What::done, *circle);
    return ok();
}

Result<void> Session::on(const SameMessage& message) {
    TRY(Circle * circle, in_talk(message.circle));
    if (message.which == 0 || message.which > circle->dones) return Error{Fault::peer, "The peer spoke out of turn."};
    if (message.which != circle->dones) return ok();
    return on_equal(*circle, message.arrivals, circle->done_arrivals);
}

Result<void> Session::on_equal(Circle& circle, std::uint64_t peer_arrivals, std::uint64_t own_arrivals) {
    circle.in_step = true;
    circle.retries = 0;
    TRY(end_burst(circle));
    if (!peer_tag_) return ok();
    return log_.keep_cursor(circle.id, *peer_tag_, Cursor{peer_arrivals, own_arrivals});
}

// Something is wrong with what one side believes of the other. A few more rounds from the
// tree, then it waits for the next session.
Result<void> Session::on_mismatch(Circle& circle) {
    mismatches_ += 1;
    if (peer_tag_) {
        TRY(log_.keep_cursor(circle.id, *peer_tag_, std::nullopt));
    }
    if (circle.held_back || circle.is_full || circle.retries++ >= retries_max) {
        circle.given_up = true;
        return ok();
    }
    circle.probed.clear();
    circle.asked.clear();
    if (side_ == Side::called) {
        push(AgainMessage{circle.index});
        return ok();
    }
    TRY(const TreeMessage tree, begin_compare(circle));
    note_told(circle, tree);
    push(tree);
    return ok();
}

Result<void> Session::on(const AgainMessage& message) {
    TRY(Circle * circle, in_talk(message.circle));
    if (side_ == Side::called) return Error{Fault::peer, "The peer spoke out of turn."};
    circle->in_step = false;
    if (circle->awaiting == Awaiting::turn) return ok();
    circle->given_up = circle->held_back || circle->is_full || circle->compares > retries_max;
    if (circle->given_up) return ok();
    TRY(const TreeMessage tree, begin_compare(*circle));
    note_told(*circle, tree);
    push(tree);
    return ok();
}

Result<void> Session::on(const AckMessage& message) {
    if (message.bytes > run_bytes_sent_ || message.bytes < run_bytes_acked_) {
        return Error{Fault::peer, "The peer acknowledged what was not sent."};
    }
    run_bytes_acked_ = message.bytes;
    return ok();
}

Result<void> Session::on(const ByeMessage&) {
    peer_bye_ = true;
    return ok();
}

Result<void> Session::on(const GrantMessage& message) {
    if (message.key.size() != AeadKey::size) return Error{Fault::peer, "The peer granted a key that is none."};
    if (grants_.size() < limits::circles_max) grants_.push_back(message);
    return ok();
}

Result<void> Session::on(const JoinMessage&) {
    return Error{Fault::peer, "The peer spoke of joining in a sync."};
}

Result<void> Session::on(const WelcomeMessage&) {
    return Error{Fault::peer, "The peer spoke of joining in a sync."};
}

Result<void> Session::on(const ReturnMessage&) {
    return Error{Fault::peer, "The peer spoke of coming back in a sync."};
}

Result<void> Session::on(const ReturnedMessage&) {
    return Error{Fault::peer, "The peer spoke of coming back in a sync."};
}

}  // namespace ladderline::protocol
