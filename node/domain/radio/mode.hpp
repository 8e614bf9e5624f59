#pragma once
// Modes as logs name them: a mode of the standard's list, and a finer name below it where there is one.
// Source: ADIF 3.1.7, Mode enumeration; the pairs of mode and finer name in part from memory.

#include <cstdint>
#include <string>
#include <string_view>

namespace ladderline::domain {

// Contacts are compared by group: one side writes FM, the other SSB, and both spoke.
enum class ModeGroup : std::uint8_t { phone, morse, data };

struct Mode {
    std::string mode;     // upper case: "SSB", "MFSK"
    std::string submode;  // upper case, may be empty: "USB", "FT4"
    bool operator==(const Mode&) const = default;
};

// Upper case, and a finer name that was written where the mode belongs is put right: USB becomes SSB with USB, FT4
// becomes MFSK with FT4. Anything else is kept as it is.
Mode normal_mode(std::string_view mode, std::string_view submode = {});

// One word from which normal_mode makes the mode again: the finer name where the table has it ("USB", "FT4"), else the
// mode.
std::string finest_name(const Mode& mode);

// True if the standard lists it (after normal_mode). An unlisted mode is advice, not an error.
bool is_listed_mode(std::string_view mode);

ModeGroup group_of(const Mode& mode);

}  // namespace ladderline::domain
