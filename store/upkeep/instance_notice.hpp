#pragma once
// What a person has to know about a store that is older than it was.

#include <string_view>

namespace ladderline::store {

inline constexpr std::string_view older_store_words =
    "Let it sync before you write. Invites and courier codes of before let nobody in any more; make new ones. Whoever "
    "joined since then is not known here yet: invite them again.";

}  // namespace ladderline::store
