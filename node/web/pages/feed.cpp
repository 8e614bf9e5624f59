// The calendar that a calendar program reads. The guard lets nobody in here who does not name the secret.

#include "node/web/pages/feed.hpp"

#include "node/commands/feed.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {
namespace {

Result<Response> feed(const Scene& scene) {
    TRY(std::string text, feed_calendar(scene.context()));
    return download("ladderline.ics", "text/calendar; charset=utf-8", std::move(text));
}

}  // namespace

void add_feed_page(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/feed/{secret}", feed);
}

}  // namespace ladderline::node::web
