#pragma once
// QR codes (ISO/IEC 18004) of short texts: as squares, as a drawing for pages, as blocks for a terminal.

#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/result.hpp"

namespace ladderline::node {

// Lowest share of the code that may be unreadable: about a seventh, or a quarter for paper that gets creased.
enum class QrCare : std::uint8_t { screen, paper };

struct QrPicture {
    int side = 0;            // modules, with the margin of 4 that the standard asks for
    std::vector<bool> dark;  // row by row, side * side

    bool is_dark(int x, int y) const;  // light outside
};

// bad_input for an empty text or one that no code holds.
Result<QrPicture> qr_picture(std::string_view text, QrCare care);

// The dark modules as the data of an SVG path, a unit square each.
std::string qr_path(const QrPicture& picture);

// Lines of half blocks, two rows of modules a line. On a dark screen the light modules are drawn, on a light screen
// the dark ones.
std::string qr_blocks(const QrPicture& picture, bool on_light_screen);

}  // namespace ladderline::node
