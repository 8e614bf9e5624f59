#include "node/read_models/way_views.hpp"

#include <algorithm>
#include <map>

#include "protocol/event/bodies.hpp"
#include "store/read_model/seen_words.hpp"

namespace ladderline::node {

using namespace protocol;

Result<std::vector<domain::Statement>> statements(store::sqlite::Database& db, const CircleId& circle) {
    std::vector<domain::Statement> out;
    TRY(db.query(
        "SELECT statement.id, statement.kind, item, author.member, author.role, statement.level, day, said, "
        "text, about, statement.count FROM statement JOIN author USING (log_ref) "
        "WHERE statement.circle = ?1 AND statement.seq <= author.seq_max AND "
        // Somebody's skill that was seen stays seen; a signature is withdrawn by its own word.
        "(statement.seq >= author.seq_min OR statement.kind IN (?2, ?3)) AND "
        // Who has gone is in no list of people any more; the author of their log keeps seat and level.
        "(statement.kind <> ?2 OR statement.level <= author.level)",
        [&](const store::sqlite::Row& row) {
            const auto item = domain::parse_item_id(row.text(2));
            if (!item) return;  // another program's item; it has no place on this way
            domain::Statement s;
            s.id = row.fixed<domain::StatementId>(0);
            s.kind = static_cast<domain::StatementKind>(row.integer(1));
            s.item = item.value();
            s.author = row.fixed<domain::PersonId>(3);
            s.role = to_domain(static_cast<MemberRole>(row.integer(4)));
            s.level = static_cast<domain::Level>(row.integer(5));
            s.day = Day{static_cast<std::int32_t>(row.integer(6))};
            s.said = WallTime{row.integer(7)};
            s.text = row.text(8);
            s.about = row.fixed<domain::StatementId>(9);
            s.count = static_cast<std::uint32_t>(row.integer(10));
            out.push_back(std::move(s));
        },
        circle, domain::StatementKind::sign, domain::StatementKind::withdraw));
    return out;
}

namespace {

// Who said what about which contact, in the order in which it was said.
struct Change {
    MemberId by;
    EventId contact;
    ContactWord word;
};
using Changes = std::map<EventId, std::vector<Change>>;

Change change_in(const store::sqlite::Row& row) {
    Change out{row.fixed<MemberId>(2), row.fixed<EventId>(1), {}};
    out.word.event = row.fixed<EventId>(0);
    out.word.said = WallTime{row.integer(3)};
    out.word.struck = row.integer(4) != 0;
    const Bytes payload = row.blob(5);
    if (out.word.struck) {
        if (const auto body = read_payload<StrikeContactBody>(payload)) out.word.reason = body->reason;
    } else if (const auto body = read_payload<AmendContactBody>(payload)) {
        out.word.contact = body->now;
    }
    return out;
}

Result<Changes> contact_changes(store::sqlite::Database& db, const CircleId& circle) {
    std::vector<Change> all;
    std::vector<PlacedWord> words;
    TRY(db.query(
        "SELECT contact_change.id, contact, author.member, said, struck, payload, contact_change.log_ref, "
        "contact_change.seq, contact_change.count FROM contact_change "
        "JOIN author USING (log_ref) WHERE contact_change.circle = ?1 AND "
        "contact_change.seq BETWEEN author.seq_min AND author.seq_max",
        [&](const store::sqlite::Row& row) {
            all.push_back(change_in(row));
            words.push_back({row.integer(6),
                             row.integer(7),
                             {all.back().word.said, static_cast<std::uint32_t>(row.integer(8))},
                             all.back().word.event});
        },
        circle));
    TRY(store::fill_in_seen(
        db,
        "SELECT s.id, s.log_ref, s.seq FROM contact_change AS word CROSS JOIN superseded AS s ON s.id = word.id "
        "WHERE word.circle = ?1",
        circle, words, [&](std::size_t later, std::size_t earlier) { return all[later].by == all[earlier].by; }));
    Changes out;
    for (const std::size_t at : order_of(words)) out[all[at].contact].push_back(std::move(all[at]));
    return out;
}

void apply_changes(ContactView& view, WallTime said, const std::vector<Change>& changes) {
    ContactWord last{view.id, said, view.contact, false, {}};
    for (const Change& change : changes) {
        if (change.by != view.by) continue;
        if (view.history.empty()) view.history.push_back(last);
        ContactWord word = change.word;
        if (word.struck) word.contact = last.contact;
        last = word;
        view.history.push_back(std::move(word));
    }
    view.contact = last.contact;
    view.struck = last.struck;
}

}  // namespace

Result<std::vector<ContactView>> contacts(store::sqlite::Database& db, const CircleId& circle) {
    std::vector<ContactView> out;
    TRY(const Changes changes, contact_changes(db, circle));
    TRY(db.query(
        "SELECT contact.id, author.member, start, worked, station, operated_by, frequency, band, mode, sent, "
        "received, locator, comment, said FROM contact JOIN author USING (log_ref) "
        "WHERE contact.circle = ?1 AND contact.seq BETWEEN author.seq_min AND author.seq_max",
        [&](const store::sqlite::Row& row) {
            ContactView v;
            v.id = row.fixed<EventId>(0);
            v.by = row.fixed<MemberId>(1);
            v.contact = {WallTime{row.integer(2)},
                         row.text(3),
                         row.text(4),
                         row.text(5),
                         row.text(6),
                         row.text(7),
                         row.text(8),
                         row.text(9),
                         row.text(10),
                         row.text(11),
                         row.text(12)};
            const auto found = changes.find(v.id);
            if (found != changes.end()) apply_changes(v, WallTime{row.integer(13)}, found->second);
            out.push_back(std::move(v));
        },
        circle));
    std::sort(out.begin(), out.end(), [](const ContactView& a, const ContactView& b) {
        if (a.contact.start != b.contact.start) return a.contact.start > b.contact.start;
        return a.id < b.id;
    });
    return out;
}

Result<std::vector<MeetingView>> meetings(store::sqlite::Database& db, const CircleId& circle) {
    std::vector<MeetingView> out;
    TRY(db.query(
        "SELECT meeting.id, author.member, start, other, first, second, mode, fallback, words, "
        "(SELECT outcome FROM meeting_outcome AS o JOIN author AS a ON a.log_ref = o.log_ref "
        " WHERE o.meeting = meeting.id AND a.circle = ?1 AND o.seq BETWEEN a.seq_min AND a.seq_max ORDER BY o.said "
        "DESC, o.count DESC, "
        "o.id DESC LIMIT 1) "
        "FROM meeting JOIN author USING (log_ref) "
        "WHERE meeting.circle = ?1 AND meeting.seq BETWEEN author.seq_min AND author.seq_max ORDER BY start, "
        "meeting.id",
        [&](const store::sqlite::Row& row) {
            MeetingView v;
            v.id = row.fixed<EventId>(0);
            v.by = row.fixed<MemberId>(1);
            v.meeting = {WallTime{row.integer(2)},
                         row.fixed<MemberId>(3),
                         row.text(4),
                         row.text(5),
                         row.text(6),
                         row.text(7),
                         row.text(8)};
            if (!row.is_null(9)) v.outcome = static_cast<MeetOutcome>(row.integer(9));
            out.push_back(std::move(v));
        },
        circle));
    return out;
}

}  // namespace ladderline::node
