#pragma once
// A courier's door: takes callers in, and nobody else. It listens and never dials; it knows no member and no device.

#include <boost/asio/any_io_executor.hpp>
#include <functional>

#include "node/net/address.hpp"
#include "node/net/duplex.hpp"
#include "store/courier/courier_desk.hpp"
#include "store/identity/identity.hpp"

namespace ladderline::node::net {

// All of it outlives the server.
struct CourierParts {
    store::sqlite::Database& db;
    store::EventLog& log;
    const store::Identity& me;  // its Noise key takes calls, its device key signs receipts; it is in no circle
    Clock& clock;
    Random& random;
    std::function<void(const std::string&)> log_line;
};

class CourierServer {
public:
    // `tidy_look_ms`: how often it asks the clock whether what is outdated is to be removed.
    CourierServer(boost::asio::any_io_executor strand, const CourierParts& parts, DuplexTimes times = {},
                  std::int64_t tidy_look_ms = 60'000);
    // The io_context must not be running on another thread; cuts what still runs.
    ~CourierServer();
    CourierServer(const CourierServer&) = delete;
    CourierServer& operator=(const CourierServer&) = delete;

    // As Network::listen.
    Result<std::uint16_t> listen(const Address& address);
    void start();
    void stop();
    std::size_t callers() const;

private:
    struct State;
    std::shared_ptr<State> state_;
};

}  // namespace ladderline::node::net
