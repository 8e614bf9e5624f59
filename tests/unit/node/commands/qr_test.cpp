#include "node/commands/qr.hpp"

#include <doctest/doctest.h>
#include <qrencode.h>

#include <memory>

namespace ladderline::test {
namespace {

using node::QrCare;
using node::QrPicture;

const std::string code = "LADDER-0123456789ABCDEFGHJKMNPQRSTVWXYZ0123456789ABCDEFGHJKMNPQRSTVWXYZ0123456789AB";

// The modules that a drawing in half blocks shows as drawn: two rows a line.
std::vector<std::string> rows_of(const std::string& blocks) {
    std::vector<std::string> rows{{}, {}};
    for (std::size_t i = 0; i < blocks.size();) {
        if (blocks[i] == '\n') {
            rows.resize(rows.size() + 2);
            ++i;
            continue;
        }
        const bool space = blocks[i] == ' ';
        const std::string glyph = blocks.substr(i, space ? 1 : 3);
        i += glyph.size();
        const bool upper = glyph == "\u2588" || glyph == "\u2580";
        const bool lower = glyph == "\u2588" || glyph == "\u2584";
        REQUIRE((space || upper || lower));
        rows[rows.size() - 2] += upper ? '#' : '.';
        rows[rows.size() - 1] += lower ? '#' : '.';
    }
    return rows;
}

TEST_CASE("the picture is the library's own code inside a light margin of four modules") {
    const QrPicture picture = node::qr_picture(code, QrCare::screen).value();
    const std::unique_ptr<QRcode, decltype(&QRcode_free)> own(
        QRcode_encodeString(code.c_str(), 0, QR_ECLEVEL_M, QR_MODE_8, 1), &QRcode_free);
    REQUIRE(picture.side == own->width + 8);
    for (int y = 0; y < picture.side; ++y) {
        for (int x = 0; x < picture.side; ++x) {
            const bool inside = x >= 4 && y >= 4 && x < own->width + 4 && y < own->width + 4;
            const bool dark = inside && (own->data[(y - 4) * own->width + x - 4] & 1) != 0;
            REQUIRE(picture.is_dark(x, y) == dark);
        }
    }
}

TEST_CASE("blocks show the light modules on a dark screen and the dark ones on a light screen") {
    const QrPicture picture = node::qr_picture(code, QrCare::screen).value();
    for (const bool light_screen : {false, true}) {
        CAPTURE(light_screen);
        const auto rows = rows_of(node::qr_blocks(picture, light_screen));
        REQUIRE(rows.size() == static_cast<std::size_t>(picture.side + picture.side % 2));
        for (int y = 0; y < picture.side; ++y) {
            const std::string& row = rows[static_cast<std::size_t>(y)];
            REQUIRE(row.size() == static_cast<std::size_t>(picture.side));
            for (int x = 0; x < picture.side; ++x) {
                REQUIRE((row[static_cast<std::size_t>(x)] == '#') == (picture.is_dark(x, y) == light_screen));
            }
        }
    }
}

TEST_CASE("the path of a page has one square for each dark module") {
    const QrPicture picture = node::qr_picture(code, QrCare::screen).value();
    std::string expected;
    for (int y = 0; y < picture.side; ++y) {
        for (int x = 0; x < picture.side; ++x) {
            if (picture.is_dark(x, y)) expected += "M" + std::to_string(x) + "," + std::to_string(y) + "h1v1h-1z";
        }
    }
    CHECK(node::qr_path(picture) == expected);
}

TEST_CASE("an invite's code fits a screen of eighty columns") {
    CHECK(node::qr_picture(code, QrCare::screen).value().side <= 80);
}

TEST_CASE("a text that no code holds is refused") {
    CHECK(node::qr_picture("", QrCare::screen).error().fault() == Fault::bad_input);
    CHECK(node::qr_picture(std::string(5000, 'x'), QrCare::screen).error().fault() == Fault::bad_input);
}

}  // namespace
}  // namespace ladderline::test
