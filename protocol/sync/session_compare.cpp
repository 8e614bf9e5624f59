// How two sides find out what differs.

#include <algorithm>

#include "protocol/crypto/hash.hpp"
#include "protocol/sync/session.hpp"

namespace ladderline::protocol {
namespace {

// A session begins one comparison, and a few more if the roots differ at the end.
constexpr std::size_t compares_max = 8;
// More changed logs than this are cheaper found by the tree.
constexpr std::size_t changes_max = 1024;

const Error out_of_turn{Fault::peer, "The peer spoke out of turn."};

}  // namespace

Result<void> Session::begin() {
    if (side_ == Side::caller) return ok();
    TRY(read_position());
    HelloMessage message;
    if (position_) message.instance = position_->instance;
    message.arrivals = position_ ? position_->arrivals : 0;
    for (Circle& circle : circles_) {
        TRY(circle.hello_heads, log_.heads(circle.id));
        circle.hello_arrivals = message.arrivals;
        circle.logs_here = circle.hello_heads.size();
        message.circles.push_back({circle.tag, root_of(circle.id, circle.hello_heads)});
    }
    push(message);
    return ok();
}

Result<void> Session::refresh(Circle& circle) {
    if (!std::exchange(circle.tree_stale, false)) return ok();
    TRY(auto heads, log_.heads(circle.id));
    if (heads.size() > limits::heads_max) {
        return Error{Fault::unsupported, "A circle has grown beyond what sync can name."};
    }
    circle.logs_here = heads.size();
    circle.tree = HeadTree(circle.tree_key, std::move(heads));
    return ok();
}

Result<void> Session::on(const HelloMessage& message) {
    greeted_ = true;
    TRY(read_position());
    if (!peer_key_.empty() && position_ && !message.instance.is_zero()) {
        peer_tag_ = hash_as<PeerTag>("ladderline cursor 1", {peer_key_, message.instance.view()});
    }
    AnswerMessage answer;
    if (position_) answer.instance = position_->instance;
    answer.arrivals = position_ ? position_->arrivals : 0;
    std::vector<SyncMessage> next;
    for (const HelloMessage::Entry& entry : message.circles) {
        Circle* circle = find(entry.tag);  // none: the peer thinks this side is in a circle it does not know yet
        if (circle != nullptr && circle->agreed) return Error{Fault::peer, "The peer named a circle twice."};
        if (circle != nullptr) circle->index = static_cast<CircleIndex>(hello_circles_.size());
        hello_circles_.push_back(circle);
        if (circle == nullptr) {
            answer.circles.push_back(HelloAnswer::unknown);
        } else {
            TRY(greet(*circle, message, entry.root, answer, next));
        }
    }
    if (hides_position_) answer = {{}, 0, std::move(answer.circles)};
    push(answer);
    for (const SyncMessage& m : next) push(m);
    for (const Circle& circle : circles_) {
        if (!circle.agreed && circle.to_grant) push(GrantMessage{circle.id, to_bytes(circle.to_grant->view())});
    }
    return ok();
}

Result<void> Session::greet(Circle& circle, const HelloMessage& hello, const Root& root, AnswerMessage& answer,
                            std::vector<SyncMessage>& next) {
    circle.agreed = true;
    circle.peer_known = true;
    TRY(auto heads, log_.heads(circle.id));
    circle.logs_here = heads.size();
    const bool equal = root_of(circle.id, heads) == root;
    circle.peer.assume(std::move(heads));
    if (equal) {
        answer.circles.push_back(HelloAnswer::equal);
        return on_equal(circle, hello.arrivals, answer.arrivals);
    }
    std::optional<Cursor> cursor;
    if (peer_tag_) {
        TRY(cursor, log_.cursor_for(circle.id, *peer_tag_));
    }
    if (cursor && cursor->peer_arrivals <= hello.arrivals && cursor->own_arrivals <= answer.arrivals) {
        TRY(auto told, changes(circle, *cursor, hello.arrivals));
        if (told) {
            answer.circles.push_back(HelloAnswer::cursor);
            next.emplace_back(std::move(*told));
            return ok();
        }
    }
    answer.circles.push_back(HelloAnswer::tree);
    TRY(auto tree, begin_compare(circle));
    note_told(circle, tree);
    next.emplace_back(std::move(tree));
    return ok();
}

// None if a tree is cheaper.
Result<std::optional<ChangesMessage>> Session::changes(Circle& circle, const Cursor& cursor,
                                                       std::uint64_t hello_arrivals) {
    TRY(auto changed, log_.changes_since(circle.id, cursor.own_arrivals));
    if (changed.size() > changes_max) return std::optional<ChangesMessage>();
    ChangesMessage out{circle.index, hello_arrivals - cursor.peer_arrivals, {}};
    for (const LogChange& change : changed) {
        out.logs.push_back(circle.tree.place_of({circle.tree.tag_of(change.now.log), change.now}));
    }
    circle.told_changes = std::move(changed);
    return std::optional(std::move(out));
}

Result<void> Session::on(const AnswerMessage& message) {
    greeted_ = true;
    if (message.circles.size() != circles_.size()) return out_of_turn;
    if (!peer_key_.empty() && position_ && !message.instance.is_zero()) {
        peer_tag_ = hash_as<PeerTag>("ladderline cursor 1", {peer_key_, message.instance.view()});
    }
    for (std::size_t i = 0; i < circles_.size(); ++i) {
        Circle& circle = circles_[i];
        circle.index = static_cast<CircleIndex>(i);
        hello_circles_.push_back(&circle);
        circle.agreed = message.circles[i] != HelloAnswer::unknown;
        auto heads = std::exchange(circle.hello_heads, {});
        switch (message.circles[i]) {
            case HelloAnswer::unknown:
                if (circle.to_grant) push(GrantMessage{circle.id, to_bytes(circle.to_grant->view())});
                break;
            case HelloAnswer::equal: {
                circle.peer.assume(std::move(heads));
                circle.peer_known = true;
                TRY(on_equal(circle, message.arrivals, circle.hello_arrivals));
                if (circle.news) push(Task::What::missing, circle);
                break;
            }
            case HelloAnswer::tree:
                circle.awaiting = Awaiting::tree;
                break;
            case HelloAnswer::cursor:
                circle.awaiting = Awaiting::changes;
                break;
        }
    }
    return ok();
}

Result<void> Session::on(const ChangesMessage& message) {
    TRY(Circle * circle, agreed(message.circle));
    if (circle->awaiting != Awaiting::changes) return out_of_turn;
    circle->awaiting = Awaiting::nothing;
    circle->peer_known = true;
    TRY(auto heads, log_.heads(circle->id));
    circle->peer.assume(std::move(heads));
    if (!position_ || message.behind > circle->hello_arrivals) {
        push(AgainMessage{circle->index});
        return ok();
    }
    TRY(const auto changed, log_.changes_since(circle->id, circle->hello_arrivals - message.behind));
    std::set<LogId> changed_here;
    for (const LogChange& change : changed) {
        circle->peer.set(change.now.log, {change.from});
        changed_here.insert(change.now.log);
    }
    NeedMessage need{circle->index, {}, {}, false};
    std::uint32_t between = 0;
    for (const LogPlace& place : message.logs) {
        const std::size_t before = need.logs.size();
        TRY(learn(*circle, place, &need.logs));
        TRY(const bool unchanged, is_unchanged(*circle, place, changed_here));
        if (need.logs.size() == before || !unchanged) {
            ++between;
            continue;
        }
        need.logs.pop_back();
        need.unchanged.push_back(std::exchange(between, 0));
    }
    finish_compare(*circle, std::move(need));
    return ok();
}

// The log stands here as it did when the two sides held the same: the caller knows the place by itself.
Result<bool> Session::is_unchanged(Circle& circle, const LogPlace& place, const std::set<LogId>& changed) {
    if (place.fork) return false;
    TRY(const HeadTree::Leaf* leaf, leaf_of(circle, place.log));
    return leaf != nullptr && !changed.contains(leaf->head.log);
}

Result<TreeMessage> Session::begin_compare(Circle& circle) {
    circle.compares += 1;
    circle.told_logs.clear();
    circle.heard_logs = 0;
    circle.awaiting = Awaiting::turn;
    circle.tree_stale = true;
    TRY(refresh(circle));
    TRY(auto heads, log_.heads(circle.id));
    circle.peer.assume(std::move(heads));
    return TreeMessage{circle.index, {describe(circle, HeadTree::root)}};
}

TreeNode Session::describe(const Circle& circle, NodePath path) const {
    TreeNode out;
    out.path = path;
    const auto leaves = circle.tree.under(path);
    out.by_log = leaves.size() <= HeadTree::leaf_logs_max || HeadTree::is_deepest(path);
    if (out.by_log) {
        for (const HeadTree::Leaf& leaf : leaves) out.logs.push_back(circle.tree.place_of(leaf));
    } else {
        for (std::size_t i = 0; i < HeadTree::fanout; ++i) {
            out.digests[i] = circle.tree.digest(HeadTree::child(path, i));
        }
    }
    return out;
}

Result<void> Session::on(const TreeMessage& message) {
    TRY(Circle * circle, agreed(message.circle));
    const bool begins = side_ == Side::called && (circle->awaiting == Awaiting::tree ||
                                                  (circle->awaiting == Awaiting::nothing && circle->peer_known));
    if (!begins && circle->awaiting != Awaiting::turn) return out_of_turn;
    if (begins) {
        if (message.nodes.size() != 1 || message.nodes.front().path != HeadTree::root) return out_of_turn;
        if (circle->compares == compares_max) return Error{Fault::peer, "The peer asks for more than it takes."};
        circle->peer_known = true;
        circle->in_step = false;
        TRY(const TreeMessage same_start, begin_compare(*circle));
    }
    std::vector<TreeNode> replies;
    std::vector<NeedPlace> needs;
    NodePath last = 0;
    for (const TreeNode& node : message.nodes) {
        if (!HeadTree::is_path(node.path) || node.path <= last) return out_of_turn;
        last = node.path;
        TRY(compare_node(*circle, node, replies, needs));
        // Asked after each node: the answer to one message could be 32 times as many nodes.
        if (replies.size() > limits::tree_nodes_max || needs.size() > limits::heads_max) return out_of_turn;
    }
    NeedMessage need{circle->index, std::move(needs), {}, false};
    if (replies.empty()) {
        finish_compare(*circle, std::move(need));
    } else {
        if (!need.logs.empty()) push_counted(*circle, need);
        circle->awaiting = Awaiting::turn;
        const TreeMessage turn{circle->index, std::move(replies)};
        note_told(*circle, turn);
        push(turn);
    }
    return ok();
}

Result<void> Session::compare_node(Circle& circle, const TreeNode& node, std::vector<TreeNode>& replies,
                                   std::vector<NeedPlace>& needs) {
    if (node.by_log) return compare_logs(circle, node, needs);
    if (HeadTree::is_deepest(node.path)) return out_of_turn;
    for (std::size_t i = 0; i < HeadTree::fanout; ++i) {
        const NodePath path = HeadTree::child(node.path, i);
        if (circle.tree.digest(path) == node.digests[i]) continue;
        if (node.digests[i].is_zero()) {
            for (const HeadTree::Leaf& leaf : circle.tree.under(path)) circle.peer.set(leaf.head.log, {});
        } else {
            replies.push_back(describe(circle, path));
        }
    }
    return ok();
}

// The peer's logs under one node, all of them.
Result<void> Session::compare_logs(Circle& circle, const TreeNode& node, std::vector<NeedPlace>& needs) {
    std::set<LogTag> listed;
    for (const LogPlace& place : node.logs) listed.insert(place.log);
    for (const HeadTree::Leaf& leaf : circle.tree.under(node.path)) {
        if (!listed.contains(leaf.tag)) circle.peer.set(leaf.head.log, {});
    }
    for (const LogPlace& place : node.logs) {
        const std::size_t before = needs.size();
        TRY(learn(circle, place, &needs));
        circle.heard_logs += 1;
        if (needs.size() == before || circle.heard_logs > limits::heads_max) continue;
        needs.back().number = static_cast<std::uint32_t>(circle.heard_logs);
    }
    return ok();
}

// The peer may name by their numbers the logs that are listed.
void Session::note_told(Circle& circle, const TreeMessage& message) {
    for (const TreeNode& node : message.nodes) {
        for (const LogPlace& place : node.logs) {
            if (circle.told_logs.size() < limits::heads_max) circle.told_logs.push_back(place.log);
        }
    }
}

// A side that lacks something cannot end yet: it leaves the first Done to the other.
void Session::finish_compare(Circle& circle, NeedMessage need) {
    circle.awaiting = Awaiting::nothing;
    circle.peer_known = true;
    push(Task::What::missing, circle);
    if (need.logs.empty() && need.unchanged.empty()) return push(Task::What::done, circle);
    need.ends_comparison = true;
    push_counted(circle, need);
}

Result<const HeadTree::Leaf*> Session::leaf_of(Circle& circle, const LogTag& tag) {
    const HeadTree::Leaf* leaf = circle.tree.find(tag);
    if (leaf == nullptr && circle.tree_stale) {
        TRY(refresh(circle));
        leaf = circle.tree.find(tag);
    }
    return leaf;
}

// Takes down how far the peer has a log. `needs`: where to put what this side lacks of it; none if the peer asked.
// Where the peer's copy is not a part of this side's nothing is sent, because it would not fit there: the place where
// they part is looked for.
Result<void> Session::learn(Circle& circle, const LogPlace& place, std::vector<NeedPlace>* needs) {
    if (place.next_seq > limits::seq_max) return out_of_turn;
    TRY(const HeadTree::Leaf* found, leaf_of(circle, place.log));
    if (found == nullptr) {
        if (needs != nullptr) needs->push_back({{place.log, 0, std::nullopt, {}}});
        return ok();
    }
    HeadTree::Leaf mine = *found;
    if (circle.tree_stale) {
        TRY(mine.head.next_seq, log_.next_seq(circle.id, mine.head.log));
        mine.head.head = {};
        if (mine.head.next_seq > 0) {
            TRY(const auto id, log_.event_id(circle.id, mine.head.log, mine.head.next_seq - 1));
            mine.head.head = id.value_or(EventId{});
        }
        TRY(const auto proof, log_.fork_proof(circle.id, mine.head.log));
        mine.head.fork = proof ? std::optional(proof->seq) : std::nullopt;
    }
    const LogHead& head = mine.head;
    circle.peer.set(head.log, {place.next_seq, place.fork});
    const bool lacks_proof = place.fork && (!head.fork || *head.fork > *place.fork);
    const bool lacks_events = place.next_seq > head.next_seq && (!head.fork || head.next_seq < *head.fork);
    if (lacks_proof || lacks_events) {
        if (needs != nullptr) needs->push_back({circle.tree.place_of(mine)});
        if (lacks_events) return ok();
    }
    const std::uint64_t common = std::min(place.next_seq, head.next_seq);
    if (common == 0 || place.next_seq > head.next_seq) return ok();
    TRY(const auto id, log_.event_id(circle.id, head.log, common - 1));
    if (id && circle.tree.head_tag(head.log, common, *id) == place.head) return ok();
    circle.peer.set(head.log, {limits::seq_max, place.fork});  // news of it would not fit there either
    if (!lacks_proof) return probe(circle, mine, common);
    return ok();
}

// Asks once a session for the last event that both have, in places twice as far back each.
Result<void> Session::probe(Circle& circle, const HeadTree::Leaf& mine, std::uint64_t below) {
    const LogHead& head = mine.head;
    if (!circle.probed.insert(head.log).second) return ok();
    ProbeMessage message{circle.index, mine.tag, {}};
    for (std::uint64_t back = 1; back < below; back *= 2) {
        const std::uint64_t next = below - back;
        TRY(const auto id, log_.event_id(circle.id, head.log, next - 1));
        if (id) message.places.push_back({next, circle.tree.head_tag(head.log, next, *id)});
    }
    push_counted(circle, message);
    return check_failure();
}

}  // namespace ladderline::protocol
