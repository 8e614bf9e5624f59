#pragma once
// Proves the stored events while a node runs, a few at a time on the node's strand, once after the start and then once
// a day. The result is kept in the store (store/upkeep/last_check.hpp); damage is said on the error output.

#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <memory>

#include "node/app/env.hpp"
#include "store/upkeep/chain_check.hpp"

namespace ladderline::node {

class BackgroundCheck {
public:
    // `db` and `env` outlive the object, which stays on the strand.
    BackgroundCheck(boost::asio::any_io_executor strand, store::sqlite::Database& db, Env& env);

    void start();
    void stop();

private:
    void slice();
    void finish();
    void after(std::chrono::milliseconds wait);

    store::sqlite::Database& db_;
    Env& env_;
    boost::asio::steady_timer timer_;
    std::unique_ptr<store::ChainCheck> check_;
    bool stopping_ = false;
};

}  // namespace ladderline::node
