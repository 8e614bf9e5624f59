#include <CLI/CLI.hpp>

#include "node/cli/command_line.hpp"
#include "node/domain/radio/link_budget.hpp"
#include "node/domain/radio/path.hpp"
#include "node/domain/radio/sun.hpp"

namespace ladderline::node::cli {
namespace {

struct FarOptions {
    std::string from;
    std::string to;
    domain::Link link{146.52, 0, 5, 4.3, 2, 10, 10};
};

Result<Answer> far_answer(const FarOptions& o) {
    TRY(const auto from, domain::Locator::parse(o.from));
    TRY(const auto to, domain::Locator::parse(o.to));
    const domain::Path path = domain::path_between(from, to);
    std::vector<std::string> text{domain::to_text(path)};
    boost::json::object json{{"distance_km", path.distance_km}};
    if (path.bearing_deg) json["bearing_deg"] = *path.bearing_deg;
    if (path.back_bearing_deg) {
        text.push_back("From there back: " + std::to_string(*path.back_bearing_deg) + " degrees.");
        json["back_bearing_deg"] = *path.back_bearing_deg;
    }
    if (path.kind != domain::PathKind::same_place && path.distance_km > 0) {
        domain::Link link = o.link;
        link.distance_km = path.distance_km;
        TRY(const auto estimate, domain::estimate(link));
        text.push_back("The antennas see each other up to about " +
                       std::to_string(static_cast<int>(estimate.horizon_km)) + " km over flat land.");
        json["horizon_km"] = estimate.horizon_km;
        if (estimate.is_in_sight) {
            text.push_back("In sight the signal is about " + std::to_string(static_cast<int>(estimate.received_dbm)) +
                           " dBm, " + domain::s_reading(estimate.received_dbm, link.frequency_mhz) +
                           " on a meter that keeps to the scale; hills and houses take from it.");
            json["received_dbm"] = estimate.received_dbm;
        } else {
            text.emplace_back("Beyond that it takes a repeater, a hill or the ionosphere, which nobody can promise.");
        }
    }
    return Answer{lines(text), std::move(json)};
}

void add_far(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("far", "Distance and direction between two locators, and what is in sight");
    auto o = std::make_shared<FarOptions>();
    sub->add_option("from", o->from, "Locator, as JO31")->required();
    sub->add_option("to", o->to, "The other one")->required();
    sub->add_option("--mhz", o->link.frequency_mhz, "Frequency in MHz");
    sub->add_option("--watt", o->link.power_w, "Power");
    sub->add_option("--gains", o->link.gains_dbi, "Gain of both antennas together, dBi");
    sub->add_option("--losses", o->link.losses_db, "Loss of both feed lines together, dB");
    sub->add_option("--height", o->link.one_height_m, "Height of the one antenna, m");
    sub->add_option("--other-height", o->link.other_height_m, "Height of the other one, m");
    sub->callback([&out, o] { out.command = [o](Context&) { return far_answer(*o); }; });
}

std::string span_words(const domain::TimeSpan& span) {
    return to_iso_minute(span.from) + " to " + to_iso_minute(span.to);
}

Result<Answer> daylight_answer(Context& context, const std::string& here, const std::string& there,
                               const std::string& iso) {
    Day day = context.today();
    if (!iso.empty()) {
        TRY(day, parse_day(iso));
    }
    TRY(const auto locator, domain::Locator::parse(here));
    const auto place = locator.centre();
    const domain::SunEvents sun = domain::sun_events(day, place, domain::rise_height_deg);
    std::vector<std::string> text;
    boost::json::object json;
    if (sun.rise) {
        text.push_back("Sunrise " + to_iso_minute(*sun.rise));
        json["rise"] = to_iso_minute(*sun.rise);
    }
    if (sun.set) {
        text.push_back("Sunset " + to_iso_minute(*sun.set));
        json["set"] = to_iso_minute(*sun.set);
    }
    if (sun.kind == domain::SunDay::stays_above) text.emplace_back("The sun does not set.");
    if (sun.kind == domain::SunDay::stays_below) text.emplace_back("The sun does not rise.");
    std::vector<domain::TimeSpan> spans = domain::grey_line(day, place);
    std::string whose = "Grey line here: ";
    if (!there.empty()) {
        TRY(const auto other, domain::Locator::parse(there));
        spans = domain::grey_line(day, place, other.centre());
        whose = "Grey line at both ends: ";
    }
    boost::json::array grey;
    for (const domain::TimeSpan& span : spans) {
        text.push_back(whose + span_words(span));
        grey.push_back({{"from", to_iso_minute(span.from)}, {"to", to_iso_minute(span.to)}});
    }
    if (spans.empty()) text.push_back(whose + "at no time on that day.");
    text.emplace_back("A chance for long distances on the lower bands, not a forecast.");
    json["grey_line"] = std::move(grey);
    return Answer{lines(text), std::move(json)};
}

void add_daylight(CLI::App& app, CommandLine& out) {
    auto* sub = app.add_subcommand("daylight", "Sunrise, sunset and the grey line of a place or a path");
    auto here = std::make_shared<std::string>();
    auto there = std::make_shared<std::string>();
    auto day = std::make_shared<std::string>();
    sub->add_option("locator", *here, "As JO31")->required();
    sub->add_option("other", *there, "The other end of a path");
    sub->add_option("--day", *day, "The day in UTC, as 2026-11-25; today without it");
    sub->callback([&out, here, there, day] {
        out.command = [here, there, day](Context& context) { return daylight_answer(context, *here, *there, *day); };
    });
}

}  // namespace

void add_station_commands(CLI::App& app, CommandLine& out) {
    add_far(app, out);
    add_daylight(app, out);
}

}  // namespace ladderline::node::cli
