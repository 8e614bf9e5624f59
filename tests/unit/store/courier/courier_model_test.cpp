// Which of the couriers that a circle's events name count.

#include "store/courier/courier_model.hpp"

#include <doctest/doctest.h>

#include "protocol/event/kinds.hpp"
#include "store/courier/courier_notes.hpp"
#include "tests/support/store/event_log_node.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::EventLogNode;
using test::Person;

namespace {

// Ada's path with Ben as guardian and Max as mentor, each at a node of their own that holds the same.
struct World {
    test::SeededRandom random{31};
    Person ada = test::make_person("Ada", random);
    Person ben = test::make_person("Ben", random);
    Person max = test::make_person("Max", random);
    store::CourierModel models[3];
    EventLogNode adas{32, {&models[0]}};
    EventLogNode bens{33, {&models[1]}};
    EventLogNode maxs{34, {&models[2]}};
    CircleId circle = adas.found(ada, CircleKind::path, MemberRole::newcomer);

    World() {
        for (const auto& [who, role] : {std::pair{&ben, MemberRole::guardian}, std::pair{&max, MemberRole::mentor}}) {
            const AdmitBody body{who->id(), role, 3, who->name, false, {who->certificate()}};
            REQUIRE(adas.log.append({circle, kind::admit, codec::encode(body), {}}, adas.now).has_value());
        }
        bens.act_as(ben);
        maxs.act_as(max);
        for (EventLogNode* node : {&bens, &maxs}) {
            carry(adas, *node, circle);
            REQUIRE(node->log.add_key(circle, adas.log.current_key(circle).value()).has_value());
        }
    }
    CourierBody named(int number) {
        CourierBody body{"c" + std::to_string(number) + ".example:7310", {}, {}, 1 << 20, 30, false};
        body.noise.data.fill(static_cast<std::uint8_t>(number));
        body.signing.data.fill(static_cast<std::uint8_t>(number + 100));
        return body;
    }
    void say(EventLogNode& at, const CourierBody& body, std::vector<EventId> supersedes = {}) {
        now.ms += 1000;
        REQUIRE(at.log.append({circle, kind::courier, codec::encode(body), std::move(supersedes)}, now).has_value());
    }
    CourierBody gone(int number) {
        CourierBody body = named(number);
        body.withdrawn = true;
        return body;
    }
    // As the commands do it: a new word names those that it replaces.
    void replace(EventLogNode& at, const CourierBody& body) {
        say(at, body, store::words_about_courier(at.db, circle, body.noise).value());
    }
    // With a clock that is ten years ahead.
    void say_far_ahead(EventLogNode& at, const CourierBody& body) {
        const WallTime before = now;
        now.ms += 3'652 * std::int64_t{86'400'000};
        say(at, body);
        now = before;
    }
    void share() {
        for (EventLogNode* from : {&adas, &bens, &maxs}) {
            for (EventLogNode* to : {&adas, &bens, &maxs}) {
                if (from != to) carry(*from, *to, circle);
            }
        }
    }
    std::string addresses(EventLogNode& at) {
        std::string out;
        const auto all = store::couriers_of(at.db, circle);
        for (const auto& one : all.value()) out += one.said.address.substr(0, 2) + " ";
        return out;
    }
    // The same everywhere, or it says so.
    std::string everywhere() {
        share();
        const std::string at_adas = addresses(adas);
        return addresses(bens) == at_adas && addresses(maxs) == at_adas ? at_adas : "not the same everywhere";
    }

    WallTime now{1'700'000'100'000};
};

}  // namespace

TEST_CASE("a courier that the newcomer or the guardian names counts for everybody") {
    World w;
    w.say(w.adas, w.named(1));
    w.say(w.bens, w.named(2));
    CHECK(w.everywhere() == "c2 c1 ");
}

TEST_CASE("a courier that a mentor names on a path does not count") {
    World w;
    w.say(w.maxs, w.named(1));
    CHECK(w.everywhere() == "");
}

TEST_CASE("of three couriers the two named latest count") {
    World w;
    for (const int number : {1, 2, 3}) w.say(number == 2 ? w.bens : w.adas, w.named(number));
    CHECK(w.everywhere() == "c3 c2 ");
}

TEST_CASE("anybody who may name a courier may withdraw it") {
    World w;
    w.say(w.adas, w.named(1));
    w.share();
    CourierBody gone = w.named(1);
    gone.withdrawn = true;
    w.say(w.maxs, gone);
    CHECK(w.everywhere() == "c1 ");
    w.say(w.bens, gone);
    CHECK(w.everywhere() == "");
    w.say(w.adas, w.named(1));
    CHECK(w.everywhere() == "c1 ");
}

TEST_CASE("when one of three is withdrawn the one before it counts again") {
    World w;
    for (const int number : {1, 2, 3}) w.say(w.adas, w.named(number));
    CourierBody gone = w.named(3);
    gone.withdrawn = true;
    w.say(w.adas, gone);
    CHECK(w.everywhere() == "c2 c1 ");
}

TEST_CASE("what a clock far ahead named is withdrawn, and another named, by the same node with its clock put right") {
    World w;
    w.say_far_ahead(w.adas, w.named(1));
    w.say_far_ahead(w.adas, w.named(2));
    for (const int number : {1, 2}) w.say(w.adas, w.gone(number));
    w.say(w.adas, w.named(3));
    CHECK(w.everywhere() == "c3 ");
}

TEST_CASE("what a clock far ahead named, anybody withdraws who may name a courier and has seen it") {
    World w;
    w.say_far_ahead(w.adas, w.named(1));
    w.share();
    w.replace(w.bens, w.gone(1));
    CHECK(w.everywhere() == "");
    w.say(w.bens, w.named(1));
    CHECK(w.everywhere() == "c1 ");
}

TEST_CASE("somebody who may not name a courier moves nobody's word about one") {
    World w;
    w.say(w.adas, w.named(1));
    w.share();
    const WallTime early{w.now.ms - 500'000};
    w.say(w.bens, w.gone(1));
    w.share();
    const EventId bens = store::words_about_courier(w.maxs.db, w.circle, w.named(1).noise).value().at(0);
    w.now = early;
    w.say(w.maxs, w.gone(1), {bens});
    CHECK(w.everywhere() == "");
}

TEST_CASE("two that name a courier at the same moment come out the same everywhere") {
    World w;
    for (const int number : {1, 2, 3, 4}) {
        const WallTime before = w.now;
        w.say(number % 2 == 0 ? w.adas : w.bens, w.named(number));
        if (number % 2 == 1) w.now = before;
    }
    const std::string out = w.everywhere();
    CHECK(out.size() == 6);
}

TEST_CASE("an event of this kind that makes no sense has no effect") {
    World w;
    REQUIRE(w.adas.log.append({w.circle, kind::courier, {1, 2, 3}, {}}, w.now).has_value());
    CourierBody greedy = w.named(1);
    greedy.quota_bytes = ~std::uint64_t{0};
    w.say(w.adas, greedy);
    CHECK(w.everywhere() == "");
}

TEST_CASE("a host's hint counts until the circle itself can be read") {
    World w;
    w.say(w.adas, w.named(1));
    const auto named = store::couriers_to_name(w.adas.db, {w.circle}).value();
    REQUIRE(named.couriers.size() == 1);
    store::CourierModel model;
    EventLogNode news{35, {&model}};
    REQUIRE(store::remember_couriers(news.db, named).has_value());
    CHECK(store::couriers_for(news.db, w.max.id()).value().empty());  // no key yet
    REQUIRE(news.log.add_key(w.circle, w.adas.log.current_key(w.circle).value()).has_value());
    REQUIRE(store::couriers_for(news.db, w.max.id()).value().size() == 1);
    CHECK(store::couriers_for(news.db, w.max.id()).value().at(0).said == w.named(1));
    CourierBody moved = w.named(1);
    moved.address = "d1.example:7310";
    w.say(w.adas, moved);
    carry(w.adas, news, w.circle);
    REQUIRE(store::couriers_for(news.db, w.max.id()).value().size() == 1);
    CHECK(store::couriers_for(news.db, w.max.id()).value().at(0).said == moved);
}

TEST_CASE("a host's hints are few") {
    World w;
    KnownCouriersMessage named;
    for (int number = 1; number < 9; ++number) named.couriers.push_back({w.circle, w.named(number)});
    REQUIRE(store::remember_couriers(w.maxs.db, named).has_value());
    CHECK(w.maxs.count("SELECT count(*) FROM courier_hint") == static_cast<std::int64_t>(limits::couriers_max));
}

TEST_CASE("what no receipt covers is counted, and a receipt for something else covers nothing") {
    World w;
    const store::AtCourier at{w.circle, w.named(1).noise};
    CHECK(store::events_beyond(w.adas.db, w.circle, 0, true).value() == 3);
    Receipt receipt{w.circle, {}, 9, WallTime{5}, 30, {}};
    REQUIRE(store::keep_receipt(w.adas.db, at, receipt, w.adas.log.arrivals().value()).has_value());
    w.say(w.adas, w.named(1));
    auto kept = store::receipt_of(w.adas.db, at).value();
    REQUIRE(kept.has_value());
    CHECK(store::events_beyond(w.adas.db, w.circle, kept->covered, true).value() == 1);
    receipt.at.ms = 6;
    REQUIRE(store::keep_receipt(w.adas.db, at, receipt, std::nullopt).has_value());
    kept = store::receipt_of(w.adas.db, at).value();
    CHECK(kept->receipt == receipt);
    CHECK(store::events_beyond(w.adas.db, w.circle, kept->covered, true).value() == 1);
}

TEST_CASE("events of others are not counted as one's own") {
    World w;
    w.say(w.bens, w.named(1));
    w.share();
    CHECK(store::events_beyond(w.adas.db, w.circle, 0, false).value() == 4);
    CHECK(store::events_beyond(w.adas.db, w.circle, 0, true).value() == 3);
}
