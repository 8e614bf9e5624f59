#include "node/domain/rules/emission.hpp"

#include <algorithm>
#include <array>

#include "embedded/rules.hpp"
#include "protocol/base/ensure.hpp"
#include "protocol/base/letters.hpp"

namespace ladderline::domain {
namespace {

struct KindWord {
    EmissionKind kind;
    std::string_view code;
    std::string_view word;
};
constexpr std::array<KindWord, 7> kinds{{{EmissionKind::cw, "CW", "Morse"},
                                         {EmissionKind::mcw, "MCW", "Morse by a tone"},
                                         {EmissionKind::phone, "PHONE", "speech"},
                                         {EmissionKind::image, "IMAGE", "pictures"},
                                         {EmissionKind::rtty, "RTTY", "teleprinter"},
                                         {EmissionKind::data, "DATA", "data"},
                                         {EmissionKind::ss, "SS", "spread spectrum"}}};

struct ShapeWord {
    SignalShape shape;
    std::string_view word;
};
constexpr std::array<ShapeWord, 4> shapes{{{SignalShape::middle, "middle"},
                                           {SignalShape::above, "above"},
                                           {SignalShape::below, "below"},
                                           {SignalShape::sound, "sound"}}};

constexpr std::array<std::string_view, 5> forms{"", "SSB", "USB", "NARROWFM", "CENTRE"};
constexpr std::string_view heading = "name\tkind\tform\tshape\twidth_hz\tmeaning\tsource";
constexpr std::int32_t sideband_hz = 3000;
constexpr std::int32_t voice_middle_hz = 1500;

std::optional<EmissionKind> kind_of(std::string_view code) {
    for (const KindWord& k : kinds) {
        if (k.code == code) return k.kind;
    }
    return {};
}

// A number with its decimals, trailing zeros dropped down to `least`.
std::string decimal_words(std::int64_t value, int decimals, std::size_t least) {
    std::string digits = std::to_string(value);
    const auto wanted = static_cast<std::size_t>(decimals);
    if (digits.size() <= wanted) digits.insert(0, wanted + 1 - digits.size(), '0');
    std::string part = digits.substr(digits.size() - wanted);
    while (part.size() > least && part.back() == '0') part.pop_back();
    return digits.substr(0, digits.size() - wanted) + (part.empty() ? "" : "." + part);
}

}  // namespace

std::string_view to_word(EmissionKind kind) {
    return kinds[static_cast<std::size_t>(kind)].word;
}

Result<std::vector<EmissionMode>> parse_emission_modes(std::string_view text) {
    TRY(const RuleTable table, RuleTable::read("emission_modes.tsv", text, heading));
    std::vector<EmissionMode> out;
    for (const RuleTable::Row& row : table.rows()) {
        EmissionMode mode;
        mode.name = row.fields[0];
        const bool twice = std::any_of(out.begin(), out.end(), [&](auto& m) { return m.name == mode.name; });
        if (mode.name.empty() || mode.name != upper(mode.name) || twice) {
            return table.bad(row, "needs a name of its own, in capitals");
        }
        const auto kind = kind_of(row.fields[1]);
        if (!kind) return table.bad(row, "names an unknown kind of emission");
        mode.kind = *kind;
        if (row.fields[2] != "-") mode.form = row.fields[2];
        const auto shape = std::find_if(shapes.begin(), shapes.end(), [&](auto& s) { return s.word == row.fields[3]; });
        if (shape == shapes.end()) return table.bad(row, "must say middle, above, below or sound");
        mode.shape = shape->shape;
        const auto width = whole_number(row.fields[4]);
        if (!width) return table.bad(row, "needs its width in Hz as a whole number");
        mode.width_hz = *width;
        mode.meaning = row.fields[5];
        mode.source = row.fields[6];
        if (mode.meaning.empty() || mode.source.empty()) return table.bad(row, "lacks its meaning or its source");
        out.push_back(std::move(mode));
    }
    return out;
}

const std::vector<EmissionMode>& shipped_emission_modes() {
    static const std::vector<EmissionMode> modes = [] {
        auto parsed = parse_emission_modes(embedded::rules::f_emission_modes_tsv);
        ENSURE(parsed.has_value());
        return std::move(parsed).value();
    }();
    return modes;
}

const EmissionMode* find_emission_mode(std::string_view name) {
    const std::string wanted = upper(name);
    for (const EmissionMode& mode : shipped_emission_modes()) {
        if (mode.name == wanted) return &mode;
    }
    return nullptr;
}

std::string_view customary_sideband(std::int64_t frequency_hz) {
    constexpr Span five_megahertz{5'000'000, 5'500'000};
    return frequency_hz >= 10'000'000 || five_megahertz.holds(frequency_hz) ? "USB" : "LSB";
}

bool AllowedEmission::allows(const EmissionMode& mode) const {
    if (kind && *kind != mode.kind) return false;
    if (form == "SSB") return mode.form == "USB" || mode.form == "LSB";
    if (form == "USB") return mode.form == "USB";
    if (form == "NARROWFM") return mode.form != "FM";
    return true;
}

std::optional<AllowedEmission> parse_allowed_emission(std::string_view text) {
    AllowedEmission out;
    if (const std::size_t colon = text.find(':'); colon != std::string_view::npos) {
        const auto width = whole_number(text.substr(colon + 1));
        if (!width || *width == 0) return {};
        out.width_hz_max = *width;
        text = text.substr(0, colon);
    }
    if (const std::size_t open = text.find('('); open != std::string_view::npos) {
        if (!text.ends_with(')')) return {};
        out.form = text.substr(open + 1, text.size() - open - 2);
        if (out.form.empty() || std::find(forms.begin(), forms.end(), out.form) == forms.end()) return {};
        text = text.substr(0, open);
    }
    if (text == "ANY") return out;
    out.kind = kind_of(text);
    if (!out.kind) return {};
    return out;
}

Span occupied(const EmissionMode& mode, std::int64_t frequency_hz, std::int32_t width_hz,
              std::optional<std::int32_t> tone_hz) {
    const std::int32_t half = (width_hz + 1) / 2;
    std::int32_t low = 0;
    std::int32_t high = std::max(sideband_hz, width_hz);
    switch (mode.shape) {
        case SignalShape::middle:
            return {frequency_hz - half, frequency_hz + half};
        case SignalShape::sound:
            if (tone_hz) {
                low = *tone_hz - half;
                high = *tone_hz + half;
            }
            break;
        case SignalShape::above:
        case SignalShape::below:
            low = std::max(0, tone_hz.value_or(voice_middle_hz) - half);
            high = low + width_hz;
            break;
    }
    if (mode.shape == SignalShape::below) return {frequency_hz - high, frequency_hz - low};
    return {frequency_hz + low, frequency_hz + high};
}

Result<std::int64_t> parse_frequency(std::string_view text) {
    const Error unread{Fault::bad_input, "'" + std::string(text) +
                                             "' is not a frequency; write it as 14.25 (megahertz), 14250 kHz or "
                                             "10.368 GHz."};
    std::string compact;
    for (const char c : upper(text)) {
        if (c != ' ') compact += c;
    }
    struct Unit {
        std::string_view name;
        int decimals;  // of the unit in Hz
    };
    constexpr std::array<Unit, 4> units{{{"GHZ", 9}, {"MHZ", 6}, {"KHZ", 3}, {"HZ", 0}}};
    int decimals = 6;
    bool said = false;
    for (const Unit& unit : units) {
        if (said || !compact.ends_with(unit.name)) continue;
        decimals = unit.decimals;
        compact.resize(compact.size() - unit.name.size());
        said = true;
    }
    const std::size_t point = compact.find('.');
    const std::string whole = compact.substr(0, point);
    std::string part = point == std::string::npos ? "" : compact.substr(point + 1);
    constexpr std::size_t digits_max = 16;
    const std::string all = whole + part;
    const bool digits =
        !whole.empty() && std::all_of(all.begin(), all.end(), [](char c) { return c >= '0' && c <= '9'; });
    if (!digits || part.size() > static_cast<std::size_t>(decimals)) return unread;
    part.append(static_cast<std::size_t>(decimals) - part.size(), '0');
    if (whole.size() + part.size() > digits_max) return unread;
    const std::int64_t hz = std::stoll(whole + part);
    if (!said && hz >= 1'000'000'000) {
        return Error{Fault::bad_input, "Say the unit of " + std::string(text) + ": kHz, MHz or GHz."};
    }
    if (hz == 0) return unread;
    return hz;
}

std::string frequency_words(std::int64_t hz) {
    return decimal_words(hz, 6, 2) + " MHz";
}

std::string width_words(std::int64_t hz) {
    return hz < 1000 ? std::to_string(hz) + " Hz" : decimal_words(hz, 3, 0) + " kHz";
}

}  // namespace ladderline::domain
