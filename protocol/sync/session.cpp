#include "protocol/sync/session.hpp"

#include <algorithm>

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

constexpr std::size_t retries_max = 3;
// What an honest peer can make this side owe: a few tasks a circle, a Need or Grant now and then.
constexpr std::size_t tasks_max = 4096;

const Error not_shared{Fault::peer, "The peer spoke of a circle that the two do not share."};

}  // namespace

Session::Session(LogView& log, std::vector<CircleId> circles, ByteView binding) : log_(log) {
    if (circles.size() > limits::circles_max) circles.resize(limits::circles_max);
    for (const CircleId& id : circles) {
        Circle circle;
        circle.id = id;
        const auto wide = hash_as<Root>("ladderline circle tag 1", {binding, id.view()});
        circle.tag = CircleTag::from(wide.view().first(CircleTag::size));
        circles_.push_back(std::move(circle));
    }
}

Session::Circle* Session::find(const CircleTag& tag) {
    for (Circle& circle : circles_) {
        if (circle.tag == tag) return &circle;
    }
    return nullptr;
}

Session::Circle* Session::find_agreed(const CircleTag& tag) {
    Circle* circle = find(tag);
    return circle != nullptr && circle->agreed ? circle : nullptr;
}

Result<Root> Session::root(const Circle& circle) {
    TRY(const auto heads, log_.heads(circle.id));
    return root_of(circle.id, heads);
}

void Session::push(const SyncMessage& message) {
    if (!bye_said_) tasks_.push_back({Task::What::ready, nullptr, encode_message(message)});
}

void Session::push(Task::What what, Circle& circle) {
    if (what == Task::What::heads) circle.heads_sent = true;
    if (!bye_said_) tasks_.push_back({what, &circle});
}

bool Session::is_waiting(Task::What what, const Circle& circle) const {
    return std::any_of(tasks_.begin(), tasks_.end(),
                       [&](const Task& task) { return task.what == what && task.circle == &circle; });
}

void Session::say_bye() {
    tasks_.clear();
    push(ByeMessage{});
    bye_said_ = true;
}

std::optional<Bytes> Session::next_output() {
    while (!tasks_.empty() && !failure_) {
        auto run = next_run(tasks_.front());
        if (!run) {
            failure_ = run.error();
        } else if (run.value()) {
            return std::move(run).value();
        } else {
            Task task = std::move(tasks_.front());
            tasks_.pop_front();
            auto message = closing_message(task);
            if (message && message.value()) return std::move(message).value();
            if (!message) failure_ = message.error();
        }
    }
    return std::nullopt;
}

Result<std::optional<Bytes>> Session::closing_message(Task& task) {
    switch (task.what) {
        case Task::What::ready:
            return std::optional(std::move(task.message));
        case Task::What::missing:
            return std::optional<Bytes>();
        case Task::What::sent:
            task.circle->sent_said = true;
            task.circle->sent_more = false;
            task.circle->roots_due += 1;
            return std::optional(encode_message(SentMessage{task.circle->tag}));
        case Task::What::root: {
            TRY(const Root mine, root(*task.circle));
            return std::optional(encode_message(RootMessage{task.circle->tag, mine}));
        }
        case Task::What::heads:
            break;
    }
    TRY(auto heads, log_.heads(task.circle->id));
    if (heads.size() > limits::heads_max) {
        return Error{Fault::unsupported, "A circle has grown beyond what sync can name."};
    }
    return std::optional(encode_message(HeadsMessage{task.circle->tag, std::move(heads)}));
}

Result<std::vector<LogHead>> Session::lacked_by_peer(const Circle& circle) {
    TRY(auto heads, log_.heads(circle.id));
    std::erase_if(heads, [&](const LogHead& head) {
        const auto peer = circle.peer_next.find(head.log);
        return circle.forked.contains(head.log) || (peer != circle.peer_next.end() && peer->second >= head.next_seq);
    });
    std::reverse(heads.begin(), heads.end());
    return heads;
}

// A run that goes before the task's own message; none if all have gone. A root speaks only of what was sent before it.
Result<std::optional<Bytes>> Session::next_run(Task& task) {
    const bool has_runs = task.what == Task::What::missing || task.what == Task::What::root;
    if (!has_runs || !task.circle->heads_known) return std::optional<Bytes>();
    Circle& circle = *task.circle;
    for (bool listed_now = false;;) {
        while (!task.logs.empty()) {
            const LogHead head = task.logs.back();
            std::uint64_t& next = circle.peer_next[head.log];
            if (next >= head.next_seq || circle.forked.contains(head.log)) {
                task.logs.pop_back();
                continue;
            }
            TRY(const Run run, log_.read_run(circle.id, head.log, next));
            ENSURE(!run.events.empty());
            next += run.events.size();
            circle.sent_more = circle.sent_said;
            return std::optional(encode_message(RunMessage{circle.tag, encode_run(run)}));
        }
        if (listed_now) return std::optional<Bytes>();
        TRY(task.logs, lacked_by_peer(circle));
        listed_now = true;
    }
}

void Session::offer_key(const CircleId& id, const AeadKey& key) {
    for (Circle& circle : circles_) {
        if (circle.id == id) circle.to_grant = key.clone();
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
    return hello_seen_;
}

Result<Bytes> Session::hello() {
    HelloMessage message;
    for (const Circle& circle : circles_) {
        TRY(const Root mine, root(circle));
        message.circles.push_back({circle.tag, mine});
    }
    return encode_message(message);
}

Result<void> Session::check_failure() {
    if (failure_) return *failure_;
    if (tasks_.size() > tasks_max) return Error{Fault::peer, "The peer asks for more than it takes."};
    return ok();
}

Result<void> Session::on_message(ByteView bytes) {
    TRY(check_failure());
    if (peer_bye_) return Error{Fault::peer, "The peer went on after its goodbye."};
    TRY(const SyncMessage message, decode_message(bytes));
    if (!hello_seen_ && !std::holds_alternative<HelloMessage>(message)) {
        return Error{Fault::peer, "The peer did not begin with its roots."};
    }
    return std::visit([&](const auto& m) { return on(m); }, message);
}

Result<void> Session::on_local_news(const CircleId& id) {
    TRY(check_failure());
    for (Circle& circle : circles_) {
        if (circle.id != id || !circle.agreed || !circle.heads_known) continue;
        // A task that is waiting looks again before it ends, and finds the news by itself.
        if (!is_waiting(Task::What::missing, circle)) push(Task::What::missing, circle);
    }
    return ok();
}

Result<void> Session::on(const HelloMessage& message) {
    if (hello_seen_) return Error{Fault::peer, "The peer began twice."};
    hello_seen_ = true;
    for (const HelloMessage::Entry& entry : message.circles) {
        Circle* circle = find(entry.tag);
        if (circle == nullptr) continue;  // the peer thinks that this side is in a circle it does not know yet
        if (circle->agreed) return Error{Fault::peer, "The peer named a circle twice."};
        circle->agreed = true;
        TRY(const auto heads, log_.heads(circle->id));
        if (root_of(circle->id, heads) != entry.root) {
            push(Task::What::heads, *circle);
            continue;
        }
        for (const LogHead& head : heads) circle->peer_next[head.log] = head.next_seq;
        circle->heads_known = true;
        circle->in_step = true;
    }
    for (const Circle& circle : circles_) {
        if (!circle.agreed && circle.to_grant) push(GrantMessage{circle.id, to_bytes(circle.to_grant->view())});
    }
    return ok();
}

Result<void> Session::on(const HeadsMessage& message) {
    Circle* circle = find_agreed(message.tag);
    if (circle == nullptr) return not_shared;
    if (!circle->heads_sent) push(Task::What::heads, *circle);  // the peer began this round
    circle->heads_sent = false;
    circle->in_step = false;
    TRY(compare_heads(*circle, message));
    push(Task::What::missing, *circle);
    push(Task::What::sent, *circle);
    return check_failure();
}

// Takes down what the peer holds. Where its log is not a part of this side's, nor this side's of it, nothing more is
// sent: its events would not fit there.
Result<void> Session::compare_heads(Circle& circle, const HeadsMessage& message) {
    circle.peer_next.clear();
    circle.asked.clear();
    circle.heads_known = true;
    TRY(const auto heads, log_.heads(circle.id));
    std::map<LogId, LogHead> mine;
    for (const LogHead& head : heads) mine.emplace(head.log, head);
    for (const LogHead& peer : message.heads) {
        circle.peer_next[peer.log] = peer.next_seq;
        const auto here = mine.find(peer.log);
        if (here == mine.end() || peer.next_seq == 0 || here->second.next_seq < peer.next_seq) continue;
        if (here->second == peer) continue;
        TRY(const auto id, log_.event_id(circle.id, peer.log, peer.next_seq - 1));
        if (id != peer.head) circle.forked.insert(peer.log);
    }
    return ok();
}

Result<void> Session::on(const RunMessage& message) {
    Circle* circle = find_agreed(message.tag);
    if (circle == nullptr) return not_shared;
    TRY(const Run run, decode_run(message.run));
    if (circle->forked.contains(run.log)) return ok();
    TRY(const Appended outcome, log_.append_run(circle->id, run));
    TRY(const std::uint64_t mine, log_.next_seq(circle->id, run.log));
    if (outcome == Appended::forked) {
        circle->forked.insert(run.log);
        return ok();
    }
    std::uint64_t& peer = circle->peer_next[run.log];
    peer = std::max(peer, run.first_seq + run.events.size());
    if (outcome == Appended::gap) {
        const auto [asked, first] = circle->asked.emplace(run.log, mine);
        if (first || std::exchange(asked->second, mine) != mine) push(NeedMessage{circle->tag, run.log, mine});
    }
    const bool told = std::find(changed_.begin(), changed_.end(), circle->id) != changed_.end();
    if (outcome == Appended::stored && !told) changed_.push_back(circle->id);
    return check_failure();
}

Result<void> Session::on(const NeedMessage& message) {
    Circle* circle = find_agreed(message.tag);
    if (circle == nullptr) return not_shared;
    TRY(const std::uint64_t mine, log_.next_seq(circle->id, message.log));
    if (message.next_seq >= mine) return ok();
    circle->peer_next[message.log] = message.next_seq;
    push(Task::What::missing, *circle);
    return check_failure();
}

Result<void> Session::on(const SentMessage& message) {
    Circle* circle = find_agreed(message.tag);
    if (circle == nullptr) return not_shared;
    push(Task::What::root, *circle);
    return check_failure();
}

Result<void> Session::on(const RootMessage& message) {
    Circle* circle = find_agreed(message.tag);
    if (circle == nullptr) return not_shared;
    TRY(const Root mine, root(*circle));
    circle->in_step = mine == message.root;
    if (circle->roots_due > 0) circle->roots_due -= 1;
    if (circle->in_step) circle->retries = 0;
    if (circle->in_step || circle->roots_due > 0) return ok();  // a later root, which says more, is on its way
    if (circle->sent_more || is_waiting(Task::What::missing, *circle)) {
        push(Task::What::sent, *circle);  // news crossed that root on the way; ask for a later one
        return check_failure();
    }
    // News of the last moments, or a fault. A few more rounds, then it waits for the next session.
    mismatches_ += 1;
    if (circle->forked.empty() && !circle->heads_sent && circle->retries++ < retries_max) {
        push(Task::What::heads, *circle);
    }
    return check_failure();
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
