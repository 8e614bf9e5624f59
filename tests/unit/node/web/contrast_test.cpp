// The colours of the pages against WCAG 2.2 (Recommendation of 5 October 2023): success criteria 1.4.3 (text, 4.5 to
// 1) and 1.4.11 (lines and marks, 3 to 1), with its definitions of relative luminance and contrast ratio.

#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>
#include <map>

#include "node/web/static_files.hpp"

using namespace ladderline::node::web;

namespace {

using Palette = std::map<std::string, std::string>;  // "ink" to "#1b1f23"

double channel(const std::string& colour, std::size_t at) {
    const double c = std::stoi(colour.substr(at, 2), nullptr, 16) / 255.0;
    return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

double luminance(const std::string& colour) {
    return 0.2126 * channel(colour, 1) + 0.7152 * channel(colour, 3) + 0.0722 * channel(colour, 5);
}

double contrast(const std::string& a, const std::string& b) {
    const double one = luminance(a) + 0.05;
    const double other = luminance(b) + 0.05;
    return std::max(one, other) / std::min(one, other);
}

// Of the first block of variables behind `from`.
Palette palette_in(const std::string& css, std::size_t from) {
    Palette out;
    const std::size_t end = css.find('}', from);
    for (std::size_t at = css.find("--", from); at < end; at = css.find("--", at + 2)) {
        const std::size_t colon = css.find(": ", at);
        const std::string value = css.substr(colon + 2, css.find(';', colon) - colon - 2);
        if (value.starts_with('#')) out[css.substr(at + 2, colon - at - 2)] = value;
    }
    return out;
}

std::map<std::string, Palette> palettes() {
    Request request;
    request.path = "/static/style.css";
    const std::string css = static_file(request).body;
    return {{"light", palette_in(css, css.find(":root"))},
            {"dark", palette_in(css, css.find(":root", css.find("prefers-color-scheme: dark")))}};
}

struct Pair {
    const char* front;
    const char* back;
    double least;
};
constexpr double text_least = 4.5;
constexpr double line_least = 3.0;
constexpr Pair pairs[] = {
    {"ink", "paper", text_least},           {"ink", "raised", text_least},      {"ink", "caution", text_least},
    {"ink", "problem", text_least},         {"ink", "done", text_least},        {"quiet", "paper", text_least},
    {"quiet", "raised", text_least},        {"link", "paper", text_least},      {"link", "raised", text_least},
    {"link", "caution", text_least},        {"link", "problem", text_least},    {"link", "done", text_least},
    {"on-lead", "lead", text_least},        {"lead", "paper", text_least},      {"lead", "raised", text_least},
    {"problem-line", "raised", text_least}, {"line", "paper", line_least},      {"line", "raised", line_least},
    {"ring", "paper", line_least},          {"ring", "raised", line_least},     {"caution-line", "paper", line_least},
    {"problem-line", "paper", line_least},  {"done-line", "paper", line_least},
};

}  // namespace

TEST_CASE("the measure of contrast gives what is published") {
    CHECK(contrast("#000000", "#ffffff") == doctest::Approx(21.0));  // WCAG 2.2, "contrast ratio": from 1 to 21
    // The least grey that passes on white, and the next lighter one that fails: common knowledge of the trade, from
    // memory.
    CHECK(contrast("#767676", "#ffffff") == doctest::Approx(4.54).epsilon(0.002));
    CHECK(contrast("#777777", "#ffffff") == doctest::Approx(4.48).epsilon(0.002));
}

TEST_CASE("text and lines stand out from what is behind them, in the light and in the dark") {
    for (const auto& [scheme, colours] : palettes()) {
        REQUIRE(colours.size() >= 15);
        for (const Pair& pair : pairs) {
            const double ratio = contrast(colours.at(pair.front), colours.at(pair.back));
            std::printf("contrast %-5s %-13s on %-8s %5.2f (at least %.1f)\n", scheme.c_str(), pair.front, pair.back,
                        ratio, pair.least);
            CAPTURE(scheme);
            CAPTURE(pair.front);
            CAPTURE(pair.back);
            CHECK(ratio >= pair.least);
        }
    }
}
