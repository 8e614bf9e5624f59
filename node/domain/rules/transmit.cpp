#include "node/domain/rules/transmit.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "node/domain/rules/allowed_spans.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr double eirp_of_erp = 1.64;  // a half-wave dipole over an isotropic radiator, 2.15 dB

struct Read {
    const LicenceClass* holder = nullptr;   // null: no licence
    const LicenceClass* pending = nullptr;  // null: none
    const EmissionMode* mode = nullptr;
};

Result<const EmissionMode*> mode_asked(const TransmitAsk& ask) {
    std::string name = ask.mode;
    std::string upper;
    for (const char c : name) upper += static_cast<char>(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c);
    if (upper == "SSB" || upper == "PHONE") upper = customary_sideband(ask.frequency_hz);
    const EmissionMode* mode = find_emission_mode(upper);
    if (mode == nullptr) {
        std::string known;
        for (const EmissionMode& m : shipped_emission_modes()) known += (known.empty() ? "" : ", ") + m.name;
        return Error{Fault::bad_input, "There is no mode '" + ask.mode + "' here; there are SSB, " + known + "."};
    }
    if (mode->width_hz == 0 && !ask.width_hz) {
        return Error{Fault::bad_input, "Say how wide the signal is, in Hz: " + mode->name + " tells nothing of it."};
    }
    return mode;
}

Result<const LicenceClass*> class_asked(const RuleBook& book, const std::string& word) {
    if (word.empty() || word == "none") return static_cast<const LicenceClass*>(nullptr);
    if (const LicenceClass* found = book.find_class(word)) return found;
    std::string known;
    for (const LicenceClass& c : book.classes) known += (known.empty() ? "" : ", ") + c.code + " (" + c.name + ")";
    return Error{Fault::bad_input, "There is no class '" + word + "' in " + book.fact("name").value + "; there are " +
                                       known + ", and none."};
}

Result<Read> read_ask(const RuleBook& book, const TransmitAsk& ask) {
    constexpr std::int32_t width_hz_max = 100'000'000;
    constexpr std::int32_t tone_hz_max = 20'000;
    constexpr double gain_max = 60;
    Read out;
    TRY(out.mode, mode_asked(ask));
    TRY(out.holder, class_asked(book, ask.control_class));
    TRY(out.pending, class_asked(book, ask.pending_class));
    if (ask.frequency_hz <= 0) return Error{Fault::bad_input, "Say the frequency, as 14.25 (megahertz)."};
    if (ask.width_hz && (*ask.width_hz < 1 || *ask.width_hz > width_hz_max)) {
        return Error{Fault::bad_input, "A signal is between 1 Hz and 100 MHz wide."};
    }
    if (ask.tone_hz && (*ask.tone_hz < 1 || *ask.tone_hz > tone_hz_max)) {
        return Error{Fault::bad_input, "The tone is between 1 and 20000 Hz above the carrier."};
    }
    if (ask.power_w && !(*ask.power_w > 0 && *ask.power_w < 1e7)) {
        return Error{Fault::bad_input, "Say the power in watts, as 100."};
    }
    if (ask.gain_dbd && !(std::abs(*ask.gain_dbd) <= gain_max)) {
        return Error{Fault::bad_input, "An antenna's gain is between -60 and 60 dB over a half-wave dipole."};
    }
    return out;
}

class Judge {
public:
    Judge(const RuleBook& book, const TransmitAsk& ask, const EmissionMode& mode)
        : book_(book), ask_(ask), mode_(mode), spans_(book, mode, ask.width_hz) {}

    TransmitAnswer judge(const LicenceClass& holder) {
        TransmitAnswer out = place(holder);
        if (out.verdict == Verdict::no) {
            out.nearest_hz = spans_.nearest(holder, ask_.frequency_hz, ask_.tone_hz);
            return out;
        }
        weigh_power(out);
        return out;
    }

private:
    // Whether the signal lies inside what the class may use, apart from its power.
    TransmitAnswer place(const LicenceClass& holder) {
        TransmitAnswer out;
        out.mode = mode_.name;
        for (const bool certain_only : {true, false}) {
            const auto fit = spans_.fit(holder, ask_.frequency_hz, ask_.tone_hz, certain_only);
            if (!fit) continue;
            out.signal = fit->signal;
            take_lines(out, fit->lines);
            if (!ask_.width_hz && fit->width_hz < mode_.width_hz) {
                out.remarks.push_back("Counted as no wider than " + width_words(fit->width_hz) +
                                      ", the most that is allowed there; keep to it.");
            }
            if (certain_only) {
                out.verdict = Verdict::yes;
                out.reason = holder.name + ": " + mode_.name + " on " + frequency_words(ask_.frequency_hz) +
                             " lies inside what the class may use.";
            } else {
                out.verdict = Verdict::not_known;
                out.reason = "A line of the rule book that allows this to " + holder.name +
                             " was not checked against the rule in force; ask, or read the rule.";
            }
            return out;
        }
        out.verdict = Verdict::no;
        const SpanRefusal why = spans_.refusal(holder, ask_.frequency_hz, ask_.tone_hz);
        out.signal = why.signal;
        out.reason = why.sentence;
        out.rule = why.rule;
        out.as_of = why.as_of;
        return out;
    }

    static void take_lines(TransmitAnswer& out, const std::vector<const Privilege*>& lines) {
        for (const Privilege* line : lines) {
            const bool first = out.rule.empty();
            if (first) out.as_of = line->source.as_of;
            out.as_of = std::min(out.as_of, line->source.as_of);
            if (out.rule.find(line->source.rule) == std::string::npos) {
                out.rule += (first ? "" : "; ") + line->source.rule;
            }
            if (!line->source.note.empty()) out.remarks.push_back(line->source.note + ".");
            const auto same = std::find_if(out.limits.begin(), out.limits.end(),
                                           [&](const PowerLimit& l) { return l.basis == line->basis; });
            if (same == out.limits.end()) {
                out.limits.push_back({line->power_w, line->basis});
            } else {
                same->watts = std::min(same->watts, line->power_w);
            }
        }
    }

    double at_antenna(double watts, PowerBasis basis) const {
        if (basis == PowerBasis::pep) return watts;
        const double erp = watts * std::pow(10.0, ask_.gain_dbd.value_or(0) / 10.0);
        return basis == PowerBasis::erp ? erp : erp * eirp_of_erp;
    }

    void weigh_power(TransmitAnswer& out) const {
        const bool radiated =
            std::any_of(out.limits.begin(), out.limits.end(), [](auto& l) { return l.basis != PowerBasis::pep; });
        if (radiated && !ask_.gain_dbd) {
            out.remarks.emplace_back(
                "The limit holds at the antenna, which was counted as a half-wave dipole without losses; say its gain "
                "otherwise.");
        }
        if (!ask_.power_w) return;
        for (const PowerLimit& limit : out.limits) {
            const double watts = at_antenna(*ask_.power_w, limit.basis);
            if (watts <= limit.watts * (1 + 1e-9)) continue;
            out.verdict = Verdict::no;
            const std::string much = power_words({watts, limit.basis});
            const std::string most = power_words(limit);
            out.reason = "The place and the mode are right, but " +
                         (much == most ? "that is a little more" : much + " is more") + " than the " + most +
                         " that are allowed there.";
            return;
        }
    }

    const RuleBook& book_;
    const TransmitAsk& ask_;
    const EmissionMode& mode_;
    AllowedSpans spans_;
};

TransmitAnswer without_licence(const RuleBook& book, const TransmitAsk& ask, const Read& read) {
    const CountryFact& rule = book.fact("control-operator");
    TransmitAnswer out;
    out.verdict = Verdict::no;
    out.rule = rule.source.rule;
    out.as_of = rule.source.as_of;
    out.mode = read.mode->name;
    out.reason = "Nobody transmits without a control operator whose licence stands in the register of the " +
                 book.fact("regulator").value + ".";
    if (read.pending != nullptr) {
        out.reason += " A certificate of a passed exam is no licence; a first licence begins with its entry there.";
    }
    if (book.fact("guest").value == "yes" && book.fact("guest").source.certain) {
        out.remarks.push_back("As a guest you may speak at once, while a licensed control operator stays beside you (" +
                              book.fact("guest").source.rule + "); ask with that person's class.");
    }
    out.signal = occupied(*read.mode, ask.frequency_hz, ask.width_hz.value_or(read.mode->width_hz), ask.tone_hz);
    return out;
}

// Somebody without a licence speaks: what has to hold beside the place and the power.
void weigh_guest(const RuleBook& book, const TransmitAsk& ask, TransmitAnswer& out) {
    if (!ask.guest_speaks || out.verdict == Verdict::no) return;
    const CountryFact& guest = book.fact("guest");
    out.rule += "; " + guest.source.rule;
    out.as_of = std::min(out.as_of, guest.source.as_of);
    if (guest.value != "yes" || !guest.source.certain) {
        out.verdict = Verdict::not_known;
        out.reason = "Whether a guest may speak there was not checked; ask the " + book.fact("regulator").value + ".";
        return;
    }
    if (!ask.operator_stays) {
        out.verdict = Verdict::no;
        out.reason = "A guest speaks only while the control operator stays at the control point and supervises.";
        return;
    }
    out.remarks.emplace_back(
        "The call sign sent is the station's. Nobody whose own licence was revoked may be a guest.");
    if (!ask.to_other_country) return;
    const CountryFact& abroad = book.fact("guest-abroad");
    out.rule += "; " + abroad.source.rule;
    out.verdict = Verdict::not_known;
    out.reason =
        "A guest may speak to another country only where there is an agreement with it; look that up with the " +
        book.fact("regulator").value + " first.";
}

// The old class where it will do; else the new one, with its indicator.
TransmitAnswer with_pending(const RuleBook& book, Judge& judge, TransmitAnswer old_class, const Read& read) {
    const CountryFact& rule = book.fact("pending-upgrade");
    const bool upgrade = read.pending != nullptr && book.rank(*read.pending) > book.rank(*read.holder);
    if (!upgrade) return old_class;
    if (old_class.verdict == Verdict::yes) {
        old_class.remarks.emplace_back(
            "Your class in the register allows this already, so nothing is added to the call sign.");
        return old_class;
    }
    TransmitAnswer out = judge.judge(*read.pending);
    if (out.verdict != Verdict::yes) return out;
    out.rule += "; " + rule.source.rule + "; " + read.pending->source.rule;
    out.as_of = std::min(out.as_of, rule.source.as_of);
    if (rule.value != "yes" || !rule.source.certain || read.pending->indicator.empty()) {
        out.verdict = Verdict::not_known;
        out.reason =
            "Whether a pending upgrade may be used was not checked; ask the " + book.fact("regulator").value + ".";
        return out;
    }
    out.indicator = read.pending->indicator;
    out.reason += " It is a right of the pending class: add " + out.indicator + " to the call sign.";
    out.remarks.emplace_back(
        "Only if the application was handed to the exam team with the pass, and until the register shows the new "
        "class, "
        "at the latest for 365 days.");
    return out;
}

}  // namespace

std::string_view to_word(Verdict verdict) {
    switch (verdict) {
        case Verdict::yes:
            return "yes";
        case Verdict::no:
            return "no";
        case Verdict::not_known:
            break;
    }
    return "not known";
}

std::string power_words(const PowerLimit& limit) {
    char watts[32];
    std::snprintf(watts, sizeof watts, "%.6g", std::round(limit.watts * 100) / 100);
    const std::string out = std::string(watts) + " W ";
    switch (limit.basis) {
        case PowerBasis::pep:
            return out + "PEP";
        case PowerBasis::erp:
            return out + "ERP";
        case PowerBasis::eirp:
            break;
    }
    return out + "EIRP";
}

Result<TransmitAnswer> may_transmit(const RuleBook& book, const TransmitAsk& ask) {
    TRY(const Read read, read_ask(book, ask));
    if (read.holder == nullptr) return without_licence(book, ask, read);
    Judge judge(book, ask, *read.mode);
    TransmitAnswer out = with_pending(book, judge, judge.judge(*read.holder), read);
    weigh_guest(book, ask, out);
    if (out.verdict == Verdict::yes && book.fact("least-power").value == "yes") {
        out.remarks.push_back(book.fact("least-power").source.note + " (" + book.fact("least-power").source.rule +
                              ").");
    }
    return out;
}

}  // namespace ladderline::domain
