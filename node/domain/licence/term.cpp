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
