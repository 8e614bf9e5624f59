#include "node/web/pages/pages.hpp"

#include "node/web/pages/feed.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {
namespace {

// Nobody's page yet: a store without a way, a club or anybody to help.
Response lonely_page(const Scene& scene) {
    Page content;
    content.title = "Nobody is here with you yet";
    content.main = html(
        "<p>This program holds your own desk and no circle with other people. Somebody who wants your help, or your "
        "club, gives you an invite code; with it you are among them.</p><section><h2>I was given a code</h2>{}"
        "</section><p><a href=\"{}\">No code, but somebody who waits for my call</a></p><p>You can fill in <a "
        "href=\"{}\">your card</a> already.</p>",
        code_form(scene), url("/join"), url("/card"));
    return show(scene, std::move(content));
}

Result<Response> home(const Scene& scene) {
    if (scene.viewer.path) return newcomer_page(scene);
    if (scene.viewer.is_officer) return club_page(scene);
    if (scene.viewer.helps()) return people_page(scene);
    if (scene.viewer.club) return club_page(scene);
    return lonely_page(scene);
}

}  // namespace

std::string topic_of(ByteView circle) {
    return to_hex(circle);
}

void add_pages(Router& router, Context& context, NodeSide node) {
    const auto house = std::make_shared<House>(
        House{context, std::move(node.invite_address), node.arrivals, node.phone, node.copy, {}, {}});
    on_get(router, house, "/", home);
    add_start_pages(router, house);
    add_way_pages(router, house);
    add_item_pages(router, house);
    add_meet_pages(router, house);
    add_meet_card_pages(router, house);
    add_evening_pages(router, house);
    add_map_pages(router, house);
    add_search_pages(router, house);
    add_store_pages(router, house);
    add_going_pages(router, house);
    add_contact_pages(router, house);
    add_exposure_pages(router, house);
    add_practice_pages(router, house);
    add_ready_pages(router, house);
    add_mock_pages(router, house);
    add_why_pages(router, house);
    add_pool_pages(router, house);
    add_people_pages(router, house);
    add_bench_pages(router, house);
    add_licence_pages(router, house);
    add_club_pages(router, house);
    add_pair_board_pages(router, house);
    add_pairing_pages(router, house);
    add_club_review_pages(router, house);
    add_circle_pages(router, house);
    add_join_pages(router, house);
    add_greet_pages(router, house);
    add_ladder_pages(router, house);
    add_card_pages(router, house);
    add_feed_page(router, house);
    if (node.phone != nullptr) add_phone_pages(router, house);
    router.on_missing([house](const Request& request, int status, std::string sentence) {
        Viewer viewer;
        if (auto found = viewer_of(house->context)) viewer = std::move(found).value();
        Page content;
        content.title = status == 404 ? "Not here" : "Not this way";
        content.main = html("<p>{}</p>", sentence);
        Response out = show({*house, viewer, request}, std::move(content));
        out.status = status;
        return out;
    });
}

}  // namespace ladderline::node::web
