#pragma once
// Where one mode may go: the lines of a rule book that allow it, joined where they touch.

#include "node/domain/rules/rule_book.hpp"

namespace ladderline::domain {

// Why a signal does not fit, for people.
struct SpanRefusal {
    std::string sentence;
    std::string rule;  // "-" if no line is near
    Day as_of;
    Span signal;
};

// Looks at a rule book; the book and the mode must outlive it.
class AllowedSpans {
public:
    // `width_hz` empty: as the mode is usually sent, or narrower where a line asks for it.
    AllowedSpans(const RuleBook& book, const EmissionMode& mode, std::optional<std::int32_t> width_hz);

    struct Fit {
        Span signal;
        std::int32_t width_hz = 0;            // for which it fits
        std::vector<const Privilege*> lines;  // that hold it together
    };
    // The signal lies inside lines that allow it to the class. `certain_only`: lines that were not checked do not
    // count.
    std::optional<Fit> fit(const LicenceClass& holder, std::int64_t dial_hz, std::optional<std::int32_t> tone_hz,
                           bool certain_only) const;
    SpanRefusal refusal(const LicenceClass& holder, std::int64_t dial_hz, std::optional<std::int32_t> tone_hz) const;
    // The nearest dial setting at which it fits, among lines that were checked.
    std::optional<std::int64_t> nearest(const LicenceClass& holder, std::int64_t dial_hz,
                                        std::optional<std::int32_t> tone_hz) const;

private:
    struct Use {
        const Privilege* line = nullptr;
        const AllowedEmission* emission = nullptr;
    };
    std::vector<Use> uses(const LicenceClass& holder, bool certain_only) const;
    std::optional<std::vector<const Privilege*>> cover(const std::vector<Use>& uses, const Span& signal,
                                                       std::int32_t width_hz) const;
    std::int32_t width_on(const Use& use) const;
    std::vector<std::int32_t> widths(const std::vector<Use>& uses) const;

    const RuleBook& book_;
    const EmissionMode& mode_;
    std::optional<std::int32_t> width_hz_;
};

}  // namespace ladderline::domain
