#include "node/commands/checks.hpp"

#include <algorithm>

#include "node/commands/word_back.hpp"
#include "node/domain/review/triage.hpp"
#include "protocol/event/checked_body.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {

using namespace protocol;

Result<std::vector<CheckView>> checks(Context& context, const CircleId& club) {
    std::vector<CheckView> out;
    TRY(context.db.query(
        "SELECT author.member, shown.payload, shown.said FROM shown JOIN author USING (log_ref) "
        "WHERE shown.circle = ?1 AND shown.kind = ?2 AND shown.seq BETWEEN author.seq_min AND author.seq_max "
        "AND author.role IN (?3, ?4) AND NOT EXISTS (SELECT 1 FROM superseded AS s JOIN author AS later ON "
        "later.log_ref = s.log_ref WHERE "
        "s.id = shown.id AND s.seq BETWEEN later.seq_min AND later.seq_max AND later.member = author.member AND "
        "later.circle = ?1)",
        [&](const store::sqlite::Row& row) {
            const auto body = read_payload<CheckedBody>(row.blob(1));
            if (body && body->day != day_of_taking_back)
                out.push_back({body->newcomer, row.fixed<MemberId>(0), body->day, WallTime{row.integer(2)}});
        },
        club, kind::checked_on, MemberRole::officer, MemberRole::mentor));
    std::sort(out.begin(), out.end(), [](const CheckView& a, const CheckView& b) {
        return std::tie(a.day, a.said, a.newcomer, a.by) < std::tie(b.day, b.said, b.newcomer, b.by);
    });
    return out;
}

std::optional<Day> asked_lately(const std::vector<CheckView>& all, const MemberId& newcomer, const ClubRowBody& row,
                                WallTime row_said, Day day) {
    const CheckView* last = nullptr;
    for (const CheckView& check : all) {
        const bool lately = check.day <= day && days_between(check.day, day) < domain::hush_after_answer_days;
        if (check.newcomer == newcomer && lately) last = &check;
    }
    if (last == nullptr) return std::nullopt;
    // A row tells of its question the day alone. One of the day of the check that was said after it is taken for new:
    // naming somebody once too often costs a call, hiding who waits costs two weeks.
    const bool is_later =
        row.help_since && (*row.help_since > last->day || (*row.help_since == last->day && row_said > last->said));
    return is_later ? std::nullopt : std::optional(last->day);
}

Result<Done> note_checked(Context& context, std::string_view newcomer, std::optional<Day> day) {
    TRY(const CircleView club, own_circle(context, CircleKind::club));
    TRY(const PersonView me, myself(context, club.id));
    if (me.role != MemberRole::officer && me.role != MemberRole::mentor) {
        return Error{Fault::refused,
                     "Officers and mentors of the club note whom they asked; nothing was written down."};
    }
    TRY(const PersonView person, find_person(context, club.id, newcomer));
    if (person.role != MemberRole::newcomer) {
        return Error{Fault::refused, person.name + " is no newcomer of the club; nothing was written down."};
    }
    const Day asked = day.value_or(context.today());
    if (asked > context.today()) {
        return Error{Fault::bad_input, to_iso(asked) + " has not come yet; nothing was written down."};
    }
    TRY(const EventId id, say(context, club.id, kind::checked_on, codec::encode(CheckedBody{person.id, asked})));
    return Done{person.name + " was asked on " + to_iso(asked) + " and is fine; the list leaves them in peace until " +
                    to_iso(asked + domain::hush_after_answer_days) +
                    ", unless they ask for something. The club sees the day and no more.",
                id};
}

}  // namespace ladderline::node
