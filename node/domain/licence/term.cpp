#include "node/domain/licence/term.hpp"

namespace ladderline::domain {

std::optional<Day> expiry_of(const KnownDates& known, const Clocks& clocks) {
    if (known.licence_expires) return known.licence_expires;
    if (known.grant) return licence_expiry(*known.grant, clocks);
    return {};
}

bool licence_ended(const KnownDates& known, const Clocks& clocks, Day today) {
    const auto expiry = expiry_of(known, clocks);
    return expiry && must_be_silent(*expiry, today);
}

bool licence_lapsed(const KnownDates& known, const Clocks& clocks, Day day) {
    const auto expiry = expiry_of(known, clocks);
    return expiry && day > grace_ends(*expiry, clocks);
}

bool first_licence_pending(const KnownDates& known, const Clocks& clocks) {
    if (!known.exam_passed || known.licensed_at_exam) return false;
    if (!known.grant) return true;
    return *known.grant < *known.exam_passed && licence_lapsed(known, clocks, *known.exam_passed);
}

void take_licence(KnownDates& known, std::optional<Day> granted, std::optional<Day> expires, const Clocks& clocks) {
    if (granted) {
        const auto end = expiry_of(known, clocks);
        const bool begins_anew = end && *granted > *end;
        if (begins_anew) known.licence_expires.reset();
        if (begins_anew || !known.grant || *granted < *known.grant) known.grant = granted;
    }
    if (expires) known.licence_expires = expires;
}

}  // namespace ladderline::domain
