#include "node/web/pages/exposure_drawing.hpp"

#include <algorithm>
#include <cmath>

namespace ladderline::node::web {
namespace {

constexpr double person_m = 1.75;
constexpr double half_width = 160;  // units of the drawing
constexpr double tallest = 300;
constexpr double measures_m[] = {100'000, 10'000, 1'000, 100, 10, 1, 0.1};

// Units of the drawing; the ground is y = 0, up is negative.
struct Layout {
    double scale = 1;      // units a metre
    double antenna_y = 0;  // lowest part
    double person_x = 0;
    double measure_m = 1;
};

Layout laid_out(const Worksheet& sheet, double height_m) {
    const double far = std::max(sheet.informed.least_distance_m, sheet.anybody.least_distance_m);
    const double above_head = std::max(0.0, height_m - person_m);
    const double aside = std::sqrt(std::max(0.0, sheet.distance_m * sheet.distance_m - above_head * above_head));
    const double reach = std::max({far, aside + 0.5, person_m});
    Layout out;
    out.scale = std::min(half_width * 0.92 / reach, tallest / (height_m + std::max(far, person_m)));
    out.antenna_y = -height_m * out.scale;
    out.person_x = aside * out.scale;
    for (const double metres : measures_m) {
        out.measure_m = metres;
        if (metres * out.scale <= half_width) break;
    }
    return out;
}

std::string at_height(double metres) {
    return plain_digits(metres) + " m above the ground";
}

std::string person_words(double distance_m, double height_m) {
    if (distance_m < height_m - person_m) {
        return "The person, 1.75 m tall, stands right below: nobody on the ground comes nearer than " +
               plain_digits(height_m - person_m) + " m.";
    }
    return "The person, 1.75 m tall, stands where people come: " + plain_digits(distance_m) + " m from the antenna.";
}

Html person(const Layout& at) {
    const double tall = person_m * at.scale;
    const double head = tall * 0.08;
    const double wide = tall * 0.14;
    return html(
        "<g stroke=\"currentColor\" stroke-width=\"1.5\" fill=\"none\"><circle cx=\"{}\" cy=\"{}\" r=\"{}\" "
        "fill=\"currentColor\"/><path d=\"M{} {}V{}M{} {}H{}M{} 0L{} {}L{} 0\"/></g>",
        Decimal{at.person_x, 1}, Decimal{head - tall, 1}, Decimal{head, 1}, Decimal{at.person_x, 1},
        Decimal{2 * head - tall, 1}, Decimal{-0.45 * tall, 1}, Decimal{at.person_x - wide, 1}, Decimal{-0.72 * tall, 1},
        Decimal{at.person_x + wide, 1}, Decimal{at.person_x - wide, 1}, Decimal{at.person_x, 1},
        Decimal{-0.45 * tall, 1}, Decimal{at.person_x + wide, 1});
}

Html antenna(const Layout& at) {
    constexpr double long_units = 26;
    return html(
        "<path d=\"M0 0V{}\" stroke=\"currentColor\" stroke-dasharray=\"2 3\" fill=\"none\"/><path d=\"M0 {}V{}\" "
        "stroke=\"currentColor\" stroke-width=\"3\"/><circle cy=\"{}\" r=\"3\" fill=\"currentColor\"/>",
        Decimal{at.antenna_y, 1}, Decimal{at.antenna_y, 1}, Decimal{at.antenna_y - long_units, 1},
        Decimal{at.antenna_y, 1});
}

Html measure(const Layout& at) {
    const double units = at.measure_m * at.scale;
    const int decimals = at.measure_m < 1 ? 1 : 0;
    return html(
        "<path d=\"M{} 14h{}m0 -3v6m-{} 0v-6\" stroke=\"currentColor\" fill=\"none\"/><text x=\"{}\" y=\"30\" "
        "font-size=\"12\" fill=\"currentColor\">{} m</text>",
        Decimal{-half_width, 1}, Decimal{units, 1}, Decimal{units, 1}, Decimal{-half_width, 1},
        Decimal{at.measure_m, decimals});
}

}  // namespace

Html exposure_drawing(const Worksheet& sheet, const std::optional<double>& height_m) {
    const double height = height_m.value_or(person_m);
    const Layout at = laid_out(sheet, height);
    const double inner = sheet.informed.least_distance_m * at.scale;
    const double outer = sheet.anybody.least_distance_m * at.scale;
    constexpr double below = 36;
    const double top = std::max({outer - at.antenna_y, person_m * at.scale, 30 - at.antenna_y}) + 6;
    Html inside = html(
        "<circle cy=\"{}\" r=\"{}\" fill=\"none\" stroke=\"currentColor\" stroke-dasharray=\"6 4\"/><circle cy=\"{}\" "
        "r=\"{}\" fill=\"none\" stroke=\"currentColor\"/><path d=\"M-170 0H170\" stroke=\"currentColor\" "
        "stroke-width=\"2\"/>",
        Decimal{at.antenna_y, 1}, Decimal{outer, 1}, Decimal{at.antenna_y, 1}, Decimal{inner, 1});
    inside += antenna(at);
    inside += person(at);
    inside += measure(at);
    const std::string antenna_words =
        height_m ? at_height(*height_m) : std::string("drawn at a person's height because its own is not known");
    return html(
        "<figure><svg viewBox=\"-170 -{} 340 {}\" role=\"img\" aria-label=\"Seen from the side, to scale: the antenna, "
        "two circles round it for the least distances, and a person\">{}</svg><figcaption>Seen from the side, to "
        "scale. "
        "The dot is the lowest part of the antenna, {}; the full circle ({}) the least distance of people who know of "
        "it, "
        "the broken one ({}) that of everybody else. {}</figcaption></figure>",
        Decimal{top, 1}, Decimal{top + below, 1}, inside, antenna_words, at_least(sheet.informed.least_distance_m),
        at_least(sheet.anybody.least_distance_m), person_words(sheet.distance_m, height));
}

}  // namespace ladderline::node::web
