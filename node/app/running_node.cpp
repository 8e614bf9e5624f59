#include "node/app/running_node.hpp"

#include <boost/asio/co_spawn.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <cstdio>

#include "node/app/arrivals.hpp"
#include "node/app/background_check.hpp"
#include "node/app/build_facts.hpp"
#include "node/app/clock_watch.hpp"
#include "node/app/control.hpp"
#include "node/app/copy_thread.hpp"
#include "node/app/courier_calls.hpp"
#include "node/app/doors.hpp"
#include "node/app/drop_watch.hpp"
#include "node/app/execute.hpp"
#include "node/app/greetings.hpp"
#include "node/app/joining.hpp"
#include "node/app/node_host.hpp"
#include "node/app/notices.hpp"
#include "node/app/phone_answers.hpp"
#include "node/app/store_upkeep.hpp"
#include "node/app/terminal.hpp"
#include "node/commands/feed.hpp"
#include "node/commands/key_rotation.hpp"
#include "node/net/courier_visits.hpp"
#include "node/net/discovery.hpp"
#include "node/net/interfaces.hpp"
#include "node/net/network.hpp"
#include "node/web/guard.hpp"
#include "node/web/live.hpp"
#include "node/web/pages/pages.hpp"
#include "node/web/phone/phone_door.hpp"
#include "node/web/server.hpp"
#include "node/web/site.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
namespace asio = boost::asio;

class RunningNode {
public:
    RunningNode(OpenHome& home, Env& env)
        : home_(home),
          env_(env),
          host_(*home.context),
          parts_{home.store->db(), home.context->states, home.store->log(), *home.me, env.clock, env.random, host_},
          network_(io_.get_executor(), parts_),
          visits_(io_.get_executor(), parts_),
          discovery_(io_.get_executor(), parts_, {},
                     [this](const store::PeerDevice& peer) { network_.call_once(peer); }),
          greetings_(io_.get_executor(), home, parts_, host_.greeting_door()),
          arrivals_(io_.get_executor(), home, parts_, greetings_,
                    {[this] { return port_; }, [this] { return invite_address_; }, [this] { network_.look_again(); },
                     [this] { hub_.publish(arrivals_topic); }}),
          control_(io_.get_executor()),
          server_(io_.get_executor()),
          background_check_(io_.get_executor(), home.store->db(), env),
          copy_(io_.get_executor(), home, env, [this] { hub_.publish(copy_topic); }),
          notices_(io_.get_executor(), *home.context),
          clock_watch_(*home.context, program_made(),
                       [this](const DhPublic& peer) { return network_.was_in_step_with(peer); }),
          signals_(io_, SIGINT, SIGTERM) {}

    Result<void> run(const cli::RunOptions& options) {
        home_.context->news = [this](const CircleId& circle) { on_news(circle); };
        host_.on_arrival([this] { notices_.on_arrival(); });
        host_.on_settled([this](const CircleId& circle) { clock_watch_.on_settled(circle); });
        clock_watch_.start();
        TRY(open_network(options));
        TRY(control_.listen(home_.folder, [this](ControlRequest request) { return answer(std::move(request)); }));
        TRY(open_pages(options));
        look_at_keys();
        network_.start();
        visits_.start();
        background_check_.start();
        notices_.start(options.notify);
        look_at_keys_later();
        drops_.emplace(io_.get_executor(), *home_.context, carried_files_, std::int64_t{60'000} * options.look_minutes);
        drops_->start();
        signals_.async_wait([this](const boost::system::error_code& error, int) {
            if (!error) stop();
        });
        io_.run();
        home_.context->news = [](const CircleId&) {};
        return ok();
    }

private:
    Result<void> open_network(const cli::RunOptions& options) {
        invite_address_ = options.address;
        if (options.listen.empty()) return ok();
        TRY(const net::Address address, net::parse_address(options.listen));
        TRY(port_, network_.listen(address));
        const bool everywhere = address.host == "0.0.0.0" || address.host == "::";
        if (invite_address_.empty()) {
            const std::string host = everywhere ? net::outward_address(io_).to_string() : address.host;
            invite_address_ = net::to_text({host, port_});
        }
        std::printf("Other nodes reach this one on port %u.\n", port_);
        if (options.nearby && address.host != "127.0.0.1" && address.host != "::1") call_out_nearby();
        return ok();
    }

    void call_out_nearby() {
        const auto started = discovery_.start(port_, network_.families());
        if (started) {
            write_words(stdout,
                        "Members on the same local network find it by themselves (never carry its sealed news over "
                        "amateur frequencies).\n");
        } else {
            std::fprintf(stderr, "%s\n", started.error().sentence().c_str());
        }
    }

    Result<void> open_pages(const cli::RunOptions& options) {
        TRY(const std::uint16_t port, server_.listen(options.page_port));
        guard_.emplace(web::GuardOptions{.port = port, .idle_ms_max = std::int64_t{60'000} * options.lock_minutes},
                       env_.random);
        TRY(auto secret, feed_secret(*home_.context));
        guard_->allow_feed(std::move(secret));
        const auto say_fault = [](const std::string& path, const std::string& what) {
            std::fprintf(stderr, "The page %s failed: %s\n", path.c_str(), what.c_str());
        };
        phone_.emplace(io_.get_executor(), router_, hub_, env_,
                       web::PhoneDoor::Setup{own_addresses, std::int64_t{60'000} * options.lock_minutes});
        phone_->on_fault(say_fault);
        phone_->on_lock([this] { guard_->lock(); });
        web::add_pages(router_, *home_.context, {[this] { return invite_address_; }, &arrivals_, &*phone_, &copy_});
        site_.emplace(*guard_, router_, hub_, env_.clock);
        site_->on_fault(say_fault);
        site_->on_lock([this] { phone_->shut(web::PhoneEnd::locked); });
        server_.serve(site_->handler(), hub_);
        server_.start_ticking(env_.clock);
        if (home_.context->opened_by_key_file) {
            std::printf("Opened by key file: this node unlocks itself at boot.\n");
        }
        std::printf("Your pages are at %s\n(the address works once; 'ladderline pages' gives a new one)\n",
                    guard_->start_address().c_str());
        std::fflush(stdout);
        return ok();
    }

    // A node without a new key still serves its owner.
    void look_at_keys() {
        const Result<void> looked = rotate_where_due(*home_.context);
        if (!looked) host_.log_line("A new key could not be made: " + looked.error().sentence());
    }

    // A key may become due while the node runs: by its age, or by the last day of a consent.
    void look_at_keys_later() {
        key_timer_.expires_after(std::chrono::hours(1));
        key_timer_.async_wait([this](const boost::system::error_code& error) {
            if (error) return;
            look_at_keys();
            clock_watch_.look();
            look_at_keys_later();
        });
    }

    // Follow-up work is posted, so that a command inside a session never re-enters that session.
    void on_news(const CircleId& circle) {
        hub_.publish(web::topic_of(circle.view()));
        hub_.publish(web::any_circle_topic);
        asio::post(io_, [this, circle] {
            network_.on_news(circle);
            visits_.on_news(circle);
            notices_.on_own_word();
        });
    }

    asio::awaitable<ControlAnswer> answer(ControlRequest request) {
        const Result<cli::CommandLine> line = cli::parse_command_line(request.words, request.folder);
        if (!line) co_return to_answer(line.error(), cli::wants_json(request.words));
        const cli::CommandLine& command = line.value();
        if (command.greet || (command.join && command.join->greets())) {
            ControlAnswer said = co_await greet(command);
            co_return said;
        }
        if (command.join) {
            const Result<Done> done = co_await join_as_typed(home_, parts_, *command.join, port_);
            network_.look_again();
            ControlAnswer said =
                done ? to_answer(cli::answer_of(done.value()), command.json) : to_answer(done.error(), command.json);
            co_return said;
        }
        if (command.courier_call) {
            const Result<cli::Answer> done = co_await call_courier(*home_.context, parts_, *command.courier_call);
            visits_.look_again();
            ControlAnswer said = done ? to_answer(done.value(), command.json) : to_answer(done.error(), command.json);
            co_return said;
        }
        ControlAnswer said = answer_now(command);
        co_return said;
    }

    asio::awaitable<ControlAnswer> greet(cli::CommandLine command) {
        Result<cli::Answer> outcome = Error{Fault::not_yet, {}};
        if (command.greet) {
            outcome = co_await greetings_.greet(*command.greet, port_, invite_address_);
        } else {
            outcome = co_await greetings_.join(*command.join, port_);
            network_.look_again();
        }
        ControlAnswer said =
            outcome ? to_answer(outcome.value(), command.json) : to_answer(outcome.error(), command.json);
        co_return said;
    }

    ControlAnswer answer_now(const cli::CommandLine& command) {
        if (command.new_pages_address) {
            guard_->renew_token();
            return to_answer(cli::Answer{guard_->start_address(), {{"address", guard_->start_address()}}},
                             command.json);
        }
        if (command.feed) {
            const Result<cli::Answer> said = feed(command.feed->what);
            return said ? to_answer(said.value(), command.json) : to_answer(said.error(), command.json);
        }
        if (command.phone) {
            const Result<cli::Answer> said = answer_about_phone(*phone_, *command.phone);
            return said ? to_answer(said.value(), command.json) : to_answer(said.error(), command.json);
        }
        if (command.keys) return answer_at_the_doors(command);
        if (command.run) return to_answer(Error{Fault::busy, "This store's node runs already."}, command.json);
        if (command.begin || command.begin_courier) {
            return to_answer(Error{Fault::refused, "There is a store in this folder already; nothing was changed."},
                             command.json);
        }
        if (command.recover) {
            return to_answer(Error{Fault::busy, "This store's node runs; stop it, then recover. Nothing was changed."},
                             command.json);
        }
        if (command.back_up_to) {
            if (copy_.state().is_running) {
                return to_answer(Error{Fault::busy, "A copy is being made already; try again in a moment."},
                                 command.json);
            }
            const auto done = back_up_home(home_, env_, *command.back_up_to, {});
            return done ? to_answer(done.value(), command.json) : to_answer(done.error(), command.json);
        }
        if (command.check) return check_home(home_, env_, *command.check, command.json, {});
        if (command.mend || command.restore_from) {
            return to_answer(Error{Fault::busy, "This store's node runs; stop it first."}, command.json);
        }
        if (command.invite_needs_address) *command.invite_needs_address = invite_address_;
        if (!command.command)
            return to_answer(Error{Fault::bad_input, "That cannot be done by a running node."}, command.json);
        ControlAnswer said = execute(command, *home_.context);
        network_.look_again();
        return said;
    }

    Result<cli::Answer> feed(cli::FeedRequest::What what) {
        if (what == cli::FeedRequest::What::off) {
            TRY(const Done done, shut_feed(*home_.context));
            guard_->allow_feed({});
            return cli::answer_of(done);
        }
        TRY(auto secret, open_feed(*home_.context, what == cli::FeedRequest::What::anew));
        guard_->allow_feed(std::move(secret));
        const std::string address = guard_->feed_address();
        return cli::Answer{
            "Give this address to a calendar program on this machine:\n" + address +
                "\nWhoever knows it reads your dates here, and the program keeps what it has read, not "
                "encrypted. Start the node with 'ladderline run --pages PORT', so that the address stays.",
            {{"address", address}}};
    }

    ControlAnswer answer_at_the_doors(const cli::CommandLine& command) {
        if (command.keys->what != cli::KeyRequest::What::doors) {
            return to_answer(Error{Fault::busy,
                                   "The node runs and holds the store, so nothing was changed; stop it, try again, and "
                                   "start it anew."},
                             command.json);
        }
        const Result<cli::Answer> shown = show_doors(home_);
        return shown ? to_answer(shown.value(), command.json) : to_answer(shown.error(), command.json);
    }

    void stop() {
        background_check_.stop();
        copy_.stop();
        notices_.stop();
        key_timer_.cancel();
        discovery_.stop();
        network_.stop();
        visits_.stop();
        drops_->stop();
        control_.stop();
        phone_->shut(web::PhoneEnd::by_word);
        server_.stop();
        // What is still being said to peers gets a moment; then everything ends.
        stop_timer_.expires_after(std::chrono::milliseconds(300));
        stop_timer_.async_wait([this](const boost::system::error_code&) { io_.stop(); });
    }

    OpenHome& home_;
    Env& env_;
    asio::io_context io_;
    web::LiveHub hub_;
    NodeHost host_;
    net::Parts parts_;
    net::Network network_;
    net::CourierVisits visits_;
    store::RealCarriedFiles carried_files_;
    std::optional<DropWatch> drops_;
    net::Discovery discovery_;
    Greetings greetings_;
    NodeArrivals arrivals_;
    ControlServer control_;
    web::Router router_;
    std::optional<web::Guard> guard_;
    std::optional<web::Site> site_;
    std::optional<web::PhoneDoor> phone_;
    web::Server server_;
    BackgroundCheck background_check_;
    CopyThread copy_;
    Notices notices_;
    ClockWatch clock_watch_;
    asio::signal_set signals_;
    asio::steady_timer key_timer_{io_};
    asio::steady_timer stop_timer_{io_};
    std::uint16_t port_ = 0;
    std::string invite_address_;
};

}  // namespace

Result<void> run_node(OpenHome& home, Env& env, const cli::RunOptions& options) {
    RunningNode node(home, env);
    return node.run(options);
}

}  // namespace ladderline::node
