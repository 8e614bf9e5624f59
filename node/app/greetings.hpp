#pragma once
// Both sides of a greeting inside a running node, as commands see them.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/steady_timer.hpp>

#include "node/app/home.hpp"
#include "node/cli/command_line.hpp"
#include "node/commands/joining.hpp"
#include "node/net/greeting_door.hpp"
#include "node/net/voice_call.hpp"

namespace ladderline::node {

// Everything of the message but who it is that a call needs. bad_input for an address that is none.
Result<net::VoiceSetup> prepare_call(OpenHome& home, const cli::JoinOptions& options, std::uint16_t port);

// The six letters to be read out, with what to do next; for a person or a program.
cli::Answer letters_answer(const std::string& letters);

// Joins by voice from a process that runs no node; `is_same` shows the letters and asks the person.
Result<Done> join_by_voice_once(OpenHome& home, Env& env, const cli::JoinOptions& options,
                                const std::function<bool(const std::string&)>& is_same);

class Greetings {
public:
    // Everything but the door outlives this object.
    Greetings(boost::asio::any_io_executor strand, OpenHome& home, const net::Parts& parts,
              std::shared_ptr<net::GreetingDoor> door);
    ~Greetings();
    Greetings(const Greetings&) = delete;
    Greetings& operator=(const Greetings&) = delete;

    // `port`: where this node listens, 0 if it does not; `address`: what a caller types.
    boost::asio::awaitable<Result<cli::Answer>> greet(cli::GreetOptions options, std::uint16_t port,
                                                      std::string address);
    boost::asio::awaitable<Result<cli::Answer>> join(cli::JoinOptions options, std::uint16_t port);

    // The door as it stands, and the deeds at it that take no time; as the commands do them.
    GreetLook look();
    Result<void> open(const InviteRequest& request, std::uint16_t port);
    Result<void> hear(const std::string& last_two) { return door_->hear(last_two, parts_.clock.monotonic()); }
    Result<void> differ() { return door_->differ(parts_.clock.monotonic()); }
    void shut() { door_->shut(); }
    // Told after every change of the door.
    void on_change(std::function<void()> told) { told_ = std::move(told); }

private:
    cli::Answer state(const std::string& address);
    boost::asio::awaitable<void> wait_for_change();

    OpenHome& home_;
    net::Parts parts_;
    std::shared_ptr<net::GreetingDoor> door_;
    boost::asio::any_io_executor strand_;
    boost::asio::steady_timer changed_;
    std::shared_ptr<net::VoiceCall> call_;  // its letters wait for a word
    std::function<void()> told_ = [] {};
};

}  // namespace ladderline::node
