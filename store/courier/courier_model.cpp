#include "store/courier/courier_model.hpp"

#include <set>

#include "protocol/circle/bodies.hpp"
#include "protocol/event/kinds.hpp"
#include "store/read_model/seen_words.hpp"

namespace ladderline::store {

using namespace protocol;

Result<void> CourierModel::reset(sqlite::Database& db) {
    return db.execute(R"(
        DROP TABLE IF EXISTS courier_word;
        CREATE TABLE courier_word (
            id BLOB NOT NULL PRIMARY KEY, log_ref INTEGER NOT NULL, seq INTEGER NOT NULL, circle BLOB NOT NULL,
            said INTEGER NOT NULL, count INTEGER NOT NULL, noise BLOB NOT NULL, signing BLOB NOT NULL,
            address TEXT NOT NULL, quota INTEGER NOT NULL, days INTEGER NOT NULL, withdrawn INTEGER NOT NULL
        ) STRICT, WITHOUT ROWID;
        CREATE INDEX courier_word_by_circle ON courier_word (circle);
    )");
}

Result<void> CourierModel::apply(sqlite::Database& db, const OpenedEvent& event) {
    if (event.body.kind != kind::courier) return ok();
    const auto b = codec::decode<CourierBody>(event.body.payload);
    if (!b || b.value().quota_bytes > limits::courier_quota_mib_max * 1024 * 1024) return ok();
    const CourierBody& said = b.value();
    return db.run(
        "INSERT OR IGNORE INTO courier_word (id, log_ref, seq, circle, said, count, noise, signing, address, quota, "
        "days, withdrawn) VALUES (?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12)",
        event.id, event.log_ref, event.seq, event.circle, event.body.time.wall, event.body.time.count, said.noise,
        said.signing, said.address, said.quota_bytes, said.days, said.withdrawn);
}

namespace {

// What was said by whoever may, in an order that no clock alone decides.
struct CourierWords {
    std::vector<CourierBody> said;
    std::vector<PlacedWord> words;
    std::vector<std::size_t> order;
};

Result<CourierWords> words_of(sqlite::Database& db, const CircleId& circle) {
    CourierWords out;
    TRY(db.query(
        "SELECT word.noise, word.signing, word.address, word.quota, word.days, word.withdrawn, word.id, word.said, "
        "word.count, word.log_ref, word.seq "
        "FROM courier_word AS word JOIN author ON author.log_ref = word.log_ref "
        "JOIN circle ON circle.circle = word.circle WHERE word.circle = ?1 AND word.seq <= author.seq_max "
        "AND (circle.kind = ?2 AND author.role = ?4 OR circle.kind = ?3 "
        "AND (author.role = ?5 OR author.member = circle.founder) OR circle.kind NOT IN (?2, ?3))",
        [&](const sqlite::Row& row) {
            out.said.push_back({row.text(2), row.fixed<DhPublic>(0), row.fixed<SignPublic>(1),
                                static_cast<std::uint64_t>(row.integer(3)), static_cast<std::uint32_t>(row.integer(4)),
                                row.integer(5) != 0});
            out.words.push_back({row.integer(9),
                                 row.integer(10),
                                 {WallTime{row.integer(7)}, static_cast<std::uint32_t>(row.integer(8))},
                                 row.fixed<EventId>(6)});
        },
        circle, CircleKind::club, CircleKind::path, MemberRole::officer, MemberRole::guardian));
    // Anybody who may name a courier may withdraw one that somebody else named.
    TRY(fill_in_seen(
        db,
        "SELECT s.id, s.log_ref, s.seq FROM courier_word AS word CROSS JOIN superseded AS s ON s.id = word.id "
        "WHERE word.circle = ?1",
        circle, out.words, [](std::size_t, std::size_t) { return true; }));
    out.order = order_of(out.words);
    return out;
}

}  // namespace

Result<std::vector<CircleCourier>> couriers_of(sqlite::Database& db, const CircleId& circle) {
    TRY(const CourierWords all, words_of(db, circle));
    std::vector<CircleCourier> out;
    std::set<DhPublic> judged;
    for (auto at = all.order.rbegin(); at != all.order.rend() && out.size() < limits::couriers_max; ++at) {
        const CourierBody& said = all.said[*at];
        if (!judged.insert(said.noise).second || said.withdrawn) continue;
        out.push_back({circle, said, all.words[*at].id, all.words[*at].time.wall});
    }
    return out;
}

Result<std::vector<EventId>> words_about_courier(sqlite::Database& db, const CircleId& circle, const DhPublic& noise) {
    TRY(CourierWords all, words_of(db, circle));
    std::erase_if(all.order, [&](std::size_t at) { return all.said[at].noise != noise; });
    return last_of_each_log(all.words, all.order);
}

Result<std::vector<CircleCourier>> couriers_for(sqlite::Database& db, const MemberId& me) {
    std::vector<CircleId> circles;
    TRY(db.query(
        "SELECT DISTINCT word.circle FROM courier_word AS word "
        "JOIN member ON member.circle = word.circle AND member.member = ?1 "
        "WHERE EXISTS (SELECT 1 FROM epoch_key WHERE epoch_key.circle = word.circle) "
        "AND (member.removed = 0 OR member.removed = 2 AND EXISTS (SELECT 1 FROM log WHERE log.circle = word.circle "
        "AND log.mine = 1 AND log.arrival > coalesce((SELECT min(covered) FROM courier_receipt AS receipt "
        "WHERE receipt.circle = word.circle), 0))) ORDER BY 1",
        [&](const sqlite::Row& row) { circles.push_back(row.fixed<CircleId>(0)); }, me));
    std::vector<CircleCourier> out;
    for (const CircleId& circle : circles) {
        TRY(const auto some, couriers_of(db, circle));
        out.insert(out.end(), some.begin(), some.end());
    }
    TRY(db.query(
        "SELECT circle, said FROM courier_hint AS hint WHERE NOT EXISTS (SELECT 1 FROM member WHERE member.circle = "
        "hint.circle AND member.member = ?1) AND EXISTS (SELECT 1 FROM epoch_key WHERE epoch_key.circle = hint.circle)",
        [&](const sqlite::Row& row) -> Result<void> {
            TRY(CourierBody said, codec::decode<CourierBody>(row.blob(1)));
            out.push_back({row.fixed<CircleId>(0), std::move(said), {}, {}});
            return ok();
        },
        me));
    return out;
}

Result<void> remember_couriers(sqlite::Database& db, const KnownCouriersMessage& named) {
    for (const auto& entry : named.couriers) {
        const Bytes said = codec::encode(entry.courier);
        TRY(
            db.run("INSERT OR REPLACE INTO courier_hint (circle, courier, said) SELECT ?1, ?2, ?3 WHERE "
                   "(SELECT count(*) FROM courier_hint WHERE circle = ?1 AND courier <> ?2) < ?4",
                   entry.circle, entry.courier.noise, said, limits::couriers_max));
    }
    return ok();
}

Result<KnownCouriersMessage> couriers_to_name(sqlite::Database& db, const std::vector<CircleId>& circles) {
    KnownCouriersMessage out;
    for (const CircleId& circle : circles) {
        if (out.couriers.size() >= limits::circles_max) break;
        TRY(const auto all, couriers_of(db, circle));
        for (const CircleCourier& one : all) out.couriers.push_back({circle, one.said});
    }
    return out;
}

}  // namespace ladderline::store
