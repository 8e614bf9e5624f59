#include "node/net/greeting_door.hpp"

namespace ladderline::node::net {

using namespace protocol;

Result<void> GreetingDoor::open(const InviteId& offer, MonoTime now) {
    look_at_time(now);
    if (is_open()) {
        return Error{Fault::busy,
                     "A greeting is open already, for one person; wait for its end, or shut it with 'ladderline greet "
                     "--close'."};
    }
    offer_ = offer;
    closes_ = now + limits::greeting_ms_max;
    failures_ = 0;
    outcome_.clear();
    to(Stage::waiting);
    return ok();
}

void GreetingDoor::shut() {
    if (is_open()) to(Stage::closed);
}

bool GreetingDoor::may_call(MonoTime now) {
    look_at_time(now);
    return stage_ == Stage::waiting && stranger_ == nullptr;
}

bool GreetingDoor::enter(Stranger& stranger, MonoTime now) {
    if (!may_call(now)) return false;
    stranger_ = &stranger;
    return true;
}

void GreetingDoor::on_letters(const Stranger& stranger, const std::string& letters) {
    if (!is_inside(stranger)) return;
    letters_ = letters;
    to(Stage::comparing);
}

void GreetingDoor::on_differed(const Stranger& stranger) {
    if (is_inside(stranger)) fail();
}

void GreetingDoor::on_outcome(const Stranger& stranger, bool joined, const std::string& words) {
    if (!is_inside(stranger)) return;
    outcome_ = words;
    stranger_ = nullptr;  // hears the answer, and hangs up by itself
    to(joined ? Stage::joined : Stage::refused);
}

void GreetingDoor::leave(const Stranger& stranger) {
    if (!is_inside(stranger)) return;
    stranger_ = nullptr;
    if (!letters_.empty()) fail();
}

Result<void> GreetingDoor::hear(const std::string& last_two, MonoTime now) {
    ENSURE(last_two.size() == 2);
    if (stage(now) != Stage::comparing) {
        return Error{Fault::not_found, "Nobody has called whose letters wait for an answer; nothing was changed."};
    }
    Stranger* stranger = stranger_;
    if (!letters_.ends_with(last_two)) {
        stranger->say(false);
        fail();
        return Error{Fault::refused, "Those are not the last two letters, so nothing was told to the other side. " +
                                         failure_words(failures_)};
    }
    to(Stage::answered);
    stranger->say(true);
    return ok();
}

Result<void> GreetingDoor::differ(MonoTime now) {
    const Stage now_at = stage(now);
    if (now_at != Stage::comparing && now_at != Stage::answered) {
        return Error{Fault::not_found, "Nobody has called whose letters wait for an answer; nothing was changed."};
    }
    if (now_at == Stage::comparing) {
        stranger_->say(false);
    } else {
        stranger_->turn_away();
    }
    fail();
    return ok();
}

GreetingDoor::Stage GreetingDoor::stage(MonoTime now) {
    look_at_time(now);
    return stage_;
}

void GreetingDoor::look_at_time(MonoTime now) {
    if (is_open() && now >= closes_) to(Stage::over);
}

void GreetingDoor::fail() {
    stranger_ = nullptr;
    ++failures_;
    to(failures_ >= limits::greeting_failures_max ? Stage::locked : Stage::waiting);
}

// Nobody stays inside a door that is shut.
void GreetingDoor::to(Stage stage) {
    stage_ = stage;
    if (stage != Stage::comparing && stage != Stage::answered) letters_.clear();
    if (!is_open() && stranger_ != nullptr) std::exchange(stranger_, nullptr)->turn_away();
    told_();
}

std::string failure_words(std::size_t failures) {
    if (failures == 0) return {};
    if (failures >= limits::greeting_failures_max) {
        return "Three comparisons have failed: this greeting is locked. Somebody may be between the two of you; meet, "
               "or hand over an invite in another way.";
    }
    return std::string(failures == 1 ? "One comparison has" : "Two comparisons have") +
           " failed: a slip of the ear, or somebody between the two of you. Let them call again; the third failure "
           "locks this greeting.";
}

}  // namespace ladderline::node::net
