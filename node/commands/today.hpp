#pragma once
// The day at a glance: for each way that this node shows, its owner's first, what is to be done or waited for now.

#include "node/commands/way.hpp"

namespace ladderline::node {

// `called_off`: an arranged contact that does not take place for now (is_called_off).
enum class TodayKind : std::uint8_t { next_step, contact, called_off, help, waiting, due };
std::string_view to_word(TodayKind kind);  // "next step", "contact", ...

struct TodayLine {
    TodayKind kind = TodayKind::next_step;
    std::string sentence;
    std::optional<Day> day;  // on which it is, began or runs out
};

struct TodayPart {
    std::string name;  // the newcomer's
    bool is_own = false;
    bool is_resting = false;  // then only contacts that are arranged are told
    std::vector<TodayLine> lines;
};

struct Today {
    Day day;  // in UTC
    std::vector<TodayPart> parts;
    std::string clock = {};  // what speaks against this machine's clock (clock_note.hpp); empty if nothing does
};

inline constexpr std::int32_t today_contact_days = 2;  // arranged contacts up to so many days ahead
inline constexpr std::int32_t today_due_days = 7;      // days that run out

// Nothing in it asks the network.
Result<Today> today(Context& context);

}  // namespace ladderline::node
