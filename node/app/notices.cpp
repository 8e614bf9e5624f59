#include "node/app/notices.hpp"

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>

#include "node/commands/plain_text.hpp"

namespace ladderline::node {
namespace {

using Notify = cli::RunOptions::Notify;

constexpr std::int64_t soon_ms = 2'000;  // news comes in bursts
constexpr std::int64_t hour_ms = 3'600'000;
constexpr std::int64_t pause_ms = 600'000;
constexpr std::size_t lines_shown_max = 3;
constexpr std::size_t unsaid_max = 100;

std::string without_digits(std::string text) {
    std::erase_if(text, [](char c) { return c >= '0' && c <= '9'; });
    return text;
}

// Only what it prints goes along: no socket and no file of the store.
Result<pid_t> start_program(const std::vector<std::string>& words) {
    std::vector<char*> arguments;
    for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
    arguments.push_back(nullptr);
    posix_spawn_file_actions_t files;
    posix_spawn_file_actions_init(&files);
    posix_spawn_file_actions_addopen(&files, STDIN_FILENO, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&files, STDERR_FILENO, "/dev/null", O_WRONLY, 0);  // reap() says it in our words
    posix_spawn_file_actions_addclosefrom_np(&files, STDERR_FILENO + 1);
    pid_t child = 0;
    const int failed = ::posix_spawnp(&child, arguments.front(), &files, nullptr, arguments.data(), environ);
    posix_spawn_file_actions_destroy(&files);
    if (failed != 0) return Error{Fault::not_found, words.front() + " cannot be started."};
    return child;
}

}  // namespace

std::vector<std::string> NewLines::look(const Today& today) {
    std::set<std::string> now;
    std::vector<std::string> out;
    for (const TodayPart& part : today.parts) {
        for (const TodayLine& line : part.lines) {
            const std::string said =
                (part.is_own ? "" : part.name + ", ") + std::string(to_word(line.kind)) + ": " + line.sentence;
            const std::string key = without_digits(said);
            now.insert(key);
            if (has_looked_ && !known_.contains(key)) out.push_back(said);
        }
    }
    known_ = std::move(now);
    has_looked_ = true;
    return out;
}

Notices::Notices(boost::asio::any_io_executor strand, Context& context)
    : context_(context), timer_(std::move(strand)), quiet_until_(context.env.clock.monotonic()) {}

void Notices::start(Notify how) {
    how_ = how;
    look();
}

void Notices::on_arrival() {
    is_news_ = true;
    on_own_word();
}

void Notices::on_own_word() {
    if (how_ == Notify::off || is_soon_) return;
    is_soon_ = true;
    look_in(soon_ms);
}

void Notices::stop() {
    how_ = Notify::off;
    timer_.cancel();
    reap();
}

void Notices::look_in(std::int64_t wait_ms) {
    timer_.expires_after(std::chrono::milliseconds(wait_ms));
    timer_.async_wait([this](const boost::system::error_code& error) {
        if (error) return;
        is_news_ = is_news_ || !is_soon_;  // a day may have begun, or a date come near
        look();
    });
}

void Notices::look() {
    if (how_ == Notify::off) return;
    reap();
    const auto day = today(context_);
    std::vector<std::string> fresh;
    if (day) fresh = lines_.look(day.value());
    if (is_news_ && unsaid_.size() < unsaid_max) unsaid_.insert(unsaid_.end(), fresh.begin(), fresh.end());
    is_news_ = false;
    is_soon_ = false;
    const std::int64_t left_ms = quiet_until_.ms - context_.env.clock.monotonic().ms;
    if (!unsaid_.empty() && left_ms <= 0) show();
    look_in(unsaid_.empty() ? hour_ms : std::clamp(left_ms, soon_ms, hour_ms));
}

void Notices::show() {
    std::string text = "Something waits for you.";
    if (how_ == Notify::full) {
        text.clear();
        const std::size_t count = std::min(unsaid_.size(), lines_shown_max);
        for (std::size_t i = 0; i < count; ++i)
            text += (i == 0 ? "" : "\n") + html_text(unsaid_[i]);  // a notice may have markup
        if (unsaid_.size() > count) text += "\nand " + std::to_string(unsaid_.size() - count) + " more";
    }
    unsaid_.clear();
    quiet_until_ = {context_.env.clock.monotonic().ms + pause_ms};
    // "--": whatever somebody else wrote is text and no option.
    const auto child = start_program({"notify-send", "--app-name=Ladderline", "--", "Ladderline", text});
    if (child) {
        children_.push_back(child.value());
    } else {
        std::fprintf(stderr, "%s Notices need it (Debian package libnotify-bin).\n", child.error().sentence().c_str());
    }
}

void Notices::reap() {
    bool failed = false;
    std::erase_if(children_, [&failed](pid_t child) {
        int status = 0;
        const pid_t ended = ::waitpid(child, &status, WNOHANG);
        failed = failed || (ended == child && status != 0);
        return ended != 0;
    });
    if (!failed || has_said_failure_) return;
    has_said_failure_ = true;
    std::fprintf(
        stderr,
        "Notices do not reach a desktop: nothing in this session shows them. Run the node in a terminal of the "
        "desktop itself; all else goes on.\n");
}

}  // namespace ladderline::node
