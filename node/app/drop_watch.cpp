#include "node/app/drop_watch.hpp"

#include <boost/asio/as_tuple.hpp>
#include <boost/asio/co_spawn.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/use_awaitable.hpp>

namespace ladderline::node {

namespace asio = boost::asio;

struct DropWatch::State {
    State(asio::any_io_executor strand_, Context& context_, store::CarriedFiles& files_, std::int64_t period_ms_)
        : strand(std::move(strand_)), context(context_), files(files_), period_ms(period_ms_), timer(strand) {}

    asio::any_io_executor strand;
    Context& context;
    store::CarriedFiles& files;
    std::int64_t period_ms;
    asio::steady_timer timer;
    std::size_t rounds = 0;
    bool stopping = false;
};

DropWatch::DropWatch(asio::any_io_executor strand, Context& context, store::CarriedFiles& files, std::int64_t period_ms)
    : state_(std::make_shared<State>(std::move(strand), context, files, period_ms)) {}

void DropWatch::start() {
    asio::co_spawn(state_->strand, watch(state_), [](std::exception_ptr) {});
}

void DropWatch::stop() {
    state_->stopping = true;
    state_->timer.cancel();
}

std::size_t DropWatch::rounds() const {
    return state_->rounds;
}

asio::awaitable<void> DropWatch::watch(std::shared_ptr<State> state) {
    constexpr auto tuple = asio::as_tuple(asio::use_awaitable);
    while (!state->stopping) {
        const auto folders = store::drop_folders(state->context.db);
        if (folders) {
            for (const store::DropFolder& folder : folders.value()) {
                if (state->stopping) co_return;
                DropLookRun look(state->context, state->files, folder.folder);
                // Pages and peers get their turn between two files.
                while (!state->stopping && look.step()) co_await asio::post(state->strand, asio::use_awaitable);
            }
        }
        ++state->rounds;
        if (state->stopping) co_return;
        state->timer.expires_after(std::chrono::milliseconds(state->period_ms));
        co_await state->timer.async_wait(tuple);
    }
}

}  // namespace ladderline::node
