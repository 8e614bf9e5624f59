// One's contacts on a map with oneself in the middle, and the same as a table.

#include <cmath>
#include <numbers>

#include "node/commands/contact_map.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {
namespace {

constexpr double radius = 150;  // of the outermost ring, units of the drawing
constexpr int bearing_step = 30;

std::string bearing_label(int degrees) {
    switch (degrees) {
        case 0:
            return "N";
        case 90:
            return "E";
        case 180:
            return "S";
        case 270:
            return "W";
        default:
            return std::to_string(degrees);
    }
}

Html bearings() {
    Html out;
    for (int degrees = 0; degrees < 360; degrees += bearing_step) {
        const double angle = degrees * std::numbers::pi / 180;
        const double x = std::sin(angle);
        const double y = -std::cos(angle);
        out.add(
            "<path d=\"M0 0L{} {}\" stroke=\"currentColor\" stroke-width=\"0.3\"/><text x=\"{}\" y=\"{}\" "
            "font-size=\"10\" text-anchor=\"middle\" dominant-baseline=\"central\" fill=\"currentColor\">{}</text>",
            Decimal{radius * x, 1}, Decimal{radius * y, 1}, Decimal{(radius + 12) * x, 1},
            Decimal{(radius + 12) * y, 1}, bearing_label(degrees));
    }
    return out;
}

Html rings(const ContactMap& map) {
    Html out;
    const int count = static_cast<int>(std::lround(map.reach_km / map.ring_km));
    for (int i = 1; i <= count; ++i) {
        const double r = radius * i / count;
        out.add(
            "<circle r=\"{}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"0.6\" stroke-dasharray=\"3 "
            "3\"/><text "
            "x=\"3\" y=\"{}\" font-size=\"8\" fill=\"currentColor\">{}</text><text x=\"3\" y=\"{}\" font-size=\"8\" "
            "fill=\"currentColor\">{}</text>",
            Decimal{r, 1}, Decimal{r - 11, 1}, km_words(map.ring_km * i), Decimal{r - 3, 1},
            mile_words(map.ring_km * i));
    }
    return out;
}

Html dots(const ContactMap& map) {
    Html out;
    int number = 0;
    for (const MapStation& s : map.stations) {
        ++number;
        const double x = s.point.x * radius / map.reach_km;
        const double y = -s.point.y * radius / map.reach_km;
        out.add(
            "<circle cx=\"{}\" cy=\"{}\" r=\"3\" fill=\"currentColor\"/><text x=\"{}\" y=\"{}\" font-size=\"10\" "
            "font-weight=\"bold\" fill=\"currentColor\">{}</text>",
            Decimal{x, 1}, Decimal{y, 1}, Decimal{x + 4, 1}, Decimal{y - 4, 1}, number);
    }
    return out;
}

Html drawing(const ContactMap& map) {
    Html inside = bearings();
    inside += rings(map);
    inside += html("<circle r=\"4\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"2\"/>");
    inside += dots(map);
    return html(
        "<figure class=\"map\"><svg viewBox=\"-170 -170 340 340\" role=\"img\" aria-label=\"You in the middle, rings "
        "of distance, "
        "and "
        "a numbered dot for each station; the table has the same\">{}</svg><figcaption>{} in the middle, north on top. "
        "Distance and direction from there are true (azimuthal equidistant); nothing else is. Coasts and borders are "
        "not "
        "drawn.</figcaption></figure>",
        inside, map.middle);
}

Html stations_table(const ContactMap& map) {
    Table out;
    out.caption = "The same as a table";
    out.columns = {"Number", "Station", "Locator", "Contacts", "From you"};
    out.empty_sentence = "No contact with a locator is written down yet.";
    std::size_t number = 0;
    for (const MapStation& s : map.stations) {
        out.rows.push_back({html("{}", ++number), call_sign(s.call), call_sign(s.locator), html("{}", s.contacts),
                            text(distance_words(s.path))});
    }
    return table(out);
}

Result<Response> map_page(const Scene& scene) {
    TRY(const WayView view, way(scene.context(), ""));
    const std::string from = scene.request.query.text("from");
    const auto map = contact_map(view, from);
    Page content;
    content.title = "Your contacts on a map";
    if (map) {
        if (!map.value().stations.empty()) content.main += drawing(map.value());
        content.main += stations_table(map.value());
        if (map.value().without_locator > 0) {
            content.main.add("<p>{} of your contacts have no locator and are not drawn.</p>",
                             map.value().without_locator);
        }
    } else {
        content.main += notice(Tone::plain, "No map yet", map.error().sentence());
    }
    Field field{"from", "Your own locator", map ? map.value().middle : from, "Only for this map; nothing is kept"};
    Html inside = call_row(field);
    inside += button("Draw it from there");
    content.side = html("<h2>From where</h2>{}<p><a href=\"{}\">Your contacts</a></p>", get_form(url("/map"), inside),
                        url("/contact"));
    content.as_of = as_of_words(scene.viewer, view.as_of);
    return show(scene, std::move(content));
}

}  // namespace

void add_map_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/map", map_page);
}

}  // namespace ladderline::node::web
