#include "node/domain/study/problems.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>

#include "node/domain/study/problem_sums.hpp"

namespace ladderline::domain {
namespace {

using problem_sums::Slip;
using problem_sums::Sum;

constexpr std::size_t wrong_choices = 3;
constexpr double apart_min = 0.02;  // relative; closer choices would ask for rounding, not for the formula
constexpr double value_min = 1e-9;  // what a choice can be written as
constexpr double value_max = 1e9;

Sum sum_of(ProblemTopic topic, SplitMix64& generator) {
    switch (topic) {
        case ProblemTopic::ohms_law:
            return problem_sums::ohms_law(generator);
        case ProblemTopic::power:
            return problem_sums::power(generator);
        case ProblemTopic::resistors:
            return problem_sums::resistors(generator);
        case ProblemTopic::wavelength:
            return problem_sums::wavelength(generator);
        case ProblemTopic::dipole:
            return problem_sums::dipole(generator);
        case ProblemTopic::decibels:
            return problem_sums::decibels(generator);
        case ProblemTopic::prefixes:
            break;
    }
    return problem_sums::prefixes(generator);
}

bool is_apart(double a, double b) {
    return std::abs(a - b) > apart_min * std::max(a, b);
}

// Three slips that lead to different places; nothing if these numbers have not as many.
std::optional<std::vector<Slip>> wrong_ones(const Sum& sum, SplitMix64& generator) {
    std::vector<Slip> all = sum.slips;
    shuffle(generator, std::span(all));
    std::vector<Slip> out;
    for (const Slip& slip : all) {
        const bool written = slip.value >= value_min && slip.value <= value_max;
        const bool apart = is_apart(slip.value, sum.value) && std::all_of(out.begin(), out.end(), [&](const Slip& o) {
                               return is_apart(slip.value, o.value);
                           });
        if (written && apart) out.push_back(slip);
        if (out.size() == wrong_choices) return out;
    }
    return std::nullopt;
}

}  // namespace

std::string_view title_of(ProblemTopic topic) {
    switch (topic) {
        case ProblemTopic::ohms_law:
            return "Ohm's law";
        case ProblemTopic::power:
            return "Power";
        case ProblemTopic::resistors:
            return "Resistors together";
        case ProblemTopic::wavelength:
            return "Frequency and wavelength";
        case ProblemTopic::dipole:
            return "Length of a half-wave dipole";
        case ProblemTopic::decibels:
            return "Decibels";
        case ProblemTopic::prefixes:
            break;
    }
    return "Metric prefixes";
}

Problem make_problem(ProblemTopic topic, std::uint64_t seed) {
    SplitMix64 generator(seed);
    for (;;) {
        const Sum sum = sum_of(topic, generator);
        const auto wrong = wrong_ones(sum, generator);
        if (!wrong) continue;
        std::vector<ProblemChoice> choices{{sum.write(sum.value), ""}};
        for (const Slip& slip : *wrong) choices.push_back({sum.write(slip.value), slip.what});
        shuffle(generator, std::span(choices));
        Problem out;
        out.topic = topic;
        out.stem = sum.stem;
        out.working = sum.working;
        for (std::size_t place = 0; place < choices.size(); ++place) {
            if (choices[place].slip.empty()) out.right_place = static_cast<std::uint8_t>(place);
            out.choices[place] = std::move(choices[place]);
        }
        return out;
    }
}

Problem make_problem(std::uint64_t seed) {
    SplitMix64 generator(seed);
    const auto topic = static_cast<ProblemTopic>(bounded(generator, problem_topics));
    return make_problem(topic, generator.next());
}

}  // namespace ladderline::domain
