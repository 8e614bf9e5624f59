#pragma once
// What people said about an item, and what follows from it. A tick is the newcomer's word and a sign-off the
// witness's: two facts that never overwrite one another. The state is a pure function of the set of statements.

#include <cstdint>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "node/domain/ladder/edition.hpp"
#include "protocol/base/bytes.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

using PersonId = FixedBytes<struct PersonIdTag, 32>;        // the member's identity in a circle
using StatementId = FixedBytes<struct StatementIdTag, 32>;  // the event that carries the statement

// A seat in a circle. Numbers are stored: append only.
enum class Role : std::uint8_t { newcomer = 0, mentor = 1, guardian = 2, second_adult = 3, officer = 4 };

std::string_view to_word(Role role);  // "newcomer", "mentor", "guardian", "second adult", "officer"

// Level of a skill. Only with_help and above are signed.
enum class Level : std::uint8_t { none = 0, seen = 1, with_help = 2, alone = 3, taught_it = 4 };

std::string_view to_word(Level level);  // "", "seen", "with help", "alone", "taught it"
// The words above, or the digits 1 to 4.
Result<Level> parse_level(std::string_view text);

// Numbers are stored: append only.
enum class StatementKind : std::uint8_t {
    tick = 0,      // done, says the person whose item it is
    untick = 1,    // takes back the same author's earlier ticks
    sign = 2,      // confirmed, says a witness
    withdraw = 3,  // takes back one of the author's own signatures, named by `about`
    assign = 4,    // please take this next
    skip = 5,      // not for me, no reason asked
    rest = 6,      // not now, no reason asked
    reopen = 7,    // ends a skip or rest; else to be looked at again: earlier ticks and signatures no longer stand
};

struct Statement {
    StatementId id;
    StatementKind kind = StatementKind::tick;
    ItemId item;
    PersonId author;
    Role role = Role::newcomer;  // the seat in which the author spoke
    Level level = Level::none;   // of a skill: sign, or the ticker's own view
    Day day;                     // the day it is about
    WallTime said;               // what the author's clock showed
    std::string text;            // evidence, or the reason of a withdrawal or reopening
    StatementId about;           // withdraw: the signature taken back; else zero
    std::uint32_t count = 0;     // tells what was said under one reading of the clock apart, in order

    bool operator==(const Statement&) const = default;
};

// Order in which statements count: time said with its count, then id. A node that follows a clock that runs ahead says
// all it says until then under one reading.
bool counts_before(const Statement& a, const Statement& b);

enum class Phase : std::uint8_t { open, ticked, is_signed, withdrawn, reopened, resting, skipped };

std::string_view to_word(Phase phase);  // "open", "ticked", "signed", "withdrawn", "re-opened", "resting", "skipped"

// Who, when, at which level.
struct Mark {
    StatementId id;
    PersonId author;
    Role role = Role::newcomer;
    Level level = Level::none;
    Day day;
    WallTime said;
    std::string text;
    std::uint32_t count = 0;  // as of Statement

    bool operator==(const Mark&) const = default;
};

struct ItemState {
    Phase phase = Phase::open;
    std::optional<Mark> tick;        // the latest that stands
    std::optional<Mark> signature;   // of those that stand the one of the highest level, then the earliest
    std::vector<Mark> signatures;    // all that stand, in order
    std::optional<Mark> withdrawal;  // the latest withdrawal of a signature
    std::optional<Mark> reopening;   // the latest
    std::optional<Mark> assigned;    // the latest; stays after the item is done
    std::optional<Mark> set_aside;   // the skip or rest in force

    bool operator==(const ItemState&) const = default;

    // Nothing stands and it was not set aside: open, withdrawn or re-opened.
    bool needs_doing() const;
    // Ticked or signed, whatever was set aside since.
    bool reached() const { return tick.has_value() || signature.has_value(); }
    // The signed level, or none. What the newcomer says of themselves is in tick->level.
    Level signed_level() const { return signature ? signature->level : Level::none; }
    // The day of the signature, else of the tick.
    std::optional<Day> reached_on() const;
    // A signature stands whose author is neither `owner` nor the ticker.
    bool confirmed_by_another(const PersonId& owner) const;
};

// Statements about one item, in any order, repeats allowed (same id: counted once).
// A withdrawal counts only against a signature of the same author; a signature that has not arrived yet is met later.
// What was opened again is ticked again before a signature counts.
ItemState derive(std::span<const Statement> statements);

using States = std::map<ItemId, ItemState>;

// Statements about any items. Items nobody spoke of are absent; see state_of.
States derive_all(std::span<const Statement> statements);

// The state of `id`, open if nobody spoke of it.
const ItemState& state_of(const States& states, ItemId id);

}  // namespace ladderline::domain
