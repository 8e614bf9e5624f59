#pragma once
// When the licence ends: one answer for the clocks, the steps, the rule book and the arranged contacts.

#include "node/domain/licence/clocks.hpp"

namespace ladderline::domain {

// The end that the register names, else a whole term from the grant; empty: nothing is known of a licence.
std::optional<Day> expiry_of(const KnownDates& known, const Clocks& clocks);

// Its holder must be silent (47 CFR 97.21(b)). Of what nothing is known, nothing has ended.
bool licence_ended(const KnownDates& known, const Clocks& clocks, Day today);

// On `day` it had ended for longer than it can be renewed: whoever passes then begins with a first licence again.
bool licence_lapsed(const KnownDates& known, const Clocks& clocks, Day day);

// The latest pass is no upgrade, and no grant has answered it yet: of a first licence, or of one after another lapsed.
bool first_licence_pending(const KnownDates& known, const Clocks& clocks);

// The register showed a licence that was granted on `granted` and ends on `expires` (empty: it was not said). Within a
// term (a higher class, another call sign) the grant and the end stay, unless an earlier grant or another end is named;
// a grant after the end known so far begins a new term, of which the old end says nothing.
void take_licence(KnownDates& known, std::optional<Day> granted, std::optional<Day> expires, const Clocks& clocks);

}  // namespace ladderline::domain
