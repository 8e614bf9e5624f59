#include "node/web/live.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using namespace ladderline::node::web;

namespace {

constexpr MonoTime start{0};

std::string taken(LiveStream& stream, MonoTime now = start) {
    const std::string out = stream.take(now);
    if (!out.empty()) stream.sent();
    return out;
}

}  // namespace

TEST_CASE("News of a topic reaches the streams that listen to it and no other") {
    LiveHub hub;
    const auto way = hub.open({"way"}, 0, start);
    const auto club = hub.open({"club"}, 0, start);
    CHECK(taken(*way) == "retry: 3000\n\n");
    CHECK(taken(*club) == "retry: 3000\n\n");
    hub.publish("way");
    CHECK(taken(*way) == "id: 1\nevent: news\ndata: {\"topic\":\"way\",\"number\":1}\n\n");
    CHECK(taken(*club).empty());
}

TEST_CASE("A stream is woken by news of its topic") {
    LiveHub hub;
    int woken = 0;
    const auto stream = hub.open({"way"}, 0, start);
    stream->on_wake([&] { ++woken; });
    hub.publish("club");
    CHECK(woken == 0);
    hub.publish("way");
    CHECK(woken == 1);
}

TEST_CASE("News that was not sent yet is overtaken by later news of the same topic") {
    LiveHub hub;
    const auto stream = hub.open({"way"}, 0, start);
    taken(*stream);
    for (int i = 0; i < 1000; ++i) hub.publish("way");
    CHECK(taken(*stream) == "id: 1000\nevent: news\ndata: {\"topic\":\"way\",\"number\":1000}\n\n");
    CHECK_FALSE(stream->closed());
}

TEST_CASE("A page that comes back is told at once what it missed, and nothing that it has seen") {
    LiveHub hub;
    hub.publish("way");
    hub.publish("club");
    CHECK(taken(*hub.open({"way"}, 0, start)).find("id: 1\n") != std::string::npos);
    CHECK(taken(*hub.open({"way"}, 1, start)) == "retry: 3000\n\n");
    CHECK(taken(*hub.open({"way", "club"}, 1, start)).find("\"club\",\"number\":2") != std::string::npos);
    CHECK(taken(*hub.open({"way"}, 99, start)).find("id: 1\n") != std::string::npos);
}

TEST_CASE("Topics that were forgotten to save room count as changed") {
    LiveLimits limits;
    limits.remembered_topics_max = 2;
    LiveHub hub(limits);
    for (const char* topic : {"a", "b", "c"}) hub.publish(topic);
    CHECK(taken(*hub.open({"a"}, 2, start)).find("\"topic\":\"a\",\"number\":3") != std::string::npos);
}

TEST_CASE("A reader that lets too much news pass while it takes none is dropped") {
    LiveLimits limits;
    limits.overtaken_max = 3;
    LiveHub hub(limits);
    const auto stream = hub.open({"way"}, 0, start);
    stream->take(start);  // and never sent
    for (int i = 0; i < 3; ++i) hub.publish("way");
    CHECK_FALSE(stream->closed());
    hub.publish("way");
    CHECK(stream->was_slow());
    CHECK(hub.streams() == 0);
}

TEST_CASE("A reader that does not take a write in time is dropped") {
    LiveHub hub;
    const auto stream = hub.open({"way"}, 0, start);
    stream->take(start);
    hub.on_time(MonoTime{20'000});
    CHECK_FALSE(stream->closed());
    hub.on_time(MonoTime{20'001});
    CHECK(stream->was_slow());
}

TEST_CASE("A quiet stream gets a heartbeat every twenty seconds") {
    LiveHub hub;
    const auto stream = hub.open({"way"}, 0, start);
    taken(*stream, start);
    hub.on_time(MonoTime{19'999});
    CHECK(taken(*stream, MonoTime{19'999}).empty());
    hub.on_time(MonoTime{20'000});
    CHECK(taken(*stream, MonoTime{20'000}) == ": still here\n\n");
    hub.on_time(MonoTime{20'001});
    CHECK(taken(*stream, MonoTime{20'001}).empty());
}

TEST_CASE("No more streams open than fit, and a closed one makes room") {
    LiveLimits limits;
    limits.streams_max = 2;
    LiveHub hub(limits);
    const auto first = hub.open({"way"}, 0, start);
    const auto second = hub.open({"way"}, 0, start);
    CHECK(hub.open({"way"}, 0, start) == nullptr);
    first->close();
    CHECK(hub.open({"way"}, 0, start) != nullptr);
}

TEST_CASE("Topics are plain words, and a page asks for a few of them") {
    LiveHub hub;
    const auto status_for = [&](std::vector<std::string> topics) {
        Request request;
        for (std::string& topic : topics) request.query.add("topic", std::move(topic));
        return hub.answer(request).status;
    };
    CHECK(status_for({"way", "path:ab-12_3.4"}) == 200);
    CHECK(status_for({}) == 400);
    CHECK(status_for({""}) == 400);
    CHECK(status_for({"way\n"}) == 400);
    CHECK(status_for({"<b>"}) == 400);
    CHECK(status_for({std::string(81, 'a')}) == 400);
    CHECK(status_for(std::vector<std::string>(17, "way")) == 400);
}

TEST_CASE("What a browser has seen is taken from the address or from its own note, the later of them") {
    LiveHub hub;
    Request request;
    request.query.add("topic", "way");
    request.query.add("seen", "4");
    CHECK(hub.answer(request).live_seen == 4);
    request.last_event_id = "7";
    CHECK(hub.answer(request).live_seen == 7);
    request.last_event_id = "7x";
    CHECK(hub.answer(request).live_seen == 4);
}
