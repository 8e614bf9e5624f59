// The page of somebody who helps: for each newcomer whose path they are on, what is next and what waits for them.

#include <algorithm>

#include "node/commands/heard_from.hpp"
#include "node/web/pages/bench_parts.hpp"
#include "node/web/pages/item_parts.hpp"
#include "node/web/pages/pair_parts.hpp"
#include "node/web/pages/pause_notice.hpp"

namespace ladderline::node::web {
namespace {

// Of their own word alone: a mentor's signature is no news of them.
std::string quiet_words(const Scene& scene, const WayView& way, const std::optional<WallTime>& heard) {
    const Day today = scene.context().today();
    if (way.facts.resting) return "resting; leave them in peace";
    if (!heard) return "nothing has been heard yet";
    const std::int32_t quiet = days_between(utc_day(*heard), today);
    if (quiet <= 0) return "today";
    return "quiet for " + std::to_string(quiet) + (quiet == 1 ? " day" : " days");
}

std::string next_words(const Scene& scene, const WayView& way) {
    if (way.facts.resting) return "resting";
    if (!way.progress.next) return way.progress.waiting.empty() ? "nothing is left to do" : "waiting for others";
    const domain::Item* item = scene.context().edition.find(way.progress.next->item);
    if (item == nullptr) return {};
    return domain::to_text(item->id) + " " + item->text;
}

Html asked_for_help(const Scene& scene, const WayView& way) {
    if (way.help_topic.empty()) return Html();
    const std::string since =
        way.help_since ? ", asked " + days_ago_words(*way.help_since, scene.context().today()) : "";
    return html("<p>{}</p>", state_mark(Mark::waiting, "Needs a hand: " + way.help_topic + since));
}

// Somebody, with what waits for the viewer there (made once: it is looked at for the order, too).
struct Helped {
    WayView way;
    Html yours;
    std::optional<WallTime> heard;  // from them

    bool waits() const { return !yours.empty() || !way.help_topic.empty(); }
};

Html person_part(const Scene& scene, const Helped& one) {
    const WayView& way = one.way;
    const std::string who = key_of(way.owner.id);
    const std::optional<Day> last = way.dates.last_contact;
    Html facts =
        html("<dt>Next step</dt><dd>{}</dd><dt>Last contact</dt><dd>{}</dd><dt>Heard from them</dt><dd>{}</dd>",
             next_words(scene, way),
             last ? to_iso(*last) + ", " + days_ago_words(*last, scene.context().today()) : "none yet",
             quiet_words(scene, way, one.heard));
    Html out = pause_notice(scene, way);
    out.add("<dl class=\"facts\">{}</dl>", facts);
    out += asked_for_help(scene, way);
    Html yours;
    if (const std::size_t count = signatures_awaited(scene, way); count > 1) {
        yours = html("<p><a href=\"/people/{}#several\">Sign several at once: {} wait for you</a></p>", who, count);
    }
    yours += one.yours;
    out += yours.empty() ? html("<p class=\"empty\">Nothing waits for you here.</p>")
                         : html("<h3>Waits for you</h3>{}", yours);
    const bool arranged = std::any_of(way.meetings.begin(), way.meetings.end(),
                                      [](const MeetingView& m) { return !m.outcome.has_value(); });
    if (arranged) out.add("<h3>Arranged</h3>{}", arranged_list(scene, {who, way}));
    return html(
        "<section class=\"person\"><h2><a href=\"/people/{}\">{}</a></h2>{}<p><a class=\"button\" "
        "href=\"/people/{}\">Assign, arrange, sign</a></p></section>",
        who, person_name(way.owner.name), out, who);
}

}  // namespace

// Asked first and waiting longest stands first; among the rest, the one not heard from for longest.
Result<Response> people_page(const Scene& scene) {
    TRY(auto ways, ways_of_others(scene.context()));
    std::vector<Helped> all;
    for (WayView& way : ways) {
        Html yours = waiting_on_me(scene, way);
        TRY(const auto heard, heard_from_owner(scene.context(), way));
        all.push_back({std::move(way), std::move(yours), heard});
    }
    std::stable_sort(all.begin(), all.end(), [&](const Helped& a, const Helped& b) {
        if (a.waits() != b.waits()) return a.waits();
        return a.heard.value_or(WallTime{}) < b.heard.value_or(WallTime{});
    });
    Page content;
    content.title = "Your people";
    content.main = pairing_notice(scene);
    if (all.empty()) {
        content.main += html(
            "<p class=\"empty\">Nobody's path is shared with you yet. A newcomer invites you from their circles page, "
            "or the club proposes a pair; then they stand here with what they need from you.</p>");
    }
    content.main += each(all, [&](const Helped& one) { return person_part(scene, one); });
    if (all.size() > 1) {
        content.main.add("<p><a class=\"button\" href=\"{}\">An evening on the air for several</a></p>",
                         url("/evening"));
    }
    content.side = html(
        "<h2>In what order</h2><p>Who waits for something from you stands first, then who has not been heard from for "
        "longest. It says nothing about anybody's worth.</p>");
    std::optional<WallTime> oldest;
    for (const Helped& one : all) {
        if (one.way.as_of) oldest = std::min(oldest.value_or(*one.way.as_of), *one.way.as_of);
    }
    content.as_of = as_of_words(scene.viewer, oldest);
    return show(scene, std::move(content));
}

void add_people_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/people", people_page);
}

}  // namespace ladderline::node::web
