#include "node/net/greeted.hpp"

#include "store/circles/voice_checks.hpp"

namespace ladderline::node::net {

using namespace protocol;
namespace asio = boost::asio;

Greeted::Greeted(const Parts& parts, asio::any_io_executor strand, Line line)
    : parts_(parts),
      door_(parts.host.greeting_door()),
      line_(std::move(line)),
      greeting_(Greeting::host(line_.connection.handshake_hash(), parts.random)),
      limit_(std::move(strand)) {}

std::unique_ptr<Greeted> Greeted::enter(const Parts& parts, asio::any_io_executor strand, Line line) {
    if (parts.host.greeting_door() == nullptr) return nullptr;
    std::unique_ptr<Greeted> out(new Greeted(parts, std::move(strand), std::move(line)));
    if (!out->door_->enter(*out, parts.clock.monotonic())) return nullptr;
    out->allow(handshake_wait_ms_max);
    if (!out->send_waiting()) return nullptr;
    return out;
}

Greeted::~Greeted() {
    *lives_ = false;
    door_->leave(*this);
}

Result<void> Greeted::on_message(ByteView message) {
    if (!door_->is_inside(*this)) return Error{Fault::refused, "The greeting is over."};
    const bool knew = greeting_.letters_known();
    TRY(greeting_.on_message(message));
    TRY(send_waiting());
    if (greeting_.differed()) {
        door_->on_differed(*this);
        return Error{Fault::refused, "The other side says that the check words differ."};
    }
    if (!knew && greeting_.letters_known()) {
        allow(limits::compare_ms_max);
        door_->on_letters(*this, greeting_.letters());
    }
    return ok();
}

void Greeted::allow(std::int64_t wait_ms) {
    limit_.expires_after(std::chrono::milliseconds(wait_ms));
    limit_.async_wait([this, lives = lives_](const boost::system::error_code& error) {
        if (error || !*lives) return;
        door_->leave(*this);
        line_.hang_up();
    });
}

Result<void> Greeted::on_welcome(const JoinMessage& join, const WelcomeMessage& welcome) {
    if (welcome.joined) {
        TRY(store::note_voice_check(parts_.db, join.device.member, utc_day(parts_.clock.wall())));
    }
    door_->on_outcome(*this, welcome.joined.has_value(), welcome.joined ? join.name : welcome.refusal);
    return ok();
}

void Greeted::say(bool same) {
    greeting_.say(same);
    if (!send_waiting()) return line_.hang_up();
    if (same) return line_.flush();
    line_.hang_up();
}

void Greeted::turn_away() {
    line_.hang_up();
}

Result<void> Greeted::send_waiting() {
    while (const auto message = greeting_.next_output()) {
        TRY(line_.connection.send(*message));
    }
    return ok();
}

}  // namespace ladderline::node::net
