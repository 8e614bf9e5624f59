#pragma once
// Joins and greetings of a running node that pages begin and look at.

#include "node/app/greetings.hpp"
#include "node/commands/joining.hpp"
#include "node/net/join.hpp"

namespace ladderline::node {

class NodeArrivals : public Arrivals {
public:
    // What the node says, and what it is told.
    struct Line {
        std::function<std::uint16_t()> port;   // where it listens, 0 if nowhere
        std::function<std::string()> address;  // what a caller types
        std::function<void()> joined;          // somebody new may be reachable
        std::function<void()> changed;         // what pages show of this has changed
    };

    // All of it outlives this object.
    NodeArrivals(boost::asio::any_io_executor strand, OpenHome& home, const net::Parts& parts, Greetings& greetings,
                 Line line);

    JoinLook join_look() override { return look_; }
    Result<void> join_by_code(const InviteCode& code, bool under_18) override;
    Result<void> join_by_voice(const std::string& address, bool under_18) override;
    Result<void> say(bool same) override;
    void forget() override;
    GreetLook greet_look() override;
    Result<void> open_greeting(const InviteRequest& request) override;
    Result<void> hear(const std::string& last_two) override;
    Result<void> differ() override;
    void shut_greeting() override;

private:
    Result<void> not_busy() const;
    void show(JoinLook::Step step);
    void came_to(const Result<protocol::WelcomeMessage::Joined>& joined);
    void failed(const Error& error);
    boost::asio::awaitable<void> run_join(net::JoinSetup setup);
    boost::asio::awaitable<void> run_dial(std::shared_ptr<net::VoiceCall> call);
    boost::asio::awaitable<void> run_finish(std::shared_ptr<net::VoiceCall> call, bool same);
    void start(boost::asio::awaitable<void> work);

    boost::asio::any_io_executor strand_;
    OpenHome& home_;
    net::Parts parts_;
    Greetings& greetings_;
    Line line_;
    JoinLook look_;
    std::shared_ptr<net::VoiceCall> call_;  // whose letters wait for a word
};

}  // namespace ladderline::node
