#pragma once
// "May I transmit here?": the control operator's class, the frequency that the radio shows, the mode and the power,
// held against a rule book. The whole signal counts, not the dial. Pure; the rule in force decides, this only reminds.

#include "node/domain/rules/rule_book.hpp"

namespace ladderline::domain {

enum class Verdict : std::uint8_t { yes, no, not_known };
std::string_view to_word(Verdict verdict);

struct TransmitAsk {
    std::string control_class;  // code or name of the control operator's class; empty: no licence
    // An upgrade passed and handed in, which the register does not show yet.
    std::string pending_class = {};
    std::int64_t frequency_hz = 0;  // as the radio shows it
    std::string mode;               // of emission_modes.tsv, or "SSB" for the customary sideband
    std::optional<std::int32_t> width_hz = {};
    std::optional<std::int32_t> tone_hz = {};  // the middle of a sound-card signal above the carrier
    std::optional<double> power_w = {};        // peak envelope power at the transmitter; without it: how much may it be
    std::optional<double> gain_dbd = {};       // antenna over a half-wave dipole, feed line taken off
    bool guest_speaks = false;                 // somebody without a licence
    bool operator_stays = true;                // at the control point, watching, all the time
    bool to_other_country = false;
};

struct PowerLimit {
    double watts = 0;
    PowerBasis basis = PowerBasis::pep;
};

struct TransmitAnswer {
    Verdict verdict = Verdict::not_known;
    std::string reason;                      // one sentence
    std::string rule;                        // sections; "-" if none is known
    Day as_of;                               // the oldest of the lines used
    Span signal;                             // what was looked at
    std::string mode;                        // after the sideband was chosen
    std::vector<PowerLimit> limits;          // that hold there; empty where nothing is allowed
    std::optional<std::int64_t> nearest_hz;  // dial, same class, mode and width; none if it is here, or nowhere
    std::string indicator;                   // to be added to the call sign; empty: none
    std::vector<std::string> remarks;        // sentences
};

// bad_input: unknown class or mode, a width that has to be said, power or width that make no sense.
Result<TransmitAnswer> may_transmit(const RuleBook& book, const TransmitAsk& ask);

// "1500 W PEP", "9.15 W ERP".
std::string power_words(const PowerLimit& limit);

}  // namespace ladderline::domain
