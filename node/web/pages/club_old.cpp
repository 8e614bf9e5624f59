// What this node still holds of people who left the club, or whose consent is over.

#include "node/commands/old_records.hpp"
#include "node/web/pages/club_paper.hpp"
#include "node/web/pages/final_form.hpp"
#include "node/web/pages/paging.hpp"

namespace ladderline::node::web {
namespace {

constexpr std::size_t page_lines = 200;

Result<Response> old_page(const Scene& scene) {
    TRY(auto all, old_people(scene.context()));
    const Paging paging(scene.request, all.size(), page_lines);
    const auto shown = paging.part(all);
    TRY(count_records(scene.context(), shown));
    Table out;
    out.caption = "Old records on this node";
    out.columns = {"Who", "Why", "Records"};
    out.empty_sentence = "There are no old records here.";
    for (const OldRecords& old : shown) {
        out.rows.push_back({person_name(old.name), text(old.sentence), text(std::to_string(old.records))});
    }
    Page content;
    content.title = "Old records";
    content.main = table(out);
    content.main += paging.links([](std::size_t from) { return url("/club/old?from={}", from); });
    if (!all.empty()) {
        content.main += final_form(FormOn(scene, "old"), url("/club/old"), {}, "Yes, all of them, from every page",
                                   "Take them all off this node, for good");
    }
    content.side = html(
        "<p>Cards, rows and questions of people who left and whose consent is over, and rows of members whose consent "
        "is over. They go from every page and export of this node, and a bare mark stays. What others printed or "
        "copied "
        "is theirs to clear; every officer does this on their own node.</p><p><a href=\"{}\">The review</a></p>",
        url("/club"));
    return show(scene, std::move(content));
}

Result<Response> old_sent(const Scene& scene) {
    const auto is_sure = sure(FormOn(scene, "old"));
    if (!is_sure) return old_page(scene.back(refusal_of(is_sure.error(), "sure")));
    const auto done = drop_old_records(scene.context());
    if (!done) return old_page(scene.back(refusal_of(done.error())));
    return redirect(url("/club/old?said={}", scene.say(done.value())));
}

}  // namespace

void add_old_records_page(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/club/old", old_page);
    on_post(router, house, "/club/old", old_sent);
}

}  // namespace ladderline::node::web
