#pragma once
// The exposure worksheet of a station in words, for the page and the command line. Nothing is stored.

#include <string>
#include <string_view>
#include <vector>

#include "node/domain/radio/exposure.hpp"

namespace ladderline::node {

// Three digits that count, or as many as are asked for, and all before the point; never with an exponent.
std::string plain_digits(double value, int count = 3);

// What a mode puts on the air in the mean, over its peak.
struct ModeDuty {
    std::string_view name;
    std::string_view words;
    double duty;
};
// In the order of a list to choose from. Source: OET Bulletin 65, Supplement B, Table 2; the weak-signal data mode is
// one author's figure: on the air half of the time.
const std::vector<ModeDuty>& mode_duties();
Result<ModeDuty> find_mode_duty(std::string_view name);

struct Worksheet {
    domain::Transmission transmission;
    double distance_m = 0;
    domain::Exposure informed;  // controlled environment
    domain::Exposure anybody;   // uncontrolled environment
};
Result<Worksheet> worksheet(const domain::Transmission& transmission, double distance_m);

// Metres, rounded up: "0.5 m", "13 m".
std::string at_least(double metres);
// What is said where people, or a distance that comes out, are so near that the formulas do not hold; empty elsewhere.
// Source: 47 CFR 1.1307(b)(3)(i)(C), whose formulas begin at a wavelength over 2 pi as well.
std::string near_field_words(const Worksheet& sheet);
// Where people come as near as asked it is over the limit, and no exemption applies there.
bool is_over_limit(const Worksheet& sheet);
// What is said then, in a sentence; empty elsewhere. Source: 47 CFR 97.13(c)(2).
std::string over_limit_words(const Worksheet& sheet);
// Sentences in order: what was reckoned, how far people have to be, whether an evaluation is asked for.
std::vector<std::string> worksheet_words(const Worksheet& sheet);
// What always stands below it.
std::vector<std::string> worksheet_cautions();

}  // namespace ladderline::node
