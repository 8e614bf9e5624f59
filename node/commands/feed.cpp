#include "node/commands/feed.hpp"

#include <array>
#include <map>

#include "node/commands/meeting_card.hpp"
#include "node/commands/way.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

constexpr std::string_view setting = "feed_secret";
constexpr std::size_t circle_digits = 16;

void add_way(const WayView& view, WallTime now, std::vector<CalendarEntry>& entries) {
    const std::string circle = to_hex(view.circle.id.view()).substr(0, circle_digits);
    for (const MeetingView& meeting : view.meetings) entries.push_back(calendar_entry(view, meeting, now));
    std::map<domain::Due, int> before;  // of one kind; a calendar keeps one entry of a name
    for (const domain::DueLine& due : view.due) {
        const int at = before[due.what]++;
        const std::string name = std::to_string(static_cast<int>(due.what)) + (at > 0 ? "." + std::to_string(at) : "");
        entries.push_back({"due-" + name + "-" + circle, start_of(due.day), std::nullopt,
                           view.owner.name + ": " + due.sentence, "", false});
    }
}

}  // namespace

Result<std::string> feed_secret(Context& context) {
    TRY(auto stored, store::get_text_setting(context.db, setting));
    return std::move(stored).value_or(std::string());
}

Result<std::string> open_feed(Context& context, bool anew) {
    TRY(auto secret, feed_secret(context));
    if (!secret.empty() && !anew) return secret;
    std::array<std::uint8_t, 32> bytes{};
    context.env.random.fill(bytes);
    secret = to_hex(bytes);
    TRY(store::put_text_setting(context.db, setting, secret));
    return secret;
}

Result<Done> shut_feed(Context& context) {
    TRY(store::forget_setting(context.db, setting));
    return Done{"The feed is off: its address leads nowhere. What a calendar program has read already is still there.",
                {}};
}

Result<std::string> feed_calendar(Context& context) {
    std::vector<CalendarEntry> entries;
    if (own_circle(context, protocol::CircleKind::path)) {
        TRY(const WayView view, way(context, ""));
        add_way(view, context.now(), entries);
    }
    TRY(const auto others, ways_of_others(context));
    for (const WayView& view : others) add_way(view, context.now(), entries);
    return calendar(entries, context.now());
}

}  // namespace ladderline::node
