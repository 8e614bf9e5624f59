#pragma once
// News for open pages, as Server-Sent Events (WHATWG HTML, 9.2). No socket here: the server drives a LiveStream.
//
// GET /live?topic=way&topic=club&seen=41
//     retry: 3000                      first thing on every stream
//     id: 42                           number of the news; grows over all topics
//     event: news
//     data: {"topic":"way","number":42}
//     : still here                     a comment when nothing was sent for heartbeat_ms
//
// News of one topic that was not yet sent is overtaken by later news of it, so what waits is at most one line a topic.
// A reader that lets more than `overtaken_max` pass it, or does not take a write for `slow_ms_max`, is dropped.
// One strand: all calls come from the strand that the server runs on.

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "node/web/request.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::node::web {

struct LiveLimits {
    std::size_t streams_max = 32;
    std::size_t topics_max = 16;       // a stream
    std::size_t topic_bytes_max = 80;  // letters, digits, "-", "_", "." and ":"
    std::size_t remembered_topics_max = 4096;
    std::uint32_t overtaken_max = 64;  // news published while one write is not taken
    std::int64_t heartbeat_ms = 20'000;
    std::int64_t slow_ms_max = 20'000;
    std::int64_t retry_ms = 3'000;
};

class LiveStream {
public:
    // Bytes to write now, or empty. While they are being written the stream counts as busy until sent() is called.
    std::string take(MonoTime now);
    void sent();
    bool closed() const { return closed_; }
    bool was_slow() const { return slow_; }
    void close();
    // Called when there may be something to take, or the stream has closed. Must not destroy the stream.
    void on_wake(std::function<void()> wake) { wake_ = std::move(wake); }

private:
    friend class LiveHub;
    void tell(const std::string& topic, std::uint64_t number, const LiveLimits& limits);
    void on_time(MonoTime now, const LiveLimits& limits);
    void drop_as_slow();

    std::vector<std::string> topics_;
    std::string opening_;                           // sent first
    std::map<std::string, std::uint64_t> waiting_;  // topic -> number of its newest news
    std::uint32_t overtaken_ = 0;
    bool beat_due_ = false;
    bool busy_ = false;
    bool closed_ = false;
    bool slow_ = false;
    MonoTime last_take_;
    std::function<void()> wake_;
};

class LiveHub {
public:
    explicit LiveHub(LiveLimits limits = {}) : limits_(limits) {}

    // Wakes every stream that listens to `topic`. Our own word: letters, digits, "-", "_", "." and ":".
    void publish(std::string_view topic);
    // Number of the newest news of any topic; 0 before the first.
    std::uint64_t number() const { return number_; }

    // GET /live: the answer that opens a stream, or 400 for topics that are none.
    Response answer(const Request& request) const;
    // Null when streams_max are open. News after `seen` is told at once.
    std::shared_ptr<LiveStream> open(std::vector<std::string> topics, std::uint64_t seen, MonoTime now);
    // Heartbeats, and the end of readers that are too slow.
    void on_time(MonoTime now);
    void close_all();
    std::size_t streams() const;

private:
    void forget_closed();

    LiveLimits limits_;
    std::uint64_t number_ = 0;
    std::uint64_t floor_ = 0;  // topics not in last_ are taken to have changed then
    std::map<std::string, std::uint64_t, std::less<>> last_;
    std::vector<std::shared_ptr<LiveStream>> streams_;
};

}  // namespace ladderline::node::web
