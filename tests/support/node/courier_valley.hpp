#pragma once
// A courier on the loopback, and members who are never online together.

#include "node/commands/couriers.hpp"
#include "node/commands/key_rotation.hpp"
#include "node/commands/state_digests.hpp"
#include "node/net/courier_server.hpp"
#include "node/net/courier_visits.hpp"
#include "tests/support/node/loopback.hpp"

namespace ladderline::test {

// Never moved: the server refers to its neighbours.
class CourierNode {
public:
    CourierNode(boost::asio::io_context& io, SetClock& clock, std::uint64_t seed)
        : db(must(store::sqlite::Database::in_memory())),
          log(db, random_, {}),
          random_(seed),
          io_(io),
          clock_(clock),
          env_{clock, random_} {
        must(store::bring_up_to_date(db));
        must(log.prepare());
        me.emplace(must(store::create_identity(db, "courier", random_)));
        context.reset(new node::Context{db, log, *me, env_, domain::shipped_edition()});
        must(node::begin_courier(*context));
    }

    // Listens where it listened before, if it did.
    void start(node::net::DuplexTimes times = {}, std::int64_t tidy_look_ms = 60'000) {
        const node::net::CourierParts parts{
            db, log, *me, clock_, random_, [this](const std::string& line) { lines.push_back(line); }};
        server = std::make_unique<node::net::CourierServer>(io_.get_executor(), parts, times, tidy_look_ms);
        port = must(server->listen({"127.0.0.1", port}));
        server->start();
    }
    std::string address() const { return "127.0.0.1:" + std::to_string(port); }
    std::string code(std::uint64_t mebibytes = 64, std::uint32_t days = 90) {
        return must(node::give_place(*context, {mebibytes, days, 7})).code;
    }
    std::int64_t count(std::string_view sql) {
        std::int64_t out = 0;
        must(db.query(sql, [&](const store::sqlite::Row& row) { out = row.integer(0); }));
        return out;
    }

    store::sqlite::Database db;
    store::EventLog log;
    std::optional<store::Identity> me;
    std::unique_ptr<node::Context> context;
    std::unique_ptr<node::net::CourierServer> server;
    std::vector<std::string> lines;
    std::uint16_t port = 0;

private:
    SeededRandom random_;
    boost::asio::io_context& io_;
    SetClock& clock_;
    node::Env env_;
};

using Place = protocol::PlacedMessage::Place;

inline boost::asio::awaitable<void> place_into(boost::asio::any_io_executor strand, node::net::Parts parts,
                                               node::net::PlaceSetup setup, std::optional<Result<Place>>& outcome) {
    Result<Place> place = co_await node::net::take_courier_place(strand, parts, setup);
    outcome.emplace(std::move(place));
}

inline boost::asio::awaitable<void> visit_into(boost::asio::any_io_executor strand, node::net::Parts parts,
                                               store::CircleCourier where,
                                               std::optional<Result<protocol::VisitOutcome>>& outcome) {
    const node::net::CourierTimes times;
    Result<protocol::VisitOutcome> said = co_await node::net::visit_courier(strand, parts, where, times);
    outcome.emplace(std::move(said));
}

inline boost::asio::awaitable<void> stop_into(boost::asio::any_io_executor strand, node::net::Parts parts,
                                              store::AtCourier at, std::optional<Result<void>>& outcome) {
    const node::net::CourierTimes times;
    Result<void> stopped = co_await node::net::stop_courier(strand, parts, at, times);
    outcome.emplace(std::move(stopped));
}

// Ada's path with Max, her mentor, and Gwen, her guardian. No node of theirs listens or dials.
class CourierValley : public Loopback {
public:
    CourierValley() {
        begin_as(ada.member, "Ada", protocol::MemberRole::newcomer);
        begin_as(max.member, "Max", protocol::MemberRole::mentor);
        begin_as(gwen.member, "Gwen", protocol::MemberRole::guardian);
        path = ada.member.circle(protocol::CircleKind::path);
        join(ada.member, gwen.member, "Gwen", protocol::CircleKind::path, protocol::MemberRole::guardian);
        join(ada.member, max.member, "Max", protocol::CircleKind::path, protocol::MemberRole::mentor);
        sync(ada.member, gwen.member);
        courier.start();
    }

    // Ada takes a place and everybody has heard of it, as if they had met once more.
    void use_courier(std::uint64_t mebibytes = 64) {
        must(take_place(ada, courier.code(mebibytes)));
        meet(ada, max);
        meet(ada, gwen);
        // What a node says by itself once it is in step for the first time.
        for (NetNode* one : {&ada, &max, &gwen}) must(node::settle_circle(one->member.context, path));
        meet(ada, max);
        meet(ada, gwen);
        meet(ada, max);
    }
    Result<node::Done> take_place(NetNode& who, const std::string& code) { return take_place_at(courier, who, code); }
    Result<node::Done> take_place_at(CourierNode& there, NetNode& who, const std::string& code) {
        node::CircleView circle;
        for (const node::CircleView& one : must(node::circles(who.member.db()))) {
            if (one.id == path) circle = one;
        }
        TRY(const node::PlaceWish wish, node::wish_for_place(who.member.context, circle, there.address(), code));
        const node::net::Address address = must(node::net::parse_address(there.address()));
        std::optional<Result<Place>> outcome;
        boost::asio::co_spawn(
            io, place_into(io.get_executor(), who.parts(), {address, wish.code, wish.secret, wish.words}, outcome),
            [](std::exception_ptr) {});
        if (!until([&] { return outcome.has_value(); })) throw std::runtime_error("the place came to no end");
        TRY(const Place place, *outcome);
        return node::announce_courier(who.member.context, wish, place);
    }
    void meet(NetNode& a, NetNode& b) { sync(a.member, b.member); }

    store::CircleCourier where(NetNode& who) {
        const auto all = must(store::couriers_for(who.member.db(), who.member.id()));
        if (all.empty()) throw std::runtime_error("no courier is known");
        return all.front();
    }
    Result<protocol::VisitOutcome> visit(NetNode& who) {
        std::optional<Result<protocol::VisitOutcome>> outcome;
        boost::asio::co_spawn(io, visit_into(io.get_executor(), who.parts(), where(who), outcome),
                              [](std::exception_ptr) {});
        if (!until([&] { return outcome.has_value(); })) throw std::runtime_error("the visit came to no end");
        return *outcome;
    }
    Result<void> stop(NetNode& who, const store::AtCourier& at) {
        std::optional<Result<void>> outcome;
        boost::asio::co_spawn(io, stop_into(io.get_executor(), who.parts(), at, outcome), [](std::exception_ptr) {});
        if (!until([&] { return outcome.has_value(); })) throw std::runtime_error("the ending came to no end");
        return *outcome;
    }
    std::string digest(NetNode& node) {
        return to_hex(must(store::state_digest(node.member.db(), node.member.log(), path)).view());
    }
    node::CourierSight sight(NetNode& who) { return must(node::courier_sights(who.member.context)).at(0); }

    CourierNode courier{io, clock, 40};
    NetNode ada{io, clock, 41};
    NetNode max{io, clock, 42};
    NetNode gwen{io, clock, 43};
    protocol::CircleId path;
};

}  // namespace ladderline::test
