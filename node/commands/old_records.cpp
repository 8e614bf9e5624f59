#include "node/commands/old_records.hpp"

#include <algorithm>

#include "node/commands/club_people.hpp"
#include "node/read_models/dropped.hpp"
#include "node/read_models/held_records.hpp"
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

}  // namespace

Result<std::vector<OldRecords>> old_people(Context& context) {
    TRY(const CircleView view, club_as_officer(context));
    const CircleId& club = view.id;
    TRY(const auto until, consents_named(context.db, club));
    std::set<MemberId> showed_any;
    std::set<MemberId> showed_rows;
    for (const std::uint16_t kind : of_who_left) {
        TRY(const auto showed, who_showed(context.db, club, kind));
        showed_any.insert(showed.begin(), showed.end());
        if (kind == kind::club_row) showed_rows = showed;
    }
    std::vector<OldRecords> out;
    const auto is_over = [&](const MemberId& id) {
        const auto found = until.find(id);
        return found == until.end() || found->second < context.today();
    };
    TRY(context.db.query(
        "SELECT member, name, removed FROM member WHERE circle = ?1",
        [&](const store::sqlite::Row& row) {
            OldRecords old{row.fixed<MemberId>(0), row.text(1), row.integer(2) != 0, 0, {}};
            if (!is_over(old.person) || !(old.left ? showed_any : showed_rows).contains(old.person)) return;
            old.sentence = old.left ? "has left, and no consent stands" : "the consent is over";
            out.push_back(std::move(old));
        },
        club));
    std::sort(out.begin(), out.end(), [](const OldRecords& a, const OldRecords& b) {
        return std::tie(a.name, a.person) < std::tie(b.name, b.person);
    });
    return out;
}

Result<void> count_records(Context& context, std::span<OldRecords> some) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    for (const std::uint16_t kind : of_who_left) {
        std::set<MemberId> whose;
        for (const OldRecords& old : some) {
            const Kinds kinds = kinds_of(old);
            if (std::find(kinds.begin(), kinds.end(), kind) != kinds.end()) whose.insert(old.person);
        }
        if (whose.empty()) continue;
        TRY(const auto counts, count_shown(context.db, club.id, kind, whose));
        for (OldRecords& old : some) {
            if (const auto found = counts.find(old.person); whose.contains(old.person) && found != counts.end()) {
                old.records += found->second;
            }
        }
    }
    return ok();
}

Result<std::vector<OldRecords>> old_records(Context& context) {
    TRY(auto out, old_people(context));
    TRY(count_records(context, out));
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
