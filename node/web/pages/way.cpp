// The whole way: every stage with its counts, every item with its state, and the buttons for one opened stage.

#include <algorithm>

#include "node/web/pages/item_parts.hpp"
#include "node/web/pages/way_sheet.hpp"

namespace ladderline::node::web {
namespace {

int done_of(const domain::StageCount& count) {
    return count.ticked + count.is_signed;
}

std::string count_words(const domain::StageCount& count) {
    std::string out = std::to_string(done_of(count)) + " of " + std::to_string(count.all) + " done";
    if (count.is_signed > 0) out += ", " + std::to_string(count.is_signed) + " signed";
    if (count.skipped > 0) out += ", " + std::to_string(count.skipped) + " skipped";
    if (count.resting > 0) out += ", " + std::to_string(count.resting) + " resting";
    if (count.reopened + count.withdrawn > 0) {
        out += ", " + std::to_string(count.reopened + count.withdrawn) + " to look at again";
    }
    return out;
}

Html item_line(const Scene& scene, const WayView& way, const domain::Item& item, bool with_buttons) {
    const domain::ItemState& state = domain::state_of(way.states, item.id);
    const std::string id = domain::to_text(item.id);
    return html("<li id=\"i-{}\"><a href=\"/way/{}\">{}</a>{} {}{}</li>", id, id, item_name(item),
                item.safety ? html(" {}", state_mark(Mark::caution, "safety")) : Html(),
                state_mark(mark_of(state, item), state_words(state, item)),
                with_buttons ? quick_buttons(scene, way, item) : Html());
}

Html stage_part(const Scene& scene, const WayView& way, const domain::Stage& stage, const domain::StageCount& count,
                bool open) {
    const Html items = each(scene.context().edition.items, [&](const domain::Item& item) {
        const bool here = item.id.stage == stage.number && domain::applies_to(item, way.owner.is_minor);
        return here ? item_line(scene, way, item, open) : Html();
    });
    const Html more =
        open ? Html()
             : html("<p><a href=\"{}\">Tick, undo or skip in this stage</a></p>", url("/way?stage={}", stage.number));
    return html(
        "<details id=\"s-{}\" {}><summary>{}. {} <span class=\"whom\">{}</span></summary>{}<ul class=\"items\">{}</ul>"
        "</details>",
        stage.number, flag("open", open), stage.number, stage.title, count_words(count), more, items);
}

Result<Response> way_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), ""));
    const domain::Edition& edition = scene.context().edition;
    std::int64_t open = view.progress.current_stage.value_or(0);
    if (const auto asked = scene.request.query.number("stage")) open = *asked;
    Page content;
    content.title = "The whole way";
    content.main = html(
        "<p>A recommended order, not a staircase: tick what you did, skip what is not for you, come back whenever you "
        "like. Your tick is your word; a signature is somebody else's, and neither wipes out the other.</p>");
    for (std::size_t i = 0; i < edition.stages.size(); ++i) {
        content.main +=
            stage_part(scene, view, edition.stages[i], view.progress.stages[i], edition.stages[i].number == open);
    }
    content.side = html("<h2>Edition</h2><p>{}, {}. <a href=\"{}\">What it is, and which rules and pools hold</a></p>",
                        edition.name, edition.edition, url("/ladder"));
    content.side.add(
        "<h2>On paper</h2><p>What you ticked on the printed sheet is <a href=\"{}\">typed back in here</a>.</p>",
        url("/way/sheet"));
    content.as_of = as_of_words(scene.viewer, view.as_of);
    return show(scene, std::move(content));
}

}  // namespace

void add_way_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/way", way_page);
    add_way_sheet_pages(router, house);
}

}  // namespace ladderline::node::web
