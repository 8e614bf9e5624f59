#pragma once
// Members with a whole store each, in memory, on one clock that tests set: what a newcomer, a mentor and an officer do
// with commands, and what reaches the others. Events are exchanged directly, without a network.

#include <deque>
#include <stdexcept>
#include <string>

#include "node/commands/circles.hpp"
#include "node/commands/items.hpp"
#include "node/read_models/club_model.hpp"
#include "node/read_models/contact_model.hpp"
#include "node/read_models/desk_model.hpp"
#include "node/read_models/ladder_model.hpp"
#include "store/circles/circle_model.hpp"
#include "store/circles/wrap_shelf.hpp"
#include "store/courier/courier_model.hpp"
#include "store/schema/schema.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::test {

// The value, or an exception with the sentence, which doctest prints.
template <class T>
T must(Result<T> result) {
    if (!result) throw std::runtime_error(result.error().sentence());
    if constexpr (!std::is_void_v<T>) return std::move(result).value();
}

// The sentence of a refusal; an exception if it went well.
template <class T>
Error must_fail(const Result<T>& result) {
    if (result) throw std::runtime_error("this was expected to be refused");
    return result.error();
}

inline Day day(std::string_view iso) {
    return must(parse_day(iso));
}
inline WallTime utc(std::string_view iso) {
    return must(parse_utc(iso));
}

class SetClock : public Clock {
public:
    WallTime wall() override { return now; }
    MonoTime monotonic() override { return {now.ms}; }

    void to(std::string_view iso) { now = utc(iso); }
    void pass_minutes(std::int64_t minutes) { now.ms += minutes * 60'000; }
    void pass_days(std::int64_t days) { now.ms += days * 86'400'000; }

    WallTime now{1'790'000'000'000};  // 2026-09-21
};

// One person's node. Never moved: the context points into it.
class MemberNode {
public:
    // `paper`: whose identity it is; a fresh one without it.
    MemberNode(SetClock& clock, std::uint64_t seed, const protocol::PaperSeed* paper = nullptr)
        : random_(seed),
          env_{clock, random_},
          db_(must(store::sqlite::Database::in_memory())),
          log_(db_, random_,
               {&circle_model_, &ladder_model_, &contact_model_, &club_model_, &desk_model_, &courier_model_}),
          me_(first_start(paper)),
          context{db_, log_, me_, env_, domain::shipped_edition()} {
        log_.act_as(me_.own_device());
    }
    MemberNode(const MemberNode&) = delete;
    MemberNode& operator=(const MemberNode&) = delete;

    const store::Identity& me() const { return me_; }
    protocol::MemberId id() const { return me_.id(); }
    store::EventLog& log() { return log_; }
    store::sqlite::Database& db() { return db_; }

    // Events of all circles: what a refusal must leave unchanged.
    std::int64_t events() {
        std::int64_t count = 0;
        must(db_.query("SELECT count(*) FROM event", [&](const store::sqlite::Row& row) { count = row.integer(0); }));
        return count;
    }
    protocol::CircleId circle(protocol::CircleKind kind) { return must(node::own_circle(context, kind)).id; }
    // Circles whose key is here, whether or not their events have come.
    std::vector<protocol::CircleId> keys() {
        std::vector<protocol::CircleId> out;
        must(db_.query("SELECT DISTINCT circle FROM epoch_key ORDER BY circle",
                       [&](const store::sqlite::Row& row) { out.push_back(row.fixed<protocol::CircleId>(0)); }));
        return out;
    }

private:
    store::Identity first_start(const protocol::PaperSeed* paper) {
        must(store::bring_up_to_date(db_));
        must(log_.prepare());
        if (paper != nullptr) return must(store::create_identity(db_, "test node", *paper, random_));
        return must(store::create_identity(db_, "test node", random_));
    }

    SeededRandom random_;
    node::Env env_;
    store::sqlite::Database db_;
    store::CircleModel circle_model_;
    node::LadderModel ladder_model_;
    node::ContactModel contact_model_;
    node::ClubModel club_model_;
    node::DeskModel desk_model_;
    store::CourierModel courier_model_;
    store::EventLog log_;
    store::Identity me_;

public:
    node::Context context;
};

inline void send_circle(MemberNode& from, MemberNode& to, const protocol::CircleId& circle) {
    for (const protocol::LogHead& head : must(from.log().heads(circle))) {
        std::uint64_t next = must(to.log().next_seq(circle, head.log));
        while (next < head.next_seq) {
            must(to.log().append_run(circle, must(from.log().read_run(circle, head.log, next))));
            const std::uint64_t after = must(to.log().next_seq(circle, head.log));
            if (after <= next) throw std::runtime_error("a run of events was not taken in");
            next = after;
        }
    }
}

inline bool has_key(MemberNode& member, const protocol::CircleId& circle) {
    const auto keys = member.keys();
    return std::find(keys.begin(), keys.end(), circle) != keys.end();
}

// The key of every circle of `from` that `to` has been taken into.
inline void grant_keys(MemberNode& from, MemberNode& to) {
    for (const protocol::CircleId& circle : from.keys()) {
        if (has_key(to, circle)) continue;
        const auto key = must(
            store::key_for_device(from.context.states, from.log(), circle, to.me().noise.pub, from.context.today()));
        if (key) must(to.log().add_key(circle, *key));
    }
}

// Keys that `to` lacks for events that it holds, as far as `from` gives them out.
inline void send_keys(MemberNode& from, MemberNode& to, const protocol::CircleId& circle) {
    store::StoreShelf shelf(from.context.states, from.log(), from.context.env.random, to.me().noise.pub);
    shelf.set_today(from.context.today());
    bool progress = true;
    while (std::exchange(progress, false)) {
        for (const protocol::KeyId& key : must(to.log().missing_keys(circle))) {
            const auto copy = must(shelf.copy_for_peer(circle, key, protocol::tag_of(key, to.me().certificate.box)));
            if (!copy) continue;
            must(to.log().add_key(circle, must(protocol::unwrap(*copy, key, to.me().box))));
            progress = true;
        }
    }
}

// Both hold the same events of every circle they share afterwards.
inline void sync(MemberNode& a, MemberNode& b) {
    grant_keys(a, b);
    grant_keys(b, a);
    for (const protocol::CircleId& circle : a.keys()) {
        if (!has_key(b, circle)) continue;
        send_circle(a, b, circle);
        send_circle(b, a, circle);
        send_keys(a, b, circle);
        send_keys(b, a, circle);
    }
}

inline void begin_as(MemberNode& member, const std::string& name, protocol::MemberRole role, bool under_18 = false,
                     const std::string& club = "") {
    node::BeginRequest request;
    request.name = name;
    request.role = role;
    request.under_18 = under_18;
    request.club = club;
    must(node::begin(member.context, request));
}

inline protocol::JoinMessage join_message(MemberNode& guest, const std::string& name, bool under_18 = false) {
    return {guest.me().certificate, name, under_18, 0};
}

// `host` invites, `guest` joins, both sync.
inline void join(MemberNode& host, MemberNode& guest, const std::string& name, protocol::CircleKind kind,
                 protocol::MemberRole role, bool under_18 = false, std::uint8_t level = 3) {
    node::InviteRequest request;
    request.circle = kind;
    request.role = role;
    request.level = level;
    const node::Invite invite = must(node::invite(host.context, request));
    const node::InviteCode code = must(node::parse_code(invite.code));
    const auto welcome = must(node::let_in(host.context, code.id, join_message(guest, name, under_18)));
    if (!welcome.joined) throw std::runtime_error(welcome.refusal);
    must(node::accept_welcome(guest.context, *welcome.joined));
    sync(host, guest);
}

// A tick with its evidence.
inline void tick_item(MemberNode& member, const std::string& item, const std::string& evidence = "",
                      const std::string& who = "") {
    node::TickRequest request;
    request.who = who;
    request.item = item;
    request.evidence = evidence;
    must(node::tick(member.context, request));
}

inline void sign_item(MemberNode& member, const std::string& who, const std::string& item,
                      const std::string& level = "") {
    node::SignRequest request;
    request.who = who;
    request.item = item;
    request.level = level;
    request.saw = "was there";
    must(node::sign_off(member.context, request));
}

}  // namespace ladderline::test
