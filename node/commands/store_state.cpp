#include "node/commands/store_state.hpp"

#include <set>

#include "node/commands/paper.hpp"
#include "store/settings/settings.hpp"
#include "store/upkeep/instance_notice.hpp"
#include "store/upkeep/last_check.hpp"

namespace ladderline::node {
namespace {

constexpr std::string_view copied_setting = "last_copy";
constexpr std::string_view copied_to_setting = "last_copy_folder";

Result<std::size_t> others(Context& context) {
    std::set<protocol::MemberId> out;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind == protocol::CircleKind::desk) continue;
        TRY(const auto persons, people(context.db, circle.id));
        for (const PersonView& person : persons) {
            if (person.id != context.me.id()) out.insert(person.id);
        }
    }
    return out.size();
}

}  // namespace

std::optional<std::int32_t> StoreState::copy_days(Day today) const {
    if (!copied) return std::nullopt;
    return std::max(0, days_between(utc_day(*copied), today));
}

Result<StoreState> store_state(Context& context) {
    StoreState out;
    out.home = context.home;
    TRY(const auto older, store::instance_notice(context.db));
    out.older = older.value_or("");
    TRY(out.paper, paper_reminder(context));
    TRY(const auto copied, store::get_text_setting(context.db, copied_setting));
    if (copied) {
        TRY(out.copied, parse_utc(*copied));
        TRY(const auto folder, store::get_text_setting(context.db, copied_to_setting));
        out.copied_to = folder.value_or("");
    }
    TRY(const auto check, store::last_check(context.db));
    if (check) {
        out.checked = check->record.when;
        out.is_whole = check->record.sound;
        out.found = check->record.sentence;
        out.all_looked = check->is_full;
        out.all_checked = check->full_check;
    }
    out.opened_by_key_file = context.opened_by_key_file;
    TRY(out.people, others(context));
    return out;
}

Result<void> older_read(Context& context) {
    return store::forget_instance_notice(context.db);
}

Result<void> note_copy(store::sqlite::Database& db, WallTime now, const std::filesystem::path& folder) {
    TRY(store::put_text_setting(db, copied_setting, to_iso_second(now)));
    return store::put_text_setting(db, copied_to_setting, folder.string());
}

}  // namespace ladderline::node
