#pragma once
// Notices on the desktop of whoever runs the node, by the general program notify-send if it is installed: that
// something new waits. A notice stands on a screen that others may see, so it says nothing else unless it is asked to.

#include <sys/types.h>

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <set>
#include <string>
#include <vector>

#include "node/cli/command_line.hpp"
#include "node/commands/today.hpp"

namespace ladderline::node {

// What of the day's lines is new since the last look; nothing is at the first one. Numbers do not count, so that
// "waits 9 days" is not news on the day after "waits 8 days".
class NewLines {
public:
    std::vector<std::string> look(const Today& today);

private:
    std::set<std::string> known_;
    bool has_looked_ = false;
};

// At most one notice in ten minutes. Lives on the node's strand; the context outlives it.
class Notices {
public:
    Notices(boost::asio::any_io_executor strand, Context& context);
    ~Notices() { stop(); }
    Notices(const Notices&) = delete;
    Notices& operator=(const Notices&) = delete;

    // Looks at once, quietly, and then every hour.
    void start(cli::RunOptions::Notify how);
    // Something came from somebody else, or was said here; the latter is no news to whoever said it.
    void on_arrival();
    void on_own_word();
    void stop();

private:
    void look_in(std::int64_t wait_ms);
    void look();
    void show();
    void reap();

    Context& context_;
    boost::asio::steady_timer timer_;
    cli::RunOptions::Notify how_ = cli::RunOptions::Notify::off;
    NewLines lines_;
    std::vector<std::string> unsaid_;
    std::vector<pid_t> children_;
    MonoTime quiet_until_;
    bool is_news_ = false;
    bool is_soon_ = false;
    bool has_said_failure_ = false;
};

}  // namespace ladderline::node
