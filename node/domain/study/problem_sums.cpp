#include "node/domain/study/problem_sums.hpp"

#include <array>
#include <cmath>
#include <cstdio>

#include "node/domain/study/problem_values.hpp"

namespace ladderline::domain::problem_sums {
namespace {

const std::string round_so = " Round to three digits.";

constexpr std::array supplies{1.5, 3.0, 5.0, 6.0, 9.0, 12.0, 13.8, 24.0, 48.0};                            // volts
constexpr std::array currents{0.02, 0.05, 0.15, 0.25, 0.4, 0.8, 1.2, 1.5, 2.5, 3.0, 4.0};                  // amperes
constexpr std::array resistances{4.7, 6.8, 8.0, 15.0, 22.0, 33.0, 47.0, 50.0, 75.0, 120.0, 220.0, 330.0};  // ohms
constexpr std::array shortwave{1.9, 3.6, 3.9, 7.1, 7.2, 10.1, 14.1, 14.2, 18.1, 21.2, 24.9, 28.4};         // MHz
constexpr std::array any_wave{1.9, 3.6, 7.1, 10.1, 14.2, 18.1, 21.3, 28.4, 50.1, 52.5, 146.0, 223.5, 446.0};

template <std::size_t N>
double one_of(const std::array<double, N>& values, SplitMix64& generator) {
    return values[static_cast<std::size_t>(bounded(generator, N))];
}

std::function<std::string(double)> writer(std::string unit) {
    return [unit = std::move(unit)](double value) { return with_prefix(value, unit); };
}

std::string volts(double value) {
    return with_prefix(value, "V");
}
std::string amperes(double value) {
    return with_prefix(value, "A");
}
std::string ohms(double value) {
    return with_prefix(value, "Ω");
}
std::string watts(double value) {
    return with_prefix(value, "W");
}
std::string megahertz(double value) {
    return three_digits(value) + " MHz";
}

// For what is worked with further on.
std::string five_digits(double value) {
    std::array<char, 32> text{};
    std::snprintf(text.data(), text.size(), "%.5g", value);
    return text.data();
}

Sum voltage_asked(SplitMix64& generator) {
    const double i = one_of(currents, generator);
    const double r = one_of(resistances, generator);
    Sum out;
    out.stem = "A current of " + amperes(i) + " flows through " + ohms(r) + ". How much voltage does that take?";
    out.value = volts_across(i, r);
    out.slips = {{r / i, "divided the resistance by the current instead of multiplying"},
                 {i / r, "divided the current by the resistance instead of multiplying"},
                 {i + r, "added instead of multiplying"},
                 {watts_of_current(i, r), "multiplied by the current twice, which gives the power"}};
    out.working = "E = I × R = " + amperes(i) + " × " + ohms(r) + " = " + volts(out.value) + ".";
    out.write = volts;
    return out;
}

Sum current_asked(SplitMix64& generator) {
    const double e = one_of(supplies, generator);
    const double r = one_of(resistances, generator);
    Sum out;
    out.stem = ohms(r) + " are connected to " + volts(e) + ". How much current flows?";
    out.value = e / r;
    out.slips = {{r / e, "divided the wrong way round"},
                 {e * r, "multiplied instead of dividing"},
                 {watts_of_voltage(e, r), "squared the voltage, which gives the power"},
                 {10 * e / r, "lost a decimal place"}};
    out.working = "I = E / R = " + volts(e) + " / " + ohms(r) + " = " + amperes(out.value) + ".";
    out.write = amperes;
    return out;
}

Sum resistance_asked(SplitMix64& generator) {
    const double e = one_of(supplies, generator);
    const double i = one_of(currents, generator);
    Sum out;
    out.stem = "At " + volts(e) + " a part draws " + amperes(i) + ". What is its resistance?";
    out.value = e / i;
    out.slips = {{i / e, "divided the wrong way round"},
                 {e * i, "multiplied instead of dividing, which gives the power"},
                 {e / (i * i), "divided by the current twice"},
                 {e / i / 10, "lost a decimal place"}};
    out.working = "R = E / I = " + volts(e) + " / " + amperes(i) + " = " + ohms(out.value) + ".";
    out.write = ohms;
    return out;
}

Sum power_of_both(SplitMix64& generator) {
    const double e = one_of(supplies, generator);
    const double i = one_of(currents, generator);
    Sum out;
    out.stem = "A set draws " + amperes(i) + " at " + volts(e) + ". How much power does it take in?";
    out.value = e * i;
    out.slips = {{e / i, "divided instead of multiplying, which gives the resistance"},
                 {e * i * i, "squared the current, which belongs to the formula with the resistance"},
                 {e * e * i, "squared the voltage, which belongs to the formula with the resistance"},
                 {e + i, "added instead of multiplying"}};
    out.working = "P = E × I = " + volts(e) + " × " + amperes(i) + " = " + watts(out.value) + ".";
    return out;
}

Sum power_of_current(SplitMix64& generator) {
    const double i = one_of(currents, generator);
    const double r = one_of(resistances, generator);
    Sum out;
    out.stem = amperes(i) + " flow through a resistor of " + ohms(r) + ". How much power turns into heat there?";
    out.value = watts_of_current(i, r);
    out.slips = {{i * r, "forgot to square the current"},
                 {2 * i * r, "doubled the current instead of squaring it"},
                 {i * r * r, "squared the resistance instead of the current"},
                 {i * i / r, "divided by the resistance instead of multiplying"}};
    out.working = "P = I² × R = (" + amperes(i) + ")² × " + ohms(r) + " = " + watts(out.value) + ".";
    return out;
}

Sum power_of_voltage(SplitMix64& generator) {
    const double e = one_of(supplies, generator);
    const double r = one_of(resistances, generator);
    Sum out;
    out.stem = "Across a resistor of " + ohms(r) + " stand " + volts(e) + ". How much power turns into heat there?";
    out.value = watts_of_voltage(e, r);
    out.slips = {{e / r, "forgot to square the voltage"},
                 {2 * e / r, "doubled the voltage instead of squaring it"},
                 {e * e * r, "multiplied by the resistance instead of dividing"},
                 {e / (r * r), "squared the resistance instead of the voltage"}};
    out.working = "P = E² / R = (" + volts(e) + ")² / " + ohms(r) + " = " + watts(out.value) + ".";
    return out;
}

std::string listed(const std::vector<double>& parts) {
    std::string out;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (i > 0) out += i + 1 == parts.size() ? " and " : ", ";
        out += ohms(parts[i]);
    }
    return out;
}

Sum power_ratio_asked(SplitMix64& generator) {
    constexpr std::array ratios{2.0, 4.0, 5.0, 8.0, 20.0, 25.0, 40.0, 50.0, 200.0, 400.0, 500.0};
    const double ratio = one_of(ratios, generator);
    Sum out;
    out.stem =
        "An amplifier puts out " + three_digits(ratio) + " times the power that goes in. How many decibels are that?";
    out.value = decibels_of(ratio);
    out.slips = {{2 * out.value, "took 20 times the logarithm, which is for voltages"},
                 {ratio, "took the ratio itself for decibels"},
                 {10 * std::log(ratio), "took the natural logarithm instead of the one to base ten"},
                 {out.value / 10, "forgot the factor of ten, which gives bels"}};
    out.working = "10 × log10(" + three_digits(ratio) + ") = " + three_digits(out.value) + " dB.";
    out.write = [](double value) { return three_digits(value) + " dB"; };
    return out;
}

Sum amplifier(SplitMix64& generator) {
    constexpr std::array gains{3.0, 6.0, 7.0, 10.0, 13.0, 16.0};
    constexpr std::array inputs{0.5, 1.0, 2.0, 5.0, 10.0, 25.0};
    const double gain = one_of(gains, generator);
    const double in = one_of(inputs, generator);
    Sum out;
    out.stem =
        watts(in) + " go into an amplifier with a gain of " + three_digits(gain) + " dB. How much power comes out?";
    out.value = in * power_ratio_of(gain);
    out.slips = {{in * gain, "multiplied by the decibels themselves"},
                 {in * std::pow(10, gain / 20), "divided by 20, which is for voltages"},
                 {in + gain, "added the decibels to the watts"},
                 {in / power_ratio_of(gain), "took the gain for a loss"}};
    out.working = "10^(" + three_digits(gain) + "/10) = " + five_digits(power_ratio_of(gain)) + " times; " + watts(in) +
                  " × " + five_digits(power_ratio_of(gain)) + " = " + watts(out.value) + ".";
    return out;
}

Sum feed_line(SplitMix64& generator) {
    constexpr std::array losses{1.0, 1.5, 2.0, 3.0, 4.5, 6.0};
    constexpr std::array inputs{5.0, 10.0, 25.0, 50.0, 100.0};
    const double loss = one_of(losses, generator);
    const double in = one_of(inputs, generator);
    Sum out;
    out.stem = watts(in) + " go into a feed line that loses " + three_digits(loss) +
               " dB. How much power arrives at the antenna?";
    out.value = in / power_ratio_of(loss);
    out.slips = {{in - loss, "subtracted the decibels from the watts"},
                 {in / std::pow(10, loss / 20), "divided by 20, which is for voltages"},
                 {in * power_ratio_of(loss), "took the loss for a gain"},
                 {in / loss, "divided by the decibels themselves"}};
    out.working = "10^(" + three_digits(loss) + "/10) = " + five_digits(power_ratio_of(loss)) + " times less; " +
                  watts(in) + " / " + five_digits(power_ratio_of(loss)) + " = " + watts(out.value) + ".";
    return out;
}

}  // namespace

Sum ohms_law(SplitMix64& generator) {
    const std::uint64_t which = bounded(generator, 3);
    Sum out = which == 0   ? voltage_asked(generator)
              : which == 1 ? current_asked(generator)
                           : resistance_asked(generator);
    out.stem += round_so;
    return out;
}

Sum power(SplitMix64& generator) {
    const std::uint64_t which = bounded(generator, 3);
    Sum out = which == 0   ? power_of_both(generator)
              : which == 1 ? power_of_current(generator)
                           : power_of_voltage(generator);
    out.stem += round_so;
    out.write = watts;
    return out;
}

Sum resistors(SplitMix64& generator) {
    std::vector<double> parts(2 + static_cast<std::size_t>(bounded(generator, 2)));
    for (double& part : parts) part = 10 * one_of(resistances, generator);
    const bool series = bounded(generator, 3) == 0;
    const double sum = in_series(parts);
    const double mean = sum / static_cast<double>(parts.size());
    const double together = in_parallel(parts);
    Sum out;
    out.stem = "Resistors of " + listed(parts) + " are connected " +
               (series ? "one after the other (in series)." : "side by side (in parallel).") +
               " What is their resistance together?" + round_so;
    out.value = series ? sum : together;
    out.slips = {{mean, "took the mean"},
                 {sum / 2, "halved the sum"},
                 {parts.front(), "counted the first one alone"},
                 {parts.back(), "counted the last one alone"}};
    if (series) {
        out.slips.push_back({together, "took the rule for parallel connection"});
        out.working = "In series resistances add: " + ohms(sum) + ".";
    } else {
        out.slips.push_back({sum, "took the rule for series connection"});
        out.working =
            "In parallel the reciprocals add, 1/R = 1/R1 + 1/R2 and so on, and the result is less than the "
            "least of them: R = " +
            ohms(together) + ".";
    }
    out.write = ohms;
    return out;
}

Sum wavelength(SplitMix64& generator) {
    Sum out;
    const std::string speed = " Take 300 million metres a second for the speed of the waves.";
    if (bounded(generator, 2) == 0) {
        const double f = one_of(any_wave, generator);
        out.stem = "How long is one wave at " + megahertz(f) + "?" + speed + round_so;
        out.value = wavelength_metres(f);
        out.slips = {{f / metres_times_megahertz, "divided the wrong way round"},
                     {out.value / 2, "gave half a wave"},
                     {out.value / 4, "gave a quarter of a wave"},
                     {out.value * 10, "lost a decimal place"}};
        out.working = "300 / " + three_digits(f) + " (megahertz) = " + with_prefix(out.value, "m") + ".";
        out.write = writer("m");
        return out;
    }
    constexpr std::array lengths{0.7, 1.25, 2.0, 6.0, 12.0, 15.0, 17.0, 30.0, 40.0, 80.0};  // metres
    const double metres = one_of(lengths, generator);
    out.stem = "One wave is " + three_digits(metres) + " m long. What is the frequency?" + speed + round_so;
    out.value = metres_times_megahertz / metres;
    out.slips = {{metres_times_megahertz * metres, "multiplied instead of dividing"},
                 {out.value / 2, "took half a wave for a whole one"},
                 {out.value * 10, "lost a decimal place"},
                 {metres / metres_times_megahertz, "divided the wrong way round"}};
    out.working = "300 / " + three_digits(metres) + " (metres) = " + megahertz(out.value) + ".";
    out.write = megahertz;
    return out;
}

Sum dipole(SplitMix64& generator) {
    const double f = one_of(shortwave, generator);
    Sum out;
    out.stem = "About how long is a half-wave dipole of wire for " + megahertz(f) +
               ", from end to end, by the usual rule of 468 over the frequency in megahertz?" + round_so;
    out.value = dipole_feet(f);
    out.slips = {{984 / f, "took a whole wave"},
                 {492 / f, "left out the shortening at the ends"},
                 {234 / f, "gave one side of it"},
                 {out.value * metres_in_a_foot, "gave the metres for feet"}};
    out.working = "468 / " + three_digits(f) + " = " + three_digits(out.value) + " ft, which is " +
                  three_digits(out.value * metres_in_a_foot) +
                  " m. Cut it a little longer and trim it; keep it out of reach of every power line.";
    out.write = [](double value) { return three_digits(value) + " ft"; };
    return out;
}

Sum decibels(SplitMix64& generator) {
    const std::uint64_t which = bounded(generator, 3);
    Sum out = which == 0 ? power_ratio_asked(generator) : which == 1 ? amplifier(generator) : feed_line(generator);
    out.stem += round_so;
    if (!out.write) out.write = watts;
    return out;
}

Sum prefixes(SplitMix64& generator) {
    struct Change {
        const char* unit;
        const char* from;
        const char* to;
        int power;  // of ten, from one to the other
    };
    constexpr std::array<Change, 14> changes{{{"A", "", "m", 3},
                                              {"A", "m", "", -3},
                                              {"V", "µ", "m", -3},
                                              {"V", "k", "", 3},
                                              {"W", "", "m", 3},
                                              {"W", "m", "", -3},
                                              {"Hz", "M", "k", 3},
                                              {"Hz", "k", "M", -3},
                                              {"Hz", "G", "M", 3},
                                              {"F", "µ", "n", 3},
                                              {"F", "p", "n", -3},
                                              {"F", "n", "µ", -3},
                                              {"H", "m", "µ", 3},
                                              {"Ω", "M", "k", 3}}};
    constexpr std::array values{0.25, 0.5, 1.5, 2.5, 4.7, 15.0, 22.0, 35.0, 250.0, 470.0, 820.0};
    const Change& change = changes[static_cast<std::size_t>(bounded(generator, changes.size()))];
    const double value = one_of(values, generator);
    const std::string from = three_digits(value) + " " + change.from + change.unit;
    const std::string to = std::string(change.to) + change.unit;
    const double factor = std::pow(10.0, change.power);
    Sum out;
    out.stem = "How many " + to + " are " + from + "?";
    out.value = value * factor;
    out.slips = {{value / factor, "moved the point the wrong way"},
                 {out.value * 10, "moved the point one place too far to the right"},
                 {out.value / 10, "moved the point one place too far to the left"},
                 {value, "left the number as it was"}};
    out.working = "The point moves three places to the " + std::string(change.power > 0 ? "right" : "left") + ": " +
                  from + " = " + three_digits(out.value) + " " + to + ".";
    out.write = [to](double v) { return three_digits(v) + " " + to; };
    return out;
}

}  // namespace ladderline::domain::problem_sums
