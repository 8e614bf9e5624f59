#pragma once
// Looks into the drop folders when the node starts, and again every few minutes.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/awaitable.hpp>
#include <boost/asio/steady_timer.hpp>
#include <memory>

#include "node/commands/carry.hpp"

namespace ladderline::node {

class DropWatch {
public:
    // `period_ms`: between the end of one round and the next. All outlive the watch.
    DropWatch(boost::asio::any_io_executor strand, Context& context, store::CarriedFiles& files,
              std::int64_t period_ms);
    ~DropWatch() { stop(); }
    DropWatch(const DropWatch&) = delete;
    DropWatch& operator=(const DropWatch&) = delete;

    void start();
    void stop();
    // Rounds that have ended.
    std::size_t rounds() const;

private:
    struct State;
    static boost::asio::awaitable<void> watch(std::shared_ptr<State> state);

    std::shared_ptr<State> state_;
};

}  // namespace ladderline::node
