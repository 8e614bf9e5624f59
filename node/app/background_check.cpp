#include "node/app/background_check.hpp"

#include <cstdio>

#include "store/upkeep/last_check.hpp"

namespace ladderline::node {
namespace {

// A slice takes well under a millisecond of the strand; a million events take some five minutes beside other work.
constexpr std::uint64_t events_per_slice = 64;
constexpr std::chrono::milliseconds between_slices{20};
constexpr std::chrono::hours between_checks{24};

}  // namespace

BackgroundCheck::BackgroundCheck(boost::asio::any_io_executor strand, store::sqlite::Database& db, Env& env)
    : db_(db), env_(env), timer_(std::move(strand)) {}

void BackgroundCheck::start() {
    check_ = std::make_unique<store::ChainCheck>(db_);
    after(between_slices);
}

void BackgroundCheck::stop() {
    stopping_ = true;
    timer_.cancel();
}

void BackgroundCheck::after(std::chrono::milliseconds wait) {
    timer_.expires_after(wait);
    timer_.async_wait([this](const boost::system::error_code& error) {
        if (!error && !stopping_) slice();
    });
}

void BackgroundCheck::slice() {
    if (!check_) return start();
    const Result<bool> more = check_->step(events_per_slice);
    if (more && more.value()) return after(between_slices);
    if (more) {
        finish();
    } else {
        std::fprintf(stderr, "The check of the store stopped: %s\n", more.error().sentence().c_str());
    }
    check_.reset();
    after(between_checks);
}

void BackgroundCheck::finish() {
    const store::CheckRecord record = store::record_of(check_->report(), env_.clock.wall());
    const Result<void> kept = store::put_events_check(db_, record);
    if (!kept) std::fprintf(stderr, "What the check found could not be kept: %s\n", kept.error().sentence().c_str());
    if (record.sound) return;
    std::fprintf(stderr, "The store is damaged. %s Stop the node and run 'ladderline mend'.\n",
                 record.sentence.c_str());
}

}  // namespace ladderline::node
