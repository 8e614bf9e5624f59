#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/commands/contact_map.hpp"

namespace ladderline::node::cli {
namespace {

Result<Answer> show_map(Context& context, const std::string& from) {
    TRY(const WayView view, way(context, ""));
    TRY(const ContactMap map, contact_map(view, from));
    std::vector<std::string> text{"From " + map.middle + ":"};
    boost::json::array stations;
    for (const MapStation& s : map.stations) {
        text.push_back("  " + s.call + "  " + s.locator + "  " + distance_words(s.path));
        boost::json::object one{{"call", s.call},         {"locator", s.locator},
                                {"contacts", s.contacts}, {"distance_km", s.path.distance_km},
                                {"east_km", s.point.x},   {"north_km", s.point.y}};
        if (s.path.bearing_deg) one["bearing_deg"] = *s.path.bearing_deg;
        stations.push_back(std::move(one));
    }
    if (map.stations.empty()) text.back() = "No contact with a locator is written down yet.";
    if (map.without_locator > 0) {
        text.push_back("Without a locator, and not on the map: " + std::to_string(map.without_locator) + ".");
    }
    return Answer{
        lines(text),
        {{"middle", map.middle}, {"stations", std::move(stations)}, {"without_locator", map.without_locator}}};
}

}  // namespace

void add_map_commands(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("map", "Where your contacts were: distance and direction from your own place");
    auto from = std::make_shared<std::string>();
    sub->add_option("--from", *from, "Your own locator; the card's without it");
    sub->callback([&out, from] { out.command = [from](Context& context) { return show_map(context, *from); }; });
}

}  // namespace ladderline::node::cli
