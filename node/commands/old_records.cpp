#include "node/commands/old_records.hpp"

#include <algorithm>

#include "node/commands/club_people.hpp"
#include "node/read_models/dropped.hpp"
#include "protocol/event/kinds.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

constexpr std::uint16_t of_who_left[] = {kind::card, kind::club_row, kind::ask, kind::study_share};
constexpr std::uint16_t of_whose_consent_is_over[] = {kind::club_row};

using Kinds = std::span<const std::uint16_t>;

Kinds kinds_of(const OldRecords& old) {
    return old.left ? Kinds(of_who_left) : Kinds(of_whose_consent_is_over);
}

// The last day of the consent that the newest row names; none: never a row.
Result<std::map<MemberId, Day>> consents(Context& context, const CircleId& club) {
    TRY(const auto rows, shown_history(context.db, club, kind::club_row));
    std::map<MemberId, Day> out;
    for (const ShownView& view : rows) {
        if (const auto row = read_payload<ClubRowBody>(view.payload)) out[view.by] = row->consent_until;
    }
    return out;
}

Result<int> count_of(Context& context, const CircleId& club, const OldRecords& old) {
    int out = 0;
    for (const std::uint16_t kind : kinds_of(old)) {
        TRY(const auto all, shown_history(context.db, club, kind));
        out += static_cast<int>(
            std::count_if(all.begin(), all.end(), [&](const ShownView& view) { return view.by == old.person; }));
    }
    return out;
}

}  // namespace

Result<std::vector<OldRecords>> old_records(Context& context) {
    TRY(const ClubPeople people, club_people(context));
    const CircleId& club = people.club.id;
    TRY(const auto until, consents(context, club));
    std::vector<OldRecords> out;
    const auto is_over = [&](const MemberId& id) {
        const auto found = until.find(id);
        return found == until.end() || found->second < context.today();
    };
    TRY(context.db.query(
        "SELECT member, name, removed FROM member WHERE circle = ?1",
        [&](const store::sqlite::Row& row) {
            OldRecords old{row.fixed<MemberId>(0), row.text(1), row.integer(2) != 0, 0, {}};
            if (!is_over(old.person) || (!old.left && !until.contains(old.person))) return;
            old.sentence = old.left ? "has left, and no consent stands" : "the consent is over";
            out.push_back(std::move(old));
        },
        club));
    for (OldRecords& old : out) {
        TRY(old.records, count_of(context, club, old));
    }
    std::erase_if(out, [](const OldRecords& old) { return old.records == 0; });
    std::sort(out.begin(), out.end(), [](const OldRecords& a, const OldRecords& b) {
        return std::tie(a.name, a.person) < std::tie(b.name, b.person);
    });
    return out;
}

Result<Done> drop_old_records(Context& context) {
    TRY(const auto all, old_records(context));
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    if (all.empty()) return Done{"There are no old records here; nothing was changed.", {}};
    int records = 0;
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
    for (const OldRecords& old : all) {
        for (const std::uint16_t kind : kinds_of(old)) {
            TRY(mark_dropped(context.db, club.id, old.person, kind, context.now()));
        }
        records += old.records;
    }
    TRY(tx.commit());
    context.news(club.id);
    return Done{"Removed from this node: " + std::to_string(records) + (records == 1 ? " record" : " records") +
                    " of " + std::to_string(all.size()) + (all.size() == 1 ? " person" : " people") +
                    ". A bare mark stays, so that nothing comes back. Other officers' nodes, paper and copies are "
                    "theirs to clear.",
                {}};
}

}  // namespace ladderline::node
