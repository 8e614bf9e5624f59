#include "node/domain/study/paper_number.hpp"

#include <array>

#include "protocol/base/bytes.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr int minute_bits = 27;
constexpr int salt_bits = 32;
constexpr std::size_t number_bytes = 10;
constexpr std::size_t group_size = 4;

std::uint64_t packed(const MockDraw& draw) {
    const std::int64_t minute = draw.minute - mock_minute_min;
    ENSURE(draw.minute >= mock_minute_min && draw.minute <= mock_minute_max);
    ENSURE(draw.element >= 0 && draw.element < 16);
    std::uint64_t out = draw.mode == MockMode::fresh ? 1 : 0;
    out = out << 4 | static_cast<std::uint64_t>(draw.element);
    out = out << minute_bits | static_cast<std::uint64_t>(minute);
    return out << salt_bits | draw.salt;
}

MockDraw unpacked(std::uint64_t head) {
    MockDraw out;
    out.salt = static_cast<std::uint32_t>(head);
    head >>= salt_bits;
    out.minute = mock_minute_min + static_cast<std::int64_t>(head & ((std::uint64_t{1} << minute_bits) - 1));
    head >>= minute_bits;
    out.element = static_cast<int>(head & 15);
    out.mode = (head >> 4) == 1 ? MockMode::fresh : MockMode::faithful;
    return out;
}

// FNV-1a (Fowler, Noll, Vo 1991), 64 bits; folded to 16 in the end. Finds slips, keeps nobody out.
class Checksum {
public:
    void add(std::string_view text) {
        for (const char c : text) add_byte(static_cast<std::uint8_t>(c));
        add_byte(0);
    }
    void add(std::uint64_t value) {
        for (int i = 0; i < 8; ++i) add_byte(static_cast<std::uint8_t>(value >> (8 * i)));
    }
    std::uint16_t folded() const {
        return static_cast<std::uint16_t>(state_ ^ state_ >> 16 ^ state_ >> 32 ^ state_ >> 48);
    }

private:
    void add_byte(std::uint8_t byte) {
        state_ ^= byte;
        state_ *= 0x100000001B3U;
    }
    std::uint64_t state_ = 0xCBF29CE484222325U;
};

std::uint16_t check_of(const Pool& pool, const MockDraw& draw, const MockPaper& paper) {
    Checksum sum;
    sum.add(packed(draw));
    for (const QuestionShowing& showing : paper.showings) {
        const std::optional<int> index = pool.find(showing.question);
        ENSURE(index.has_value());
        const PoolQuestion& question = pool.questions[static_cast<std::size_t>(*index)];
        sum.add(question.id);
        sum.add(question.stem);
        for (const std::uint8_t choice : showing.order) sum.add(question.choices[choice]);
        sum.add(showing.right_place);
    }
    return sum.folded();
}

std::optional<std::uint8_t> place_of(char c) {
    if (c >= 'A' && c <= 'D') return static_cast<std::uint8_t>(c - 'A');
    if (c >= 'a' && c <= 'd') return static_cast<std::uint8_t>(c - 'a');
    return std::nullopt;
}

// The character at `at` as it may stand in a sentence: the whole UTF-8 sequence.
std::string_view character_at(std::string_view text, std::size_t at) {
    std::size_t length = 1;
    while (at + length < text.size() && (static_cast<unsigned char>(text[at + length]) & 0xC0U) == 0x80U) ++length;
    return text.substr(at, length);
}

}  // namespace

MockPaper draw_numbered(const Pool& pool, const MockDraw& draw, std::span<const std::string> seen_before) {
    SplitMix64 generator(packed(draw));
    return draw_mock(pool, draw.mode, seen_before, generator);
}

std::string paper_number(const Pool& pool, const MockDraw& draw, const MockPaper& paper) {
    const std::uint64_t head = packed(draw);
    const std::uint16_t check = check_of(pool, draw, paper);
    std::array<std::uint8_t, number_bytes> raw{};
    for (std::size_t i = 0; i < 8; ++i) raw[i] = static_cast<std::uint8_t>(head >> (56 - 8 * i));
    raw[8] = static_cast<std::uint8_t>(check >> 8);
    raw[9] = static_cast<std::uint8_t>(check);
    const std::string digits = to_base32(ByteView(raw.data(), raw.size()));
    std::string out;
    for (std::size_t i = 0; i < digits.size(); ++i) {
        if (i > 0 && i % group_size == 0) out += '-';
        out += digits[i];
    }
    return out;
}

Result<ReadNumber> read_paper_number(std::string_view text) {
    const auto raw = from_base32(text);
    if (!raw || raw.value().size() != number_bytes) {
        return Error{Fault::bad_input,
                     "A paper's number has sixteen letters and digits in groups of four, as it stands at the head of "
                     "the paper; nothing was stored."};
    }
    std::uint64_t head = 0;
    for (std::size_t i = 0; i < 8; ++i) head = head << 8 | raw.value()[i];
    const auto check = static_cast<std::uint16_t>(raw.value()[8] << 8 | raw.value()[9]);
    return ReadNumber{unpacked(head), check};
}

bool is_number_of(const ReadNumber& number, const Pool& pool, const MockPaper& paper) {
    return number.check == check_of(pool, number.draw, paper);
}

Result<MockPlaces> read_answers(std::string_view text, std::size_t questions) {
    MockPlaces out;
    for (std::size_t at = 0; at < text.size(); ++at) {
        const char c = text[at];
        if (c == ' ' || c == '\t' || c == '\n' || c == '\r') continue;
        const auto place = place_of(c);
        if (!place && c != '?' && c != '-') {
            const std::string shown = is_utf8(text) ? std::string(character_at(text, at)) : "a character";
            return Error{Fault::bad_input, "Answer " + std::to_string(out.size() + 1) + " is " + shown +
                                               ", but only A, B, C, D, or ? for one left open can stand there; "
                                               "nothing was stored."};
        }
        out.push_back(place);
    }
    if (out.size() == questions) return out;
    return Error{Fault::bad_input, "The paper has " + std::to_string(questions) + " questions, but " +
                                       std::to_string(out.size()) +
                                       (out.size() == 1 ? " answer was" : " answers were") +
                                       " given; write ? for one left open. Nothing was stored."};
}

}  // namespace ladderline::domain
