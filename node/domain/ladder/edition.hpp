#pragma once
// A ladder edition: who owns it, its stages in order and their items. A newcomer's way is one edition plus
// statements about its items (record.hpp). The file format stands at the head of edition_text.cpp.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/result.hpp"

namespace ladderline::domain {

// Stage and running number in it, written "09.06". An id is never given to another item, in any later edition.
struct ItemId {
    std::uint8_t stage = 0;   // 0..99
    std::uint8_t number = 0;  // 1..99
    auto operator<=>(const ItemId&) const = default;
};

std::string to_text(ItemId id);
// Exactly "SS.NN". For what a person types, see find_by_input.
Result<ItemId> parse_item_id(std::string_view text);

// The items that rules name. An edition without one of them cannot open the gate that asks for it.
namespace known_item {
inline constexpr ItemId guardian_agrees{0, 5};
inline constexpr ItemId second_adult_named{0, 6};
inline constexpr ItemId public_address{2, 2};
inline constexpr ItemId session_chosen{2, 4};
inline constexpr ItemId exam_passed{3, 8};
inline constexpr ItemId fee_notice_seen{4, 1};
inline constexpr ItemId fee_paid{4, 3};
inline constexpr ItemId grant_visible{4, 6};
inline constexpr ItemId site_walk{7, 1};
inline constexpr ItemId second_person_at_antenna{7, 2};
inline constexpr ItemId exposure_sheet{7, 12};
inline constexpr ItemId station_looked_over{7, 17};
inline constexpr ItemId grant_and_frequency_checked{9, 4};
inline constexpr ItemId first_contact{9, 6};
inline constexpr ItemId second_contact{9, 11};
inline constexpr ItemId ten_contacts{10, 11};
inline constexpr ItemId antenna_up{13, 3};
inline constexpr ItemId exposure_sheet_hf{13, 4};
inline constexpr ItemId exposure_sheet_data{14, 4};
inline constexpr ItemId upgrade_passed{18, 5};
inline constexpr ItemId exposure_sheet_upgrade{18, 7};
}  // namespace known_item

enum class ItemKind : std::uint8_t { checklist, skill, milestone };

// Who ticks. `mentor` in a stage whose walker is the mentor (becoming a mentor) means the person whose way it is.
enum class TickWord : std::uint8_t { newcomer, mentor, guardian, club };

// Whose word confirms. Which seats of the circle may record it: rights.hpp.
enum class SignWord : std::uint8_t {
    none,
    mentor,
    instructor,
    examiner,
    net_control,
    event_lead,
    guardian,
    second_person,
    other_station,
    club,
    household,
};

enum class ItemGate : std::uint8_t {
    none,
    grant,     // not before the own call sign is in the public register, unless it was done as a guest
    minor,     // one of the two items that must stand before somebody under 18 is paired
    exposure,  // an exposure sheet: worked out before the station's first transmission, again after a change
};

// When a signed item has to be looked at again.
enum class Recheck : std::uint8_t {
    never,
    each_change,   // power, antenna or place changed
    each_site,     // place changed
    each_time,     // every time it is done; the last date stands only for that day
    each_outing,   // as each_time
    yearly,        // 365 days
    seasonal,      // 91 days
    clock_change,  // when summer time begins or ends
    upgrade,       // when a higher licence class is granted
};

enum class AppliesTo : std::uint8_t { all, minor };

// The word used in the file and on screen: "milestone", "net-control", "each-change", ...
std::string_view to_word(ItemKind kind);
std::string_view to_word(TickWord word);
std::string_view to_word(SignWord word);
std::string_view to_word(ItemGate gate);    // none is empty
std::string_view to_word(Recheck recheck);  // never is empty
std::string_view to_word(AppliesTo applies);

struct Item {
    ItemId id;
    std::string text;
    ItemKind kind = ItemKind::checklist;
    TickWord ticks = TickWord::newcomer;
    SignWord signs = SignWord::none;
    std::string evidence;
    bool safety = false;
    std::string note;
    ItemGate gate = ItemGate::none;
    AppliesTo applies = AppliesTo::all;
    Recheck recheck = Recheck::never;
    bool only_if_needed = false;  // speaks of a case that may never come; holds no stage open, is never the next step

    bool operator==(const Item&) const = default;
};

// Under which name the owner of the way walks a stage.
enum class Walker : std::uint8_t { newcomer, mentor };

struct Stage {
    std::uint8_t number = 0;
    std::string title;
    Walker walker = Walker::newcomer;

    bool operator==(const Stage&) const = default;
};

struct Edition {
    std::string name;
    std::string edition;
    std::string owner;           // "shipped", or whoever published it
    bool local_changes = false;  // may a mentor and newcomer add or swap items
    std::vector<Stage> stages;   // ascending
    std::vector<Item> items;     // ascending by id

    bool operator==(const Edition&) const = default;

    const Item* find(ItemId id) const;              // null if this edition has no such item
    const Stage* stage(std::uint8_t number) const;  // null if this edition has no such stage
    // The owner of the way walks this item's stage as a mentor.
    bool walked_as_mentor(ItemId id) const;
};

// Strict. `stages` may hold the stage lines of `text` apart from it. The first bad line is named by its number.
Result<Edition> parse_edition(std::string_view text, std::string_view stages = {});

// One text that parse_edition reads back to an equal value.
std::string to_text(const Edition& edition);

// The edition that comes with the program.
const Edition& shipped_edition();

// Forgiving: "9.6", "09.06", "09-06", "9 6", or a piece of the item's words, any case, that only one item has
// (several words: each must occur). Not found and "which one" are sentences; the latter lists up to three items.
Result<const Item*> find_by_input(const Edition& edition, std::string_view input);

}  // namespace ladderline::domain
