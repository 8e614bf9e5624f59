#include "node/app/recovery.hpp"

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/use_awaitable.hpp>

#include "node/app/node_host.hpp"
#include "node/commands/returning.hpp"
#include "node/net/network.hpp"
#include "node/net/returning.hpp"
#include "store/circles/peers.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
namespace asio = boost::asio;

constexpr std::int64_t look_ms = 50;
constexpr int quiet_looks_max = 1200;  // a minute without a new event
constexpr int looks_between_lines = 20;

const char* kept = "What has come is kept; run the same command again to go on.";

class Recovery {
public:
    Recovery(OpenHome& home, Env& env, std::function<void(const std::string&)> tell)
        : home_(home),
          host_(*home.context),
          parts_{home.store->db(), home.context->states, home.store->log(), *home.me, env.clock, env.random, host_},
          tell_(std::move(tell)),
          signals_(io_, SIGINT, SIGTERM),
          timer_(io_) {}

    Result<Done> run(const net::Address& peer) {
        home_.context->news = [this](const CircleId& circle) {
            asio::post(io_, [this, circle] {
                if (network_) network_->on_news(circle);
            });
        };
        signals_.async_wait([this](const boost::system::error_code& error, int) {
            if (!error) end(Error{Fault::cancelled, std::string("Stopped. ") + kept});
        });
        asio::co_spawn(io_, ask(peer), [](std::exception_ptr) {});
        while (!outcome_) io_.run_one();
        network_.reset();
        home_.context->news = [](const CircleId&) {};
        return std::move(*outcome_);
    }

private:
    enum class Stage : std::uint8_t { fetching, certifying };

    asio::awaitable<void> ask(net::Address peer) {
        const net::ReturnSetup setup{peer};
        Result<ReturnedMessage::Back> back = co_await net::come_back(io_.get_executor(), parts_, setup);
        if (!back) {
            end(back.error());
            co_return;
        }
        device_ = back.value().host.device;
        const Result<std::size_t> taken = accept_return(*home_.context, back.value());
        if (!taken) {
            end(taken.error());
            co_return;
        }
        tell_("The node there lets you back into " + std::to_string(taken.value()) +
              (taken.value() == 1 ? " circle." : " circles.") + " Fetching what it holds ...");
        connect();
        look_soon();
    }

    // A fresh connection: its first words compare all that both hold.
    void connect() {
        network_.emplace(io_.get_executor(), parts_);
        network_->start();
    }

    void look_soon() {
        timer_.expires_after(std::chrono::milliseconds(look_ms));
        timer_.async_wait([this](const boost::system::error_code& error) {
            if (error || outcome_) return;
            const Result<void> looked = look();
            if (!looked) end(looked.error());
            if (!outcome_) look_soon();
        });
    }

    Result<void> look() {
        std::int64_t events = 0;
        TRY(parts_.db.query("SELECT count(*) FROM event",
                            [&](const store::sqlite::Row& row) { events = row.integer(0); }));
        quiet_looks_ = events == events_ ? quiet_looks_ + 1 : 0;
        if (events != events_ && ++looks_ % looks_between_lines == 0) tell_(std::to_string(events) + " events so far.");
        events_ = events;
        if (quiet_looks_ > quiet_looks_max) return went_away();
        if (network_->links_in_step() == 0) return ok();
        if (stage_ == Stage::fetching) {
            TRY(const std::size_t certified, certify_own_device(*home_.context));
            stage_ = Stage::certifying;
            quiet_looks_ = 0;
            if (certified > 0) {
                connect();
                return ok();
            }
        }
        TRY(Done done, settle_in(*home_.context));
        end(std::move(done));
        return ok();
    }

    Error went_away() {
        std::string why = "it says nothing new any more.";
        if (const auto notes = store::peer_notes(parts_.db)) {
            for (const store::PeerNote& note : notes.value()) {
                if (note.device == device_ && note.last && !note.last->note.empty()) why = note.last->note;
            }
        }
        return {Fault::network, "The node there went away: " + why + " " + kept};
    }

    void end(Result<Done> outcome) {
        if (!outcome_) outcome_.emplace(std::move(outcome));
    }

    OpenHome& home_;
    asio::io_context io_;
    NodeHost host_;
    net::Parts parts_;
    std::function<void(const std::string&)> tell_;
    asio::signal_set signals_;
    asio::steady_timer timer_;
    std::optional<net::Network> network_;
    DeviceId device_;
    Stage stage_ = Stage::fetching;
    std::int64_t events_ = 0;
    int quiet_looks_ = 0;
    int looks_ = 0;
    std::optional<Result<Done>> outcome_;
};

}  // namespace

Result<Done> recover(OpenHome& home, Env& env, const cli::RecoverOptions& options,
                     const std::function<void(const std::string&)>& tell) {
    TRY(const net::Address peer, net::parse_address(options.peer));
    Recovery recovery(home, env, tell);
    return recovery.run(peer);
}

}  // namespace ladderline::node
