#include "node/commands/club_shares.hpp"

#include "node/commands/own_clubs.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/study_bodies.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

bool row_shows(const Bytes& payload, const std::string& value) {
    const auto row = read_payload<ClubRowBody>(payload);
    return row && to_iso(row->consent_until) == value;
}

bool study_shows(const Bytes& payload, const std::string& value) {
    const auto share = read_payload<StudyShareBody>(payload);
    return share && share->pool == value;
}

std::string setting_of(const ClubShare& share, const CircleId& club) {
    return std::string(share.name) + ":" + to_hex(club.view());
}

// A value that names no club stands for the one in which it shows; for none where that is not one, or was left.
Result<void> place_old_note(Context& context, const ClubShare& share) {
    TRY(const auto value, store::get_text_setting(context.db, share.name));
    if (!value) return ok();
    std::vector<CircleView> showing;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind != CircleKind::club || value->empty()) continue;
        TRY(const auto write, shown_by(context.db, circle.id, share.kind, context.me.id()));
        if (write && share.shows(write->payload, *value)) showing.push_back(circle);
    }
    if (showing.size() == 1 && myself(context, showing.front().id)) {
        TRY(store::put_text_setting(context.db, setting_of(share, showing.front().id), *value));
    }
    return store::forget_setting(context.db, share.name);
}

}  // namespace

const ClubShare row_share{"share_with_club_until", kind::club_row, row_shows};
const ClubShare study_share{"study_share_element", kind::study_share, study_shows};

Result<std::vector<NotedShare>> noted_shares(Context& context, const ClubShare& share) {
    TRY(place_old_note(context, share));
    std::vector<NotedShare> out;
    TRY(const auto names, store::setting_names(context.db, share.name));
    if (names.empty()) return out;
    TRY(auto clubs, own_clubs(context));
    for (CircleView& club : clubs) {
        TRY(auto value, store::get_text_setting(context.db, setting_of(share, club.id)));
        if (value) out.push_back({std::move(club), std::move(*value)});
    }
    return out;
}

Result<std::vector<domain::DueLine>> ending_shares(Context& context) {
    TRY(const auto noted, noted_shares(context, row_share));
    std::vector<domain::DueLine> out;
    for (const NotedShare& share : noted) {
        TRY(const Day until, parse_day(share.value));
        const std::int32_t left = days_between(context.today(), until);
        if (left > domain::shipped_clocks().consent_ahead_days) continue;
        const std::string day = to_iso(until);
        const std::string said =
            left < 0 ? " has had no news of your way, the twelve facts, since " + day + "; agree again with "
                     : " sees twelve facts of your way until " + day + "; agree again with ";
        out.push_back({domain::Due::consent_ends, until, left, false,
                       share.club.name + said + "'ladderline share --until DAY', or " +
                           (left < 0 ? "end it with --stop." : "let it end.")});
    }
    return out;
}

Result<void> note_share(Context& context, const ClubShare& share, const CircleId& club, std::string_view value) {
    TRY(place_old_note(context, share));
    return store::put_text_setting(context.db, setting_of(share, club), value);
}

Result<void> end_shares(Context& context, const ClubShare& share) {
    TRY(const auto names, store::setting_names(context.db, share.name));
    for (const std::string& name : names) {
        TRY(store::forget_setting(context.db, name));
    }
    return ok();
}

Result<void> end_shares_with(Context& context, const CircleId& club) {
    for (const ClubShare* share : {&row_share, &study_share}) {
        TRY(place_old_note(context, *share));
        TRY(store::forget_setting(context.db, setting_of(*share, club)));
    }
    return ok();
}

}  // namespace ladderline::node
