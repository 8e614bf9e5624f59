#include "protocol/sync/armour.hpp"

#include <optional>

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

constexpr std::string_view begins = "LADDERLINE-BUNDLE-BEGINS";
constexpr std::string_view ends = "LADDERLINE-BUNDLE-ENDS";
constexpr std::size_t line_characters = 64;
constexpr std::string_view alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

std::string check_of(ByteView bytes) {
    struct CheckTag;
    using Check = FixedBytes<CheckTag, 16>;
    return to_hex(hash_as<Check>("ladderline bundle text 1", {bytes}).view().first(8));
}

std::string_view bare(std::string_view line) {
    const std::size_t from = line.find_first_not_of(" \t>|:");
    if (from == std::string_view::npos) return {};
    const std::size_t to = line.find_last_not_of(" \t\r");
    return to < from ? std::string_view{} : line.substr(from, to - from + 1);
}

std::optional<std::uint32_t> value_of(char c) {
    if (c >= 'A' && c <= 'Z') return c - 'A';
    if (c >= 'a' && c <= 'z') return c - 'a' + 26;
    if (c >= '0' && c <= '9') return c - '0' + 52;
    if (c == '+') return 62;
    if (c == '/') return 63;
    return std::nullopt;
}

// One bundle while its lines come in.
class Block {
public:
    // False if the line is none of a bundle's.
    bool add(std::string_view line) {
        for (const char c : line) {
            const auto value = value_of(c);
            if (!value || bytes_.size() > limits::bundle_bytes_max) return false;
            bits_ = (bits_ << 6 | *value) & 0xFFFFFF;
            held_ += 6;
            if (held_ < 8) continue;
            held_ -= 8;
            bytes_.push_back(static_cast<std::uint8_t>(bits_ >> held_));
        }
        return true;
    }
    Result<Bytes> finish(std::string_view check) && {
        const bool spare = held_ >= 6 || (bits_ & ((1U << held_) - 1)) != 0;
        if (spare || check != check_of(bytes_)) {
            return Error{Fault::damaged, "A bundle in this text was changed on the way; ask for the text again."};
        }
        return std::move(bytes_);
    }

private:
    Bytes bytes_;
    std::uint32_t bits_ = 0;
    unsigned held_ = 0;
};

const Error cut_short{Fault::damaged,
                      "A bundle in this text was cut short: its last line is missing; ask for the text again."};

}  // namespace

std::string to_armour(ByteView part) {
    std::string out = std::string(begins) + "\n";
    std::string line;
    const auto put = [&](std::uint32_t value) {
        line.push_back(alphabet[value & 63]);
        if (line.size() < line_characters) return;
        out += line + "\n";
        line.clear();
    };
    std::uint32_t bits = 0;
    unsigned held = 0;
    for (const std::uint8_t byte : part) {
        bits = (bits << 8 | byte) & 0xFFFFFF;
        held += 8;
        while (held >= 6) {
            held -= 6;
            put(bits >> held);
        }
    }
    if (held > 0) put(bits << (6 - held));
    if (!line.empty()) out += line + "\n";
    return out + std::string(ends) + " " + check_of(part) + "\n";
}

bool holds_armour(std::string_view text) {
    return text.find(begins) != std::string_view::npos;
}

std::vector<Result<Bytes>> from_armour(std::string_view text) {
    std::vector<Result<Bytes>> out;
    std::optional<Block> block;
    const auto close = [&](Result<Bytes> outcome) {
        out.push_back(std::move(outcome));
        block.reset();
    };
    while (!text.empty()) {
        const std::size_t end = text.find('\n');
        const std::string_view line = bare(text.substr(0, end));
        text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
        if (line == begins) {
            if (block) close(cut_short);
            if (out.size() >= limits::bundle_text_parts_max) {
                out.push_back(Error{Fault::bad_input,
                                    "This text holds more bundles than are read at once; give the rest apart."});
                return out;
            }
            block.emplace();
        } else if (block && line.starts_with(ends)) {
            close(std::move(*block).finish(bare(line.substr(ends.size()))));
        } else if (block && !line.empty() && !block->add(line)) {
            close(Error{Fault::damaged,
                        "A bundle in this text has a line that is none of its own; ask for the text again."});
        }
    }
    if (block) close(cut_short);
    return out;
}

}  // namespace ladderline::protocol
