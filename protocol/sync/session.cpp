// What a session says, and when.

#include "protocol/sync/session.hpp"

#include <algorithm>

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

// What an honest peer can make this side owe: a few messages a circle, a Need or Grant now and then.
constexpr std::size_t waiting_max = 4096;
constexpr std::size_t urgent_bytes_max = 4 * 1024 * 1024;
// Runs of one message: enough to spread its cost, little enough to be one short transaction.
constexpr std::size_t batch_bytes = 64 * 1024;
// Runs taken in before they are acknowledged: a quarter of what the peer may have under way.
constexpr std::uint64_t ack_bytes = limits::flight_bytes_max / 4;
// Live news end in a Done now and then, so that the cursor of the next session is not old.
constexpr std::size_t news_a_done = 32;

// Of more circles than a hello names the first always stand in it, and the others take turns in the rest.
constexpr std::ptrdiff_t always_named = limits::circles_max * 3 / 4;
// Circles of which a caller says whether it is in them too, and of which it may grant the key.
constexpr std::size_t looked_at_max = 16 * limits::circles_max;

bool is_proof_due(const PeerPlace& peer, const LogHead& head) {
    return head.fork && (!peer.fork || *peer.fork > *head.fork);
}

}  // namespace

Session::Session(LogView& log, Side side, std::vector<CircleId> circles, ByteView binding, ByteView peer)
    : log_(log), side_(side), peer_key_(to_bytes(peer)) {
    if (circles.size() > looked_at_max) circles.resize(looked_at_max);
    for (const CircleId& id : circles) {
        Circle circle;
        circle.id = id;
        const auto wide = hash_as<Root>("ladderline circle tag 1", {binding, id.view()});
        circle.tag = CircleTag::from(wide.view().first(CircleTag::size));
        circle.tree_key = hash_as<TreeKey>("ladderline tree key 1", {binding, id.view()});
        circle.tree = HeadTree(circle.tree_key, {});
        circles_.push_back(std::move(circle));
    }
    if (side_ == Side::caller || circles_.size() <= limits::circles_max) return;
    // In each connection the tags are others.
    std::sort(circles_.begin() + always_named, circles_.end(),
              [](const Circle& a, const Circle& b) { return a.tag < b.tag; });
    circles_.erase(circles_.begin() + static_cast<std::ptrdiff_t>(limits::circles_max), circles_.end());
}

Session::Circle* Session::find(const CircleTag& tag) {
    for (Circle& circle : circles_) {
        if (circle.tag == tag) return &circle;
    }
    return nullptr;
}

Result<Session::Circle*> Session::agreed(CircleIndex index) {
    Circle* circle = index < hello_circles_.size() ? hello_circles_[index] : nullptr;
    if (circle == nullptr || !circle->agreed) {
        return Error{Fault::peer, "The peer spoke of a circle that the two do not share."};
    }
    return circle;
}

// For messages that make sense only once the comparison has begun.
Result<Session::Circle*> Session::in_talk(CircleIndex index) {
    TRY(Circle * circle, agreed(index));
    if (!circle->peer_known) return Error{Fault::peer, "The peer spoke out of turn."};
    return circle;
}

void Session::push(const SyncMessage& message) {
    if (bye_said_) return;
    urgent_.push_back(encode_message(message));
    urgent_bytes_ += urgent_.back().size();
}

void Session::push_counted(Circle& circle, const SyncMessage& message) {
    circle.said += 1;
    push(message);
}

// A task that is waiting looks again before it ends, so one of a kind is enough; a Done goes behind what is missing.
void Session::push(Task::What what, Circle& circle) {
    if (bye_said_) return;
    const auto same = [&](const Task& task) { return task.what == what && task.circle == &circle; };
    const auto waiting = std::find_if(tasks_.begin(), tasks_.end(), same);
    if (waiting != tasks_.end() && what == Task::What::missing) return;
    if (waiting != tasks_.end()) tasks_.erase(waiting);
    tasks_.push_back({what, &circle});
}

void Session::say_bye() {
    tasks_.clear();
    urgent_.clear();
    urgent_bytes_ = 0;
    push(ByeMessage{});
    bye_said_ = true;
}

std::optional<Bytes> Session::next_output() {
    while (!failure_) {
        if (!urgent_.empty()) {
            Bytes message = std::move(urgent_.front());
            urgent_.pop_front();
            urgent_bytes_ -= message.size();
            return message;
        }
        if (run_bytes_taken_ - run_bytes_told_ >= ack_bytes && !bye_said_) {
            run_bytes_told_ = run_bytes_taken_;
            return encode_message(AckMessage{run_bytes_taken_});
        }
        if (tasks_.empty() || in_flight() >= limits::flight_bytes_max) break;
        auto message = message_of(tasks_.front());
        if (!message) {
            failure_ = message.error();
        } else if (message.value()) {
            return std::move(message).value();
        }
    }
    return std::nullopt;
}

std::optional<MonoTime> Session::unacknowledged_since(MonoTime now) {
    if (in_flight() < ack_bytes) {
        owed_since_.reset();
    } else if (!owed_since_ || run_bytes_acked_ != acked_when_seen_) {
        owed_since_ = now;
        acked_when_seen_ = run_bytes_acked_;
    }
    return owed_since_;
}

// The next message of the task in front; without one the task is over.
Result<std::optional<Bytes>> Session::message_of(Task& task) {
    if (task.what == Task::What::missing) {
        TRY(auto message, missing_message(task));
        if (message) return message;
    }
    Circle& circle = *task.circle;
    const Task::What what = task.what;
    tasks_.pop_front();
    if (what == Task::What::done) return done_message(circle);
    if (circle.runs_since_done >= news_a_done) push(Task::What::done, circle);
    return std::optional<Bytes>();
}

bool Session::is_lacked(const Circle& circle, const LogHead& head) const {
    if (circle.held_back) return false;
    // While two trees are compared only what they have shown is certain.
    if (circle.awaiting == Awaiting::turn && !circle.peer.is_told(head.log)) return false;
    const PeerPlace peer = circle.peer.at(head.log);
    if (is_proof_due(peer, head)) return true;
    return peer.next_seq < head.next_seq && (!peer.fork || peer.next_seq < *peer.fork);
}

Result<std::vector<LogHead>> Session::lacked_by_peer(const Circle& circle) {
    TRY(auto heads, log_.heads(circle.id));
    std::erase_if(heads, [&](const LogHead& head) { return !is_lacked(circle, head); });
    TRY(const auto order, heads.size() > 1 ? log_.oldest_first(circle.id) : Result<std::vector<LogId>>(ok()));
    std::map<LogId, std::size_t> rank;
    for (std::size_t i = 0; i < order.size(); ++i) rank.emplace(order[i], i);
    const auto rank_of = [&](const LogHead& head) {
        const auto found = rank.find(head.log);
        return found == rank.end() ? order.size() : found->second;
    };
    std::stable_sort(heads.begin(), heads.end(),
                     [&](const LogHead& a, const LogHead& b) { return rank_of(a) < rank_of(b); });
    std::reverse(heads.begin(), heads.end());
    return heads;
}

Result<std::optional<Bytes>> Session::missing_message(Task& task) {
    Circle& circle = *task.circle;
    if (!circle.peer_known) return std::optional<Bytes>();
    for (bool listed_now = false;;) {
        while (!task.logs.empty()) {
            const LogHead& head = task.logs.back();
            PeerPlace peer = circle.peer.at(head.log);
            if (is_proof_due(peer, head)) {
                TRY(auto proof, log_.fork_proof(circle.id, head.log));
                if (!proof) return Error{Fault::damaged, "The proof of a fork is missing; run a check."};
                peer.fork = proof->seq;
                circle.peer.set(head.log, peer);
                circle.said += 1;
                return std::optional(encode_message(ProofMessage{circle.index, std::move(*proof)}));
            }
            RunMessage message{circle.index, {}};
            TRY(add_runs(task, message));
            if (message.runs.empty()) continue;
            circle.said += 1;
            circle.runs_since_done += 1;
            Bytes bytes = encode_message(message);
            run_bytes_sent_ += bytes.size();
            return std::optional(std::move(bytes));
        }
        if (listed_now) return std::optional<Bytes>();
        TRY(task.logs, lacked_by_peer(circle));
        listed_now = true;
    }
}

// Runs of the task's logs, up to a message's worth, or up to a log whose fork has to be proven first.
Result<void> Session::add_runs(Task& task, RunMessage& message) {
    Circle& circle = *task.circle;
    for (std::size_t bytes = 0; bytes < batch_bytes && !task.logs.empty();) {
        const LogHead head = task.logs.back();
        PeerPlace peer = circle.peer.at(head.log);
        if (!is_lacked(circle, head)) {
            task.logs.pop_back();
            continue;
        }
        if (is_proof_due(peer, head)) return ok();
        auto run = log_.read_run(circle.id, head.log, peer.next_seq);
        if (!run && run.error().fault() == Fault::not_found) {  // cut by a fork since it was listed
            task.logs.pop_back();
            continue;
        }
        TRY(const Run found, std::move(run));
        ENSURE(!found.events.empty());
        Bytes body = encode_run_body(found);
        if (bytes > 0 && bytes + body.size() > limits::run_bytes_max) return ok();
        bytes += body.size();
        peer.next_seq += found.events.size();
        circle.peer.set(head.log, peer);
        message.runs.push_back({circle.tree.tag_of(head.log), std::move(body)});
    }
    return ok();
}

Result<std::optional<Bytes>> Session::done_message(Circle& circle) {
    // A comparison that is running ends in a Done of its own.
    if (circle.awaiting != Awaiting::nothing || !circle.peer_known) return std::optional<Bytes>();
    TRY(const auto heads, log_.heads(circle.id));
    TRY(read_position());
    circle.runs_since_done = 0;
    circle.dones += 1;
    circle.done_arrivals = position_ ? position_->arrivals : 0;
    const std::uint64_t told = hides_position_ ? 0 : circle.done_arrivals;
    return std::optional(encode_message(DoneMessage{circle.index, root_of(circle.id, heads), circle.taken, told}));
}

Result<void> Session::read_position() {
    TRY(position_, log_.position());
    return ok();
}

void Session::offer_key(const CircleId& id, const AeadKey& key) {
    for (Circle& circle : circles_) {
        if (circle.id == id) circle.to_grant = key.clone();
    }
}

void Session::hold_back(const CircleId& id) {
    for (Circle& circle : circles_) {
        if (circle.id == id) circle.held_back = true;
    }
}

std::vector<GrantMessage> Session::take_grants() {
    return std::exchange(grants_, {});
}

std::vector<CircleId> Session::take_changed() {
    return std::exchange(changed_, {});
}

bool Session::in_step() const {
    for (const Circle& circle : circles_) {
        if (circle.agreed && !circle.in_step) return false;
    }
    return greeted_;
}

bool Session::in_step(const CircleId& id) const {
    return greeted_ && std::any_of(circles_.begin(), circles_.end(),
                                   [&](const Circle& c) { return c.id == id && c.agreed && c.in_step; });
}

bool Session::concluded() const {
    return greeted_ && std::all_of(circles_.begin(), circles_.end(),
                                   [](const Circle& c) { return !c.agreed || c.in_step || c.given_up; });
}

Result<void> Session::check_failure() {
    if (failure_) return *failure_;
    if (urgent_.size() > waiting_max || urgent_bytes_ > urgent_bytes_max) {
        return Error{Fault::peer, "The peer asks for more than it takes."};
    }
    return ok();
}

Result<void> Session::on_message(ByteView bytes) {
    TRY(check_failure());
    if (peer_bye_) return Error{Fault::peer, "The peer went on after its goodbye."};
    TRY(const SyncMessage message, decode_message(bytes));
    const bool is_first = side_ == Side::caller ? std::holds_alternative<HelloMessage>(message)
                                                : std::holds_alternative<AnswerMessage>(message);
    // Of two connections of one pair one is hung up, perhaps before its caller has answered.
    const bool is_leaving = std::holds_alternative<ByeMessage>(message);
    if (!greeted_ && !is_first && !is_leaving) return Error{Fault::peer, "The peer did not begin with its roots."};
    if (greeted_ && is_first) return Error{Fault::peer, "The peer began twice."};
    message_bytes_ = bytes.size();
    TRY(std::visit([&](const auto& m) { return on(m); }, message));
    return check_failure();
}

Result<void> Session::on_local_news(const CircleId& id) {
    TRY(check_failure());
    for (Circle& circle : circles_) {
        if (circle.id != id) continue;
        circle.tree_stale = true;
        circle.news = true;
        if (circle.agreed) push(Task::What::missing, circle);
    }
    return ok();
}

}  // namespace ladderline::protocol
