#pragma once
// Modes as bands of frequencies: how wide a signal is, and where it lies about the frequency that a radio shows.

#include "node/domain/rules/rule_table.hpp"

namespace ladderline::domain {

// Hz; both ends belong to it.
struct Span {
    std::int64_t low_hz = 0;
    std::int64_t high_hz = 0;

    bool holds(const Span& other) const { return low_hz <= other.low_hz && other.high_hz <= high_hz; }
    bool holds(std::int64_t hz) const { return low_hz <= hz && hz <= high_hz; }
    bool operator==(const Span&) const = default;
};

enum class EmissionKind : std::uint8_t { cw, mcw, phone, image, rtty, data, ss };
std::string_view to_word(EmissionKind kind);

enum class SignalShape : std::uint8_t { middle, above, below, sound };

struct EmissionMode {
    std::string name;  // upper case
    EmissionKind kind = EmissionKind::cw;
    std::string form;  // "USB", "LSB", "AM", "FM", "PM1" (FM of index 1 at most), "DV"; empty: none
    SignalShape shape = SignalShape::middle;
    std::int32_t width_hz = 0;  // as usually sent; 0: it has to be said
    std::string meaning;
    std::string source;
};

Result<std::vector<EmissionMode>> parse_emission_modes(std::string_view text);
const std::vector<EmissionMode>& shipped_emission_modes();
// In either case. "SSB" is not a mode of its own: which sideband it is follows from the frequency by custom.
const EmissionMode* find_emission_mode(std::string_view name);
// USB from 10 MHz on and on 5 MHz, LSB else (common practice, no source).
std::string_view customary_sideband(std::int64_t frequency_hz);

// What one line of a rule book allows of a kind.
struct AllowedEmission {
    std::optional<EmissionKind> kind;  // none: every kind
    std::string form;                  // "SSB", "USB", "NARROWFM", "CENTRE"; empty: any
    std::int32_t width_hz_max = 0;     // 0: no limit of its own

    bool allows(const EmissionMode& mode) const;  // width and place apart
};
// "CW", "PHONE(SSB)", "DATA:2800", "PHONE(USB):2800", "ANY:6000". None if it is not such a word.
std::optional<AllowedEmission> parse_allowed_emission(std::string_view text);

// The band that a signal takes, when the radio shows `frequency_hz`. `tone_hz`: the middle of a sound-card signal above
// the carrier; without it a sound signal may lie anywhere in the 3 kHz of its sideband. Speech is centred on 1500 Hz.
Span occupied(const EmissionMode& mode, std::int64_t frequency_hz, std::int32_t width_hz,
              std::optional<std::int32_t> tone_hz);

// "14.25", "14.25 MHz", "14250 kHz", "10.368 GHz": megahertz without a unit, and below 1000 then.
Result<std::int64_t> parse_frequency(std::string_view text);
// "14.25 MHz"; at least two decimals.
std::string frequency_words(std::int64_t hz);
// "2.8 kHz", "150 Hz".
std::string width_words(std::int64_t hz);

}  // namespace ladderline::domain
