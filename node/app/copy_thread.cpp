#include "node/app/copy_thread.hpp"

#include <algorithm>
#include <boost/asio/post.hpp>
#include <chrono>
#include <new>

#include "node/commands/store_state.hpp"

namespace ladderline::node {
namespace {

namespace fs = std::filesystem;

constexpr std::chrono::milliseconds between_news{500};

fs::path copies_of(const OpenHome& home) {
    return home.folder / "copies";
}

// "2026-11-26T093015Z"; sorts by time.
std::string stamp(WallTime now) {
    std::string out = to_iso_second(now);
    std::erase(out, ':');
    return out;
}

// Whether stamp() can have made it: what a person put there has another name, and is never touched.
bool is_stamp(const std::string& name) {
    if (name.size() != std::string_view("2026-11-26T093015Z").size()) return false;
    std::string with_colons = name;
    with_colons.insert(13, 1, ':').insert(16, 1, ':');
    const auto time = parse_utc(with_colons);
    return time && stamp(time.value()) == name;
}

void remove_copy(const fs::path& folder) {
    std::error_code ignored;
    for (const char* name : {"keys", "keys.copy", "store.db"}) fs::remove(folder / name, ignored);
    fs::remove(folder, ignored);  // stays if somebody put more into it
}

// `made` is the newest, whatever its name says: the clock may have gone back.
void keep_newest(const fs::path& folder, const fs::path& made) {
    auto others = finished_copies(folder);
    std::erase(others, made);
    for (std::size_t i = 0; i + copies_kept < others.size() + 1; ++i) remove_copy(others[i]);
}

}  // namespace

std::vector<fs::path> finished_copies(const fs::path& folder) {
    std::vector<fs::path> out;
    std::error_code ec;
    for (fs::directory_iterator at(folder, ec), end; !ec && at != end; at.increment(ec)) {
        std::error_code unknown;
        if (is_stamp(at->path().filename().string()) && fs::exists(at->path() / "keys", unknown))
            out.push_back(at->path());
    }
    std::sort(out.begin(), out.end());
    return out;
}

CopyThread::CopyThread(boost::asio::any_io_executor strand, OpenHome& home, Env& env, std::function<void()> news)
    : strand_(strand), home_(home), env_(env), news_(std::move(news)), timer_(strand) {}

CopyThread::~CopyThread() {
    stopping_ = true;
    if (thread_.joinable()) thread_.join();
}

Result<void> CopyThread::begin() {
    if (work_) return Error{Fault::busy, "A copy is being made already; wait for it, or stop it."};
    const std::string name = stamp(env_.clock.wall());
    TRY(home_.disk.make_folder(copies_of(home_)));
    TRY(work_, store::BackupWork::begin(*home_.store, home_.disk, copies_of(home_) / name, env_.random));
    folder_ = copies_of(home_) / name;
    done_ = 0;
    total_ = 0;
    proving_ = false;
    stopping_ = false;
    copied_.reset();
    said_.clear();
    thread_ = std::thread([this] { run(); });
    tell_later();
    return ok();
}

// On the thread. The copy counts its pages; what proves it only asks whether to go on.
void CopyThread::run() {
    const auto progress = [this](std::uint64_t done, std::uint64_t total) {
        if (total > 1) {
            done_ = done;
            total_ = total;
        } else {
            proving_ = true;
        }
        return !stopping_;
    };
    try {
        copied_ = work_->copy(progress);
    } catch (const std::bad_alloc&) {
        copied_ = Error{Fault::disk, "There was not enough free memory for a copy, so none was made."};
    }
    boost::asio::post(strand_, [this, alive = std::weak_ptr<int>(alive_)] {
        if (!alive.expired()) finish();
    });
}

void CopyThread::finish() {
    thread_.join();
    timer_.cancel();
    const Result<std::string> outcome = finished();
    work_.reset();
    went_well_ = outcome.has_value();
    said_ = outcome ? outcome.value() : outcome.error().sentence();
    if (went_well_) keep_newest(copies_of(home_), folder_);
    news_();
}

Result<std::string> CopyThread::finished() {
    TRY(*copied_);
    TRY(const store::BackupReport report, work_->finish());
    TRY(note_copy(home_.store->db(), env_.clock.wall(), folder_));
    return "A sealed copy with " + std::to_string(report.events) + (report.events == 1 ? " event" : " events") +
           " was made; it was opened and checked.";
}

void CopyThread::tell_later() {
    timer_.expires_after(between_news);
    timer_.async_wait([this, alive = std::weak_ptr<int>(alive_)](const boost::system::error_code& error) {
        if (error || alive.expired() || !work_) return;
        news_();
        tell_later();
    });
}

CopyState CopyThread::state() const {
    CopyState out;
    out.is_running = work_ != nullptr;
    out.folder = folder_;
    out.done = done_;
    out.total = total_;
    out.is_being_proven = proving_;
    out.said = said_;
    out.went_well = went_well_;
    return out;
}

}  // namespace ladderline::node
