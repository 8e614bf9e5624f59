// The exposure worksheet of a station. Everything stands in the address; nothing is stored.

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "node/commands/worksheet.hpp"
#include "node/web/pages/frame.hpp"

namespace ladderline::node::web {
namespace {

struct Asked {
    const char* name;
    const char* label;
    const char* start;
    const char* help;
};

constexpr Asked rows_asked[] = {
    {"mhz", "Frequency, MHz", "146.52", ""},
    {"watt", "Power at the transmitter, watts PEP", "50", ""},
    {"on", "Minutes on the air at a time", "2", ""},
    {"off", "Minutes of listening in between", "3", ""},
    {"loss", "Loss of the feed line, dB", "0", "0 if you do not know: the result is then on the safe side."},
    {"gain", "Gain of the antenna, dBi", "2.15", "2.15 is a half-wave dipole."},
    {"metres", "How near people come to the antenna, metres", "5", ""}};

std::string typed(const Scene& scene, const Asked& row) {
    const std::string text = scene.request.query.text(row.name);
    return text.empty() ? row.start : text;
}

// bad_input names the row.
Result<double> number_in(const Scene& scene, const Asked& row) {
    const std::string text = typed(scene, row);
    char* end = nullptr;
    const double value = std::strtod(text.c_str(), &end);
    if (*end == '\0' && std::isfinite(value)) return value;
    return Error{Fault::bad_input, std::string(row.label) + ": write a number, as " + row.start + "."};
}

Result<Worksheet> sheet_asked(const Scene& scene) {
    double values[std::size(rows_asked)] = {};
    for (std::size_t i = 0; i < std::size(rows_asked); ++i) {
        TRY(values[i], number_in(scene, rows_asked[i]));
    }
    const std::string mode_name = scene.request.query.text("mode");
    TRY(const ModeDuty mode, find_mode_duty(mode_name.empty() ? "fm" : mode_name));
    domain::Transmission t;
    t.frequency_mhz = values[0];
    t.peak_w = values[1];
    t.mode_duty = mode.duty;
    t.on_min = values[2];
    t.off_min = values[3];
    t.loss_db = values[4];
    t.gain_dbi = values[5];
    return worksheet(t, values[6]);
}

Html worksheet_form(const Scene& scene) {
    Html inside;
    std::vector<Choice> modes;
    for (const ModeDuty& mode : mode_duties()) modes.push_back({std::string(mode.name), std::string(mode.words)});
    const std::string mode = scene.request.query.text("mode");
    for (const Asked& row : rows_asked) {
        Field field{row.name, row.label, typed(scene, row), row.help};
        field.required = true;
        inside += text_row(field);
        if (std::string_view(row.name) == "watt") {
            Field what{"mode", "What you send", mode.empty() ? "fm" : mode};
            what.required = true;
            inside += list_row(what, modes);
        }
    }
    inside += button("Work it out");
    return get_form(url("/exposure"), inside);
}

// Seen from above, to scale: the antenna in the middle, both distances as circles, and where people come.
Html drawing(const Worksheet& sheet) {
    constexpr double half = 150;
    const double inner = sheet.informed.least_distance_m;
    const double outer = sheet.anybody.least_distance_m;
    const double scale = half * 0.9 / std::max({inner, outer, sheet.distance_m});
    const double height = std::max({inner, outer}) * scale + 10;
    return html(
        "<figure><svg viewBox=\"-150 -{} 300 {}\" role=\"img\" aria-label=\"Seen from above, to scale: two circles "
        "round the antenna, and the place that people come to\"><circle r=\"{}\" fill=\"none\" stroke=\"currentColor\" "
        "stroke-dasharray=\"6 4\"/><circle r=\"{}\" fill=\"none\" stroke=\"currentColor\"/><circle r=\"3\" "
        "fill=\"currentColor\"/><rect x=\"{}\" y=\"-4\" width=\"8\" height=\"8\" fill=\"currentColor\"/></svg>"
        "<figcaption>Seen from above, to scale: the dot is the antenna, the full circle ({}) the least distance of "
        "people who know of it, the broken one ({}) that of everybody else, the square ({} m) where people "
        "come.</figcaption></figure>",
        Decimal{height, 1}, Decimal{2 * height, 1}, Decimal{outer * scale, 1}, Decimal{inner * scale, 1},
        Decimal{sheet.distance_m * scale - 4, 1}, at_least(inner), at_least(outer), Decimal{sheet.distance_m, 1});
}

Html result_part(const Worksheet& sheet) {
    Html lines;
    for (const std::string& line : worksheet_words(sheet)) lines.add("<li>{}</li>", line);
    return html("<section><h2>What comes out</h2><ul>{}</ul>{}</section>", lines, drawing(sheet));
}

Result<Response> exposure_page(const Scene& scene) {
    Page content;
    content.title = "How far from the antenna";
    const auto sheet = sheet_asked(scene);
    content.main = html("<section><h2>Your station</h2>{}</section>", worksheet_form(scene));
    if (sheet) {
        content.main += result_part(sheet.value());
    } else {
        content.main += notice(Tone::problem, "Please look", sheet.error().sentence());
    }
    Html cautions;
    for (const std::string& caution : worksheet_cautions()) cautions.add("<p>{}</p>", caution);
    content.side = html("<h2>Be careful</h2>{}", cautions);
    return show(scene, std::move(content), Live::no);
}

}  // namespace

void add_exposure_pages(Router& router, const std::shared_ptr<House>& house) {
    on_get(router, house, "/exposure", exposure_page);
}

}  // namespace ladderline::node::web
