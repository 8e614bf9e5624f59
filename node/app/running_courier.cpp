#include "node/app/running_courier.hpp"

#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <cstdio>

#include "node/app/background_check.hpp"
#include "node/app/control.hpp"
#include "node/app/doors.hpp"
#include "node/app/execute.hpp"
#include "node/app/store_upkeep.hpp"
#include "node/net/courier_server.hpp"

namespace ladderline::node {
namespace {

namespace asio = boost::asio;

class RunningCourier {
public:
    RunningCourier(OpenHome& home, Env& env)
        : home_(home),
          env_(env),
          parts_{home.store->db(), home.store->log(),
                 *home.me,         env.clock,
                 env.random,       [](const std::string& line) { std::fprintf(stderr, "%s\n", line.c_str()); }},
          server_(io_.get_executor(), parts_),
          control_(io_.get_executor()),
          background_check_(io_.get_executor(), home.store->db(), env),
          signals_(io_, SIGINT, SIGTERM) {}

    Result<void> run(const cli::RunOptions& options) {
        if (options.listen.empty()) {
            return Error{Fault::bad_input, "A courier is of use only where it can be called; say where with --listen."};
        }
        TRY(store::count_places(home_.store->db()));
        TRY(const net::Address address, net::parse_address(options.listen));
        TRY(const std::uint16_t port, server_.listen(address));
        TRY(control_.listen(home_.folder, [this](ControlRequest request) { return answer(std::move(request)); }));
        server_.start();
        background_check_.start();
        signals_.async_wait([this](const boost::system::error_code& error, int) {
            if (!error) stop();
        });
        std::printf(
            "The courier is reached on port %u. It keeps sealed copies and reads none; they never go over amateur "
            "frequencies.\n",
            port);
        if (home_.context->opened_by_key_file) {
            std::printf("Opened by key file: this courier unlocks itself at boot.\n");
        }
        std::fflush(stdout);
        io_.run();
        return ok();
    }

private:
    asio::awaitable<ControlAnswer> answer(ControlRequest request) {
        const Result<cli::CommandLine> line = cli::parse_command_line(request.words, request.folder);
        if (!line) co_return to_answer(line.error(), cli::wants_json(request.words));
        ControlAnswer said = answer_now(line.value());
        co_return said;
    }

    ControlAnswer answer_now(const cli::CommandLine& line) {
        const Result<void> fits = fits_store(line, *home_.context);
        if (!fits) return to_answer(fits.error(), line.json);
        if (line.keys && line.keys->what == cli::KeyRequest::What::doors) {
            const Result<cli::Answer> shown = show_doors(home_);
            return shown ? to_answer(shown.value(), line.json) : to_answer(shown.error(), line.json);
        }
        if (line.back_up_to) {
            const auto done = back_up_home(home_, env_, *line.back_up_to, {});
            return done ? to_answer(done.value(), line.json) : to_answer(done.error(), line.json);
        }
        if (line.check) return check_home(home_, env_, *line.check, line.json, {});
        if (line.command) return execute(line, *home_.context);
        return to_answer(
            Error{Fault::busy, "The courier runs and holds its store, so nothing was changed; stop it first."},
            line.json);
    }

    void stop() {
        background_check_.stop();
        server_.stop();
        control_.stop();
        io_.stop();
    }

    OpenHome& home_;
    Env& env_;
    asio::io_context io_;
    net::CourierParts parts_;
    net::CourierServer server_;
    ControlServer control_;
    BackgroundCheck background_check_;
    asio::signal_set signals_;
};

}  // namespace

Result<void> run_courier(OpenHome& home, Env& env, const cli::RunOptions& options) {
    RunningCourier courier(home, env);
    return courier.run(options);
}

}  // namespace ladderline::node
