#pragma once
// The copy of a running node's store: the pages are copied and proven on a thread of their own, which shares nothing
// with the strand but the counts below; everything else happens on the strand.

#include <atomic>
#include <boost/asio/any_io_executor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <memory>
#include <optional>
#include <thread>

#include "node/app/home.hpp"
#include "node/commands/copy_work.hpp"
#include "store/upkeep/backup.hpp"

namespace ladderline::node {

class CopyThread final : public CopyWork {
public:
    // `home` and `env` outlive the object, which ends before the strand's context. `env.random` bears two threads.
    // `news` is told on the strand whenever there is something to show.
    CopyThread(boost::asio::any_io_executor strand, OpenHome& home, Env& env, std::function<void()> news);
    ~CopyThread() override;
    CopyThread(const CopyThread&) = delete;
    CopyThread& operator=(const CopyThread&) = delete;

    Result<void> begin() override;
    void stop() override { stopping_ = true; }
    CopyState state() const override;

private:
    void run();
    void finish();
    Result<std::string> finished();
    void tell_later();

    boost::asio::any_io_executor strand_;
    OpenHome& home_;
    Env& env_;
    std::function<void()> news_;
    boost::asio::steady_timer timer_;
    std::filesystem::path folder_;
    std::unique_ptr<store::BackupWork> work_;  // while one runs
    std::thread thread_;
    std::optional<Result<void>> copied_;  // written by the thread before it says that it is over
    std::atomic<std::uint64_t> done_{0};
    std::atomic<std::uint64_t> total_{0};
    std::atomic<bool> proving_{false};
    std::atomic<bool> stopping_{false};
    std::string said_;
    bool went_well_ = false;
    std::shared_ptr<int> alive_ = std::make_shared<int>(0);  // callbacks of the strand look whether this is still here
};

// The finished copies in that folder that this program made, by their names; the oldest first.
std::vector<std::filesystem::path> finished_copies(const std::filesystem::path& folder);

}  // namespace ladderline::node
