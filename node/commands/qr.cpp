#include "node/commands/qr.hpp"

#include <qrencode.h>

#include <memory>

namespace ladderline::node {
namespace {

constexpr int quiet_modules = 4;

// By whether the upper and the lower half are drawn.
constexpr std::string_view blocks[2][2] = {{" ", "\u2584"}, {"\u2580", "\u2588"}};

}  // namespace

bool QrPicture::is_dark(int x, int y) const {
    if (x < 0 || y < 0 || x >= side || y >= side) return false;
    return dark[static_cast<std::size_t>(y * side + x)];
}

Result<QrPicture> qr_picture(std::string_view text, QrCare care) {
    const std::string terminated(text);
    const QRecLevel level = care == QrCare::paper ? QR_ECLEVEL_Q : QR_ECLEVEL_M;
    const std::unique_ptr<QRcode, decltype(&QRcode_free)> code(
        QRcode_encodeString(terminated.c_str(), 0, level, QR_MODE_8, 1), &QRcode_free);
    if (!code) return Error{Fault::bad_input, "No QR code can be made of this; the text says the same."};
    QrPicture out;
    out.side = code->width + 2 * quiet_modules;
    out.dark.assign(static_cast<std::size_t>(out.side * out.side), false);
    for (int y = 0; y < code->width; ++y) {
        for (int x = 0; x < code->width; ++x) {
            const int place = (y + quiet_modules) * out.side + x + quiet_modules;
            out.dark[static_cast<std::size_t>(place)] = (code->data[y * code->width + x] & 1) != 0;
        }
    }
    return out;
}

std::string qr_path(const QrPicture& picture) {
    std::string path;
    for (int y = 0; y < picture.side; ++y) {
        for (int x = 0; x < picture.side; ++x) {
            if (picture.is_dark(x, y)) path += "M" + std::to_string(x) + "," + std::to_string(y) + "h1v1h-1z";
        }
    }
    return path;
}

std::string qr_blocks(const QrPicture& picture, bool on_light_screen) {
    std::string out;
    for (int y = 0; y < picture.side; y += 2) {
        if (y > 0) out += '\n';
        for (int x = 0; x < picture.side; ++x) {
            const bool upper = picture.is_dark(x, y) == on_light_screen;
            const bool lower = picture.is_dark(x, y + 1) == on_light_screen;
            out += blocks[upper ? 1 : 0][lower ? 1 : 0];
        }
    }
    return out;
}

}  // namespace ladderline::node
