#include "tests/scale/plot.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace ladderline::scale {
namespace {

constexpr double left = 92;
constexpr double right = 560;
constexpr double top = 46;
constexpr double bottom = 330;
constexpr double width = 860;
constexpr double height = 392;

// Colours that keep apart for most eyes, on white and on black.
constexpr const char* style =
    "<style>text{font:13px sans-serif;fill:#222}.t{font-weight:bold;font-size:15px}.g{stroke:#8886;stroke-width:1}"
    ".x{stroke:#222;stroke-width:1.2;fill:none}.l{fill:none;stroke-width:2}"
    ".c0{stroke:#0068b5;fill:#0068b5}.c1{stroke:#c2540a;fill:#c2540a}.c2{stroke:#1a7f4b;fill:#1a7f4b}"
    ".c3{stroke:#8a3fa0;fill:#8a3fa0}.c4{stroke:#7a6a00;fill:#7a6a00}.c5{stroke:#b3202c;fill:#b3202c}"
    "@media (prefers-color-scheme: dark){text{fill:#ddd}.x{stroke:#ddd}"
    ".c0{stroke:#6cb8ff;fill:#6cb8ff}.c1{stroke:#ff9d5c;fill:#ff9d5c}.c2{stroke:#5fd49a;fill:#5fd49a}"
    ".c3{stroke:#d79bec;fill:#d79bec}.c4{stroke:#e0cf5a;fill:#e0cf5a}.c5{stroke:#ff8088;fill:#ff8088}}"
    ".l{fill:none}</style>\n";

template <class... Values>
std::string put(const char* format, Values... values) {
    char out[512];
    std::snprintf(out, sizeof out, format, values...);
    return out;
}

struct Axis {
    bool powers = true;
    double from = 0;
    double to = 1;
    std::vector<double> marks;

    double share(double value) const {
        if (!powers) return (value - from) / (to - from);
        return (std::log10(value) - std::log10(from)) / (std::log10(to) - std::log10(from));
    }
};

Axis axis_of(bool powers, double least, double most) {
    Axis out;
    out.powers = powers;
    if (powers) {
        out.from = std::pow(10, std::floor(std::log10(least)));
        out.to = std::pow(10, std::ceil(std::log10(most)));
        if (out.to <= out.from) out.to = out.from * 10;
        for (double at = out.from; at <= out.to * 1.001; at *= 10) out.marks.push_back(at);
        return out;
    }
    const double step = std::pow(10, std::floor(std::log10(std::max(most, 1e-9))));
    double each = step;
    if (most / step < 2.5)
        each = step / 4;
    else if (most / step < 5)
        each = step / 2;
    out.to = each * std::ceil(most / each);
    for (double at = 0; at <= out.to * 1.001; at += each) out.marks.push_back(at);
    return out;
}

double x_of(const Axis& axis, double value) {
    return left + axis.share(value) * (right - left);
}
double y_of(const Axis& axis, double value) {
    return bottom - axis.share(value) * (bottom - top);
}

std::string axes(const Plot& plot, const Axis& across, const Axis& up) {
    std::string out;
    for (const double mark : across.marks) {
        const double x = x_of(across, mark);
        out += put("<line class=\"g\" x1=\"%.1f\" y1=\"%.1f\" x2=\"%.1f\" y2=\"%.1f\"/>", x, top, x, bottom);
        out += put("<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">%s</text>\n", x, bottom + 18,
                   number_words(mark).c_str());
    }
    for (const double mark : up.marks) {
        const double y = y_of(up, mark);
        out += put("<line class=\"g\" x1=\"%.1f\" y1=\"%.1f\" x2=\"%.1f\" y2=\"%.1f\"/>", left, y, right, y);
        out += put("<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"end\">%s</text>\n", left - 7, y + 4,
                   number_words(mark).c_str());
    }
    out += put("<path class=\"x\" d=\"M%.1f %.1fV%.1fH%.1f\"/>\n", left, top, bottom, right);
    out += put("<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">%s</text>\n", (left + right) / 2, bottom + 42,
               plot.across.c_str());
    out += put("<text transform=\"translate(16 %.1f) rotate(-90)\" text-anchor=\"middle\">%s</text>\n",
               (top + bottom) / 2, plot.up.c_str());
    return out;
}

}  // namespace

std::string number_words(double value) {
    if (value != 0 && std::abs(value) < 10 && std::abs(value - std::round(value)) > 1e-9) {
        return put(std::abs(value) < 0.1 ? "%.3f" : "%.2f", value);
    }
    std::string out = put("%.0f", value);
    const std::size_t first = out.front() == '-' ? 1 : 0;
    for (std::size_t at = out.size(); at > first + 3; out.insert(at, ",")) at -= 3;
    return out;
}

std::string svg_of(const Plot& plot) {
    double least[2] = {1e300, 1e300};
    double most[2] = {-1e300, -1e300};
    for (const Line& line : plot.lines) {
        for (const auto& [x, y] : line.points) {
            least[0] = std::min(least[0], x);
            most[0] = std::max(most[0], x);
            least[1] = std::min(least[1], y);
            most[1] = std::max(most[1], y);
        }
    }
    const Axis across = axis_of(plot.powers_across, least[0], most[0]);
    const Axis up = axis_of(plot.powers_up, least[1], most[1]);
    std::string out =
        put("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %.0f %.0f\" role=\"img\">\n", width, height);
    out += "<title>" + plot.title + "</title>\n";
    out += style;
    out += put("<text class=\"t\" x=\"%.1f\" y=\"24\">%s</text>\n", left, plot.title.c_str());
    out += axes(plot, across, up);
    for (std::size_t i = 0; i < plot.lines.size(); ++i) {
        std::string path;
        std::string points;
        for (const auto& [x, y] : plot.lines[i].points) {
            path += put("%s%.1f %.1f", path.empty() ? "M" : "L", x_of(across, x), y_of(up, y));
            points +=
                put("<circle class=\"c%zu\" cx=\"%.1f\" cy=\"%.1f\" r=\"3.5\"/>", i, x_of(across, x), y_of(up, y));
        }
        out += put("<path class=\"c%zu l\" d=\"", i) + path + "\"/>" + points + "\n";
        const double y = top + 12 + 22 * static_cast<double>(i);
        out += put("<circle class=\"c%zu\" cx=\"%.1f\" cy=\"%.1f\" r=\"4\"/>", i, right + 16, y - 4);
        out += put("<text x=\"%.1f\" y=\"%.1f\">%s</text>\n", right + 26, y, plot.lines[i].name.c_str());
    }
    return out + "</svg>\n";
}

}  // namespace ladderline::scale
