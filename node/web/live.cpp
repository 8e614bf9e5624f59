#include "node/web/live.hpp"

#include <algorithm>
#include <charconv>

#include "node/web/page.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::node::web {

namespace {

bool is_topic(std::string_view topic, const LiveLimits& limits) {
    return !topic.empty() && topic.size() <= limits.topic_bytes_max &&
           std::all_of(topic.begin(), topic.end(), [](char c) {
               return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
                      c == '_' || c == '.' || c == ':';
           });
}

std::uint64_t number_or_zero(std::string_view text) {
    std::uint64_t out = 0;
    const auto end = std::from_chars(text.data(), text.data() + text.size(), out);
    return end.ec == std::errc() && end.ptr == text.data() + text.size() ? out : 0;
}

}  // namespace

std::string LiveStream::take(MonoTime now) {
    ENSURE(!busy_);
    std::string out = std::move(opening_);
    opening_.clear();
    for (const auto& [topic, number] : waiting_) {
        const std::string shown = std::to_string(number);
        out += "id: " + shown + "\nevent: news\ndata: {\"topic\":\"" + topic + "\",\"number\":" + shown + "}\n\n";
    }
    waiting_.clear();
    if (out.empty() && beat_due_) out = ": still here\n\n";
    if (out.empty()) return out;
    beat_due_ = false;
    busy_ = true;
    overtaken_ = 0;
    last_take_ = now;
    return out;
}

void LiveStream::sent() {
    busy_ = false;
}

void LiveStream::close() {
    if (closed_) return;
    closed_ = true;
    waiting_.clear();
    if (wake_) wake_();
}

void LiveStream::drop_as_slow() {
    slow_ = true;
    close();
}

void LiveStream::tell(const std::string& topic, std::uint64_t number, const LiveLimits& limits) {
    if (closed_ || std::find(topics_.begin(), topics_.end(), topic) == topics_.end()) return;
    waiting_[topic] = number;
    if (busy_ && ++overtaken_ > limits.overtaken_max) return drop_as_slow();
    if (wake_) wake_();
}

void LiveStream::on_time(MonoTime now, const LiveLimits& limits) {
    if (closed_) return;
    const std::int64_t quiet_ms = now.ms - last_take_.ms;
    if (busy_) {
        if (quiet_ms > limits.slow_ms_max) drop_as_slow();
    } else if (quiet_ms >= limits.heartbeat_ms) {
        beat_due_ = true;
        if (wake_) wake_();
    }
}

Response LiveHub::answer(const Request& request) const {
    const std::vector<std::string> topics = request.query.all("topic");
    const bool sound = !topics.empty() && topics.size() <= limits_.topics_max &&
                       std::all_of(topics.begin(), topics.end(), [&](const auto& t) { return is_topic(t, limits_); });
    if (!sound) return plain_text(400, "Say which news: /live?topic=way\n");
    Response out;
    out.content_type = "text/event-stream";
    out.live_topics = topics;
    // A browser that comes back by itself says how far it got.
    out.live_seen = std::max(number_or_zero(request.query.get("seen")), number_or_zero(request.last_event_id));
    return out;
}

std::shared_ptr<LiveStream> LiveHub::open(std::vector<std::string> topics, std::uint64_t seen, MonoTime now) {
    forget_closed();
    if (streams_.size() >= limits_.streams_max) return nullptr;
    auto stream = std::make_shared<LiveStream>();
    stream->topics_ = std::move(topics);
    stream->last_take_ = now;
    if (seen > number_) seen = 0;  // from an earlier run of the program
    stream->opening_ = "retry: " + std::to_string(limits_.retry_ms) + "\n\n";
    for (const std::string& topic : stream->topics_) {
        const auto known = last_.find(topic);
        const std::uint64_t last = known == last_.end() ? floor_ : known->second;
        if (last > seen) stream->waiting_[topic] = last;
    }
    streams_.push_back(stream);
    return stream;
}

void LiveHub::publish(std::string_view topic) {
    ENSURE(is_topic(topic, limits_));
    ++number_;
    if (last_.size() >= limits_.remembered_topics_max && last_.find(topic) == last_.end()) {
        last_.clear();
        floor_ = number_;
    }
    const std::string name(topic);
    last_[name] = number_;
    const auto streams = streams_;  // a wake may close streams
    for (const auto& stream : streams) stream->tell(name, number_, limits_);
    forget_closed();
}

void LiveHub::on_time(MonoTime now) {
    const auto streams = streams_;
    for (const auto& stream : streams) stream->on_time(now, limits_);
    forget_closed();
}

void LiveHub::close_all() {
    const auto streams = streams_;
    for (const auto& stream : streams) stream->close();
    forget_closed();
}

std::size_t LiveHub::streams() const {
    return static_cast<std::size_t>(
        std::count_if(streams_.begin(), streams_.end(), [](const auto& stream) { return !stream->closed(); }));
}

void LiveHub::forget_closed() {
    std::erase_if(streams_, [](const auto& stream) { return stream->closed(); });
}

}  // namespace ladderline::node::web
