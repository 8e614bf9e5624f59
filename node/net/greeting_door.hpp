#pragma once
// The door through which one stranger at a time may call without an invite, while somebody on this side waits for them
// and compares check words with them. It opens because a person asked, lets in one, and shuts: after that one, after
// limits::greeting_ms_max, or after limits::greeting_failures_max comparisons that failed or were left.
// The time is an argument; nothing here is a socket.

#include <functional>
#include <optional>
#include <string>

#include "protocol/base/time.hpp"
#include "protocol/handshake/preface.hpp"
#include "protocol/limits.hpp"

namespace ladderline::node::net {

class GreetingDoor {
public:
    enum class Stage : std::uint8_t {
        closed,     // nobody asked for it, or it was shut by hand
        waiting,    // for a stranger
        comparing,  // letters are on both screens; this side's person has not answered
        answered,   // this side has said "same" and waits for the other
        joined,     // one was let in; shut
        refused,    // both said "same", and a gate kept them out; shut
        locked,     // too many failures; shut
        over,       // nobody came in time; shut
    };

    // The stranger inside, as the door reaches them.
    class Stranger {
    public:
        virtual ~Stranger() = default;
        // This side's verdict; after "not the same" the connection ends.
        virtual void say(bool same) = 0;
        // Ends the connection without a word.
        virtual void turn_away() = 0;
    };

    // `offer`: what is offered to whoever passes, an invite that nobody else knows. busy: the door is open.
    Result<void> open(const protocol::InviteId& offer, MonoTime now);
    void shut();

    // A stranger may begin a handshake.
    bool may_call(MonoTime now);
    // The handshake is done. False: shut by now, or somebody else is inside. `stranger` leaves before it ends.
    bool enter(Stranger& stranger, MonoTime now);
    // The letters are known to this side: from here on a comparison that comes to nothing is a failure.
    void on_letters(const Stranger& stranger, const std::string& letters);
    // The other side has said that the letters differ.
    void on_differed(const Stranger& stranger);
    bool is_inside(const Stranger& stranger) const { return stranger_ == &stranger; }
    const protocol::InviteId& offer() const { return offer_; }
    // Both have said "same", and the stranger has asked to join: who they say they are, or why they were kept out.
    void on_outcome(const Stranger& stranger, bool joined, const std::string& words);
    void leave(const Stranger& stranger);

    // The person here typed the last two letters that they heard. Wrong ones are a failure: refused, and the
    // connection ends. not_found: there is nothing to compare.
    Result<void> hear(const std::string& last_two, MonoTime now);
    // The person here says that the letters differ.
    Result<void> differ(MonoTime now);

    Stage stage(MonoTime now);
    std::size_t failures() const { return failures_; }
    // Six letters while somebody is inside; empty otherwise.
    const std::string& letters() const { return letters_; }
    // Of the last stranger: a name after `joined`, a sentence after `refused`.
    const std::string& outcome() const { return outcome_; }
    // Milliseconds until it shuts by itself.
    std::int64_t left_ms(MonoTime now) const { return closes_.ms - now.ms; }
    // Called after every change of stage or failures.
    void on_change(std::function<void()> told) { told_ = std::move(told); }

private:
    bool is_open() const { return stage_ >= Stage::waiting && stage_ <= Stage::answered; }
    void look_at_time(MonoTime now);
    void fail();
    void to(Stage stage);

    Stage stage_ = Stage::closed;
    protocol::InviteId offer_;
    MonoTime closes_;
    Stranger* stranger_ = nullptr;
    std::string letters_;
    std::size_t failures_ = 0;
    std::string outcome_;
    std::function<void()> told_ = [] {};
};

// What a person is told about failures so far: empty, a warning, or that the door is locked.
std::string failure_words(std::size_t failures);

}  // namespace ladderline::node::net
