#include "node/read_models/circle_views.hpp"

#include <algorithm>
#include <set>

#include "protocol/circle/bodies.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {

using namespace protocol;

Result<std::vector<CircleView>> circles(store::sqlite::Database& db) {
    std::vector<CircleView> out;
    TRY(db.query("SELECT circle, kind, name, founder FROM circle ORDER BY kind, name, circle",
                 [&](const store::sqlite::Row& row) {
                     out.push_back({row.fixed<CircleId>(0), static_cast<CircleKind>(row.integer(1)), row.text(2),
                                    row.fixed<MemberId>(3)});
                 }));
    return out;
}

namespace {

PersonView person_of(const store::sqlite::Row& row) {
    return {row.fixed<MemberId>(0),
            static_cast<MemberRole>(row.integer(1)),
            static_cast<std::uint8_t>(row.integer(2)),
            row.text(3),
            row.integer(4) != 0,
            {}};
}

void put_card(PersonView& person, const ShownView& card) {
    person.card = read_payload<CardBody>(card.payload);
    if (person.card && !person.card->name.empty()) person.name = person.card->name;
}

}  // namespace

Result<std::vector<PersonView>> people(store::sqlite::Database& db, const CircleId& circle) {
    std::vector<PersonView> out;
    TRY(db.query(
        "SELECT member, role, level, name, minor FROM member WHERE circle = ?1 AND removed = 0 ORDER BY member",
        [&](const store::sqlite::Row& row) { out.push_back(person_of(row)); }, circle));
    TRY(const auto cards, shown(db, circle, kind::card));
    auto at = out.begin();
    for (const ShownView& card : cards) {
        while (at != out.end() && at->id < card.by) ++at;
        if (at != out.end() && at->id == card.by) put_card(*at, card);
    }
    std::sort(out.begin(), out.end(),
              [](const PersonView& a, const PersonView& b) { return std::tie(a.name, a.id) < std::tie(b.name, b.id); });
    return out;
}

Result<std::optional<PersonView>> person(store::sqlite::Database& db, const CircleId& circle, const MemberId& id) {
    std::optional<PersonView> out;
    TRY(db.query(
        "SELECT member, role, level, name, minor FROM member WHERE circle = ?1 AND member = ?2 AND removed = 0",
        [&](const store::sqlite::Row& row) { out = person_of(row); }, circle, id));
    if (!out) return out;
    TRY(const auto card, shown_by(db, circle, kind::card, id));
    if (card) put_card(*out, *card);
    return out;
}

Result<std::optional<Day>> mentored_since(store::sqlite::Database& db, const CircleId& circle) {
    std::set<MemberId> mentors;
    TRY(db.query(
        "SELECT member FROM member WHERE circle = ?1 AND removed = 0 AND role = ?2",
        [&](const store::sqlite::Row& row) { mentors.insert(row.fixed<MemberId>(0)); }, circle, MemberRole::mentor));
    std::optional<Day> out;
    TRY(db.query(
        "SELECT payload, said FROM control_event WHERE circle = ?1 AND kind = ?2",
        [&](const store::sqlite::Row& row) {
            const auto body = codec::decode<AdmitBody>(row.blob(0));
            if (!body || !mentors.contains(body.value().member)) return;
            const Day day = utc_day(WallTime{row.integer(1)});
            out = std::min(out.value_or(day), day);
        },
        circle, kind::admit));
    return out;
}

Result<std::optional<Day>> last_touch(store::sqlite::Database& db, const CircleId& circle) {
    std::optional<Day> out;
    TRY(db.query(
        "SELECT max(touch.day) FROM touch JOIN author USING (log_ref) WHERE touch.circle = ?1 AND "
        "touch.seq BETWEEN author.seq_min AND author.seq_max AND author.role = ?2 AND touch.day <> 0 AND "
        "NOT EXISTS (SELECT 1 FROM superseded AS s JOIN author AS later ON later.log_ref = s.log_ref WHERE "
        "s.id = touch.id AND s.seq BETWEEN later.seq_min AND later.seq_max AND later.member = author.member AND "
        "later.circle = ?1)",
        [&](const store::sqlite::Row& row) {
            if (!row.is_null(0)) out = Day{static_cast<std::int32_t>(row.integer(0))};
        },
        circle, MemberRole::mentor));
    return out;
}

domain::Role to_domain(MemberRole role) {
    switch (role) {
        case MemberRole::newcomer:
            return domain::Role::newcomer;
        case MemberRole::mentor:
            return domain::Role::mentor;
        case MemberRole::guardian:
            return domain::Role::guardian;
        case MemberRole::second_adult:
            return domain::Role::second_adult;
        case MemberRole::officer:
            return domain::Role::officer;
    }
    ENSURE(false);
    return domain::Role::newcomer;
}

std::string_view role_word(MemberRole role) {
    return domain::to_word(to_domain(role));
}

Result<MemberRole> parse_role(std::string_view word) {
    if (word == "second-adult") word = "second adult";
    for (const MemberRole role : {MemberRole::newcomer, MemberRole::mentor, MemberRole::guardian,
                                  MemberRole::second_adult, MemberRole::officer}) {
        if (role_word(role) == word) return role;
    }
    return Error{Fault::bad_input,
                 "'" + std::string(word) + "' is no seat; use newcomer, mentor, guardian, second-adult or officer."};
}

}  // namespace ladderline::node
