#pragma once
// Letters of the alphabet in one case, whatever the locale.

#include <string>
#include <string_view>

namespace ladderline {

// A to Z in small letters; every other byte stays as it is, so that UTF-8 stays whole.
std::string lower(std::string_view text);
// The reverse.
std::string upper(std::string_view text);

constexpr char upper(char c) {
    return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}

}  // namespace ladderline
